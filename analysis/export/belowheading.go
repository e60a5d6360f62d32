package export

import "strings"

// rowByNumbers says whether a line below a heading, or below others of its kind, is
// a row whose time cannot be read: it has numbers in all columns of numbers that it fills, and no
// word of headings where the times stand.
func (c *candidate) rowByNumbers(i int) bool {
	fs, above := c.fields[i], i-1
	if above < 0 || len(fs) != c.width || c.headWord(fs) {
		return false
	}
	if up := c.fields[above]; !c.timeHeaded(up) && !headLine(up) && !c.rowByNumbers(above) {
		return false
	}
	found := 0
	for k, x := range fs {
		t, q := trim(x), &c.kinds[k]
		if k == c.times.at() || len(t) == 0 || q.number*2 <= q.n-q.blank {
			continue
		}
		if !isNumberCell(t, c.dec) {
			return false
		}
		found++
	}
	return found > 0
}

// otherTable says whether a line is the heading of another table, which has no
// rows: below it stands a heading with the same word for the times and other names.
// Units, and words such as Value, are no other names; they belong to those above.
func (c *candidate) otherTable(fs [][]byte, below []int) bool {
	if !c.timeHeaded(fs) {
		return false
	}
	k := c.times.at()
	for _, i := range below {
		low := c.fields[i]
		if !c.timeHeaded(low) || !strings.EqualFold(cleanName(low[k]), cleanName(fs[k])) || sameCells(headCells(fs), headCells(low)) {
			continue
		}
		for j, x := range low {
			h := cleanName(x)
			if j == k || h == "" || isUnitCell(x) || valueHeads[bare(h)] || isTimeHead(h) || isQualityHead(h) {
				continue
			}
			return true
		}
	}
	return false
}

// noteEmpty tells of a heading that has no rows, above that of the table.
func (f *format) noteEmpty(c *candidate, heads []int) {
	if len(heads) == 0 {
		return
	}
	i := heads[0] - 1
	for i >= 0 && len(trim(c.lines[i].text)) == 0 {
		i--
	}
	if i < 0 {
		return
	}
	if fs := c.fields[i]; trimmedWidth(fs) >= 2 && headLine(fs) && c.otherTable(fs, heads) {
		f.note(Warning, c.lines[i].first+1, "no row stands below the heading (%s); the rows further on are read under the heading below it. Export that table again if it should hold rows",
			strings.Join(row(fs), ", "))
	}
}
