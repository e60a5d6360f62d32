package export

import "strings"

// numberedHeads says whether a line of numbers is a heading all the same: what
// stands above the times says so, and the numbers are whole and all different, as
// tags named 101 and 102 are.
func (c *candidate) numberedHeads(fs [][]byte) bool {
	k := max(c.times.time, c.times.date)
	if k < 0 || k >= len(fs) || !isTimeHead(cleanName(fs[k])) {
		return false
	}
	seen := map[string]bool{}
	for j, x := range fs {
		t := string(trim(x))
		if j == k || t == "" {
			continue
		}
		if seen[t] || strings.Trim(t, "0123456789") != "" && numeric(x) {
			return false
		}
		seen[t] = true
	}
	return len(seen) > 0
}

// namesAbove takes the tags of several columns that are all headed "Value" from
// the line above that heading, where a name stands over each or over the first of
// the columns that belong together.
func (f *format) namesAbove(c *candidate, heads []int) {
	var values []int
	for k := range f.cols {
		if f.cols[k].role == roleValue {
			if h := f.cols[k].head; h != "" && !valueHeads[bare(h)] {
				return
			}
			values = append(values, k)
		}
	}
	if len(values) < 2 || len(heads) == 0 {
		return
	}
	i := heads[0] - 1
	for i >= 0 && trimmedWidth(c.fields[i]) == 0 && len(trim(c.lines[i].text)) == 0 {
		i--
	}
	lines := [][]string{}
	if i >= 0 {
		lines = append(lines, row(c.fields[i]))
	}
	for _, h := range heads { // a line between that was taken for descriptions
		lines = append(lines, row(c.fields[h]))
	}
	for _, cells := range lines {
		names := namesOver(cells, values)
		if names == nil {
			continue
		}
		for n, k := range values {
			x := &f.cols[k]
			x.name = names[n]
			if x.unit == "" {
				if base, u := splitUnit(x.name); u != "" {
					x.name, x.unit = base, u
				}
			}
			if x.desc == names[n] {
				x.desc = ""
			}
		}
		return
	}
}

func row(fs [][]byte) (out []string) {
	for _, x := range fs {
		out = append(out, cleanName(x))
	}
	return out
}

// namesOver gives the name over each of the columns: in its own, else the
// nearest before it, behind the column before. All must be there and different.
func namesOver(cells []string, values []int) (names []string) {
	seen := map[string]bool{}
	from := 0
	for _, v := range values {
		name := ""
		for k := from; k <= v && k < len(cells); k++ {
			if s := cells[k]; s != "" && !valueHeads[bare(s)] && !isTimeHead(s) && !isUnitCell([]byte(s)) && !numeric([]byte(s)) && !isQualityHead(s) {
				name = s
			}
		}
		if name == "" || seen[name] {
			return nil
		}
		seen[name] = true
		names = append(names, name)
		from = v + 1
	}
	return names
}
