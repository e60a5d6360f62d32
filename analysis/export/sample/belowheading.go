package sample

import (
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
)

// rowByNumbers says whether a line below a heading, or below others of its kind, is
// a row whose time cannot be read: it has numbers in all columns of numbers that it fills, and no
// word of headings where the times stand.
func (c *Candidate) rowByNumbers(i int) bool {
	fs, above := c.Fields[i], i-1
	if above < 0 || len(fs) != c.Width || c.headWord(fs) {
		return false
	}
	if up := c.Fields[above]; !c.timeHeaded(up) && !HeadLine(up) && !c.rowByNumbers(above) {
		return false
	}
	found := 0
	for k, x := range fs {
		t, q := lex.Trim(x), &c.Kinds[k]
		if k == c.Times.At() || len(t) == 0 || q.Number*2 <= q.Full() {
			continue
		}
		if !cell.IsNumberCell(t, c.Dec) {
			return false
		}
		found++
	}
	return found > 0
}

// OtherTable says whether a line is the heading of another table, which has no
// rows: below it stands a heading with the same word for the times and other names.
// Units, and words such as Value, are no other names; they belong to those above.
func (c *Candidate) OtherTable(fs [][]byte, below []int) bool {
	if !c.timeHeaded(fs) {
		return false
	}
	k := c.Times.At()
	for _, i := range below {
		low := c.Fields[i]
		if !c.timeHeaded(low) || !strings.EqualFold(record.CleanName(low[k]), record.CleanName(fs[k])) || SameCells(HeadCells(fs), HeadCells(low)) {
			continue
		}
		for j, x := range low {
			h := record.CleanName(x)
			if j == k || h == "" || IsUnitCell(x) || ValueHeads[cell.Bare(h)] || IsTimeHead(h) || IsQualityHead(h) {
				continue
			}
			return true
		}
	}
	return false
}
