package layout

import (
	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/sample"
)

// namesAbove takes the tags of several columns that are all headed "Value" from
// the line above that heading, where a name stands over each or over the first of
// the columns that belong together.
func (f *Layout) namesAbove(c *sample.Candidate, heads []int) {
	var values []int
	for k := range f.Cols {
		if f.Cols[k].Role == RoleValue {
			if h := f.Cols[k].Head; h != "" && !sample.ValueHeads[cell.Bare(h)] {
				return
			}
			values = append(values, k)
		}
	}
	if len(values) < 2 || len(heads) == 0 {
		return
	}
	i := heads[0] - 1
	for i >= 0 && record.TrimmedWidth(c.Fields[i]) == 0 && len(lex.Trim(c.Lines[i].Text)) == 0 {
		i--
	}
	lines := [][]string{}
	if i >= 0 {
		lines = append(lines, row(c.Fields[i]))
	}
	for _, h := range heads { // a line between that was taken for descriptions
		lines = append(lines, row(c.Fields[h]))
	}
	for _, cells := range lines {
		names := namesOver(cells, values)
		if names == nil {
			continue
		}
		for n, k := range values {
			x := &f.Cols[k]
			x.Name = names[n]
			if x.Unit == "" {
				if base, u := sample.SplitUnit(x.Name); u != "" {
					x.Name, x.Unit = base, u
				}
			}
			if x.Desc == names[n] {
				x.Desc = ""
			}
		}
		return
	}
}

func row(fs [][]byte) (out []string) {
	for _, x := range fs {
		out = append(out, record.CleanName(x))
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
			if s := cells[k]; s != "" && !sample.ValueHeads[cell.Bare(s)] && !sample.IsTimeHead(s) && !sample.IsUnitCell([]byte(s)) && !cell.Numeric([]byte(s)) && !sample.IsQualityHead(s) {
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
