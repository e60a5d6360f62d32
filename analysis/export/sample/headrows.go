package sample

import (
	"bytes"
	"slices"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/quantity"
)

func IsUnitCell(t []byte) bool {
	s := record.CleanName(t)
	if s == "" || len(s) > 24 || cell.Numeric(t) {
		return false
	}
	_, err := quantity.ParseUnit(s)
	return err == nil
}

const maxHeadRows = 4

// HeadRows gives the lines of the heading, top first: those directly above the
// rows that are as wide.
func (c *Candidate) HeadRows() []int {
	var up []int
	for i := c.Start - 1; i >= 0 && len(up) < maxHeadRows; i-- {
		fs := c.Fields[i]
		if len(up) == 0 && c.betweenRows(i) {
			continue
		}
		if len(fs) == 0 && record.IsComment(c.Lines[i].Text) && len(up) == 0 {
			if fs = c.uncommented(i); len(fs) == c.Width { // a heading behind a comment mark
				c.Fields[i] = fs
				up = append(up, i)
			}
			break
		}
		if !c.headRow(fs, up) {
			break
		}
		up = append(up, i)
	}
	slices.Reverse(up)
	return up
}

// betweenRows says whether the ith line stands between heading and rows without being
// either: a blank line, or a remark under a heading.
func (c *Candidate) betweenRows(i int) bool {
	fs := c.Fields[i]
	if len(fs) == 0 && record.IsComment(c.Lines[i].Text) {
		return c.headingAbove(i) && !HeadLine(c.uncommented(i))
	}
	w := record.TrimmedWidth(fs)
	return w == 0 || w == 1 && c.Width > 1 && c.headingAbove(i)
}

// uncommented are the cells of a line behind its comment mark.
func (c *Candidate) uncommented(i int) [][]byte {
	fs, _ := record.SplitRow(bytes.TrimLeft(c.Lines[i].Text, "#!/ "), c.Sep, nil, nil)
	return fs
}

// headRow says whether a line is one of the heading, of which the lines below are known.
func (c *Candidate) headRow(fs [][]byte, below []int) bool {
	w := record.TrimmedWidth(fs)
	if len(fs) < max(2, c.Width-1) || len(fs) > c.Width+1 || w < 1 || w <= 2 && zoneLine.Match(lex.Trim(fs[0])) && (len(below) > 0 || c.Width > 2) {
		return false
	}
	nums, full := 0, 0
	for _, x := range fs {
		if len(lex.Trim(x)) > 0 {
			full++
			if cell.IsNumberCell(x, c.Dec) {
				nums++
			}
		}
	}
	if nums*2 > full && !c.timeHeaded(fs) && (len(below) > 0 || !c.numberedHeads(fs)) {
		return false
	}
	return len(below) == 0 || c.headWord(fs) && !c.OtherTable(fs, below)
}

// headingAbove says whether, but for remarks, the line above the ith is a heading as
// wide as the rows.
func (c *Candidate) headingAbove(i int) bool {
	for k := i - 1; k >= 0 && k >= i-maxHeadRows; k-- {
		fs := c.Fields[k]
		if record.TrimmedWidth(fs) <= 1 || !c.timeHeaded(fs) && unitsOnly(fs) {
			continue
		}
		return len(fs) >= c.Width-1 && len(fs) <= c.Width+1 && c.timeHeaded(fs)
	}
	return false
}

// unitsOnly says whether all cells of a line that hold something are units.
func unitsOnly(fs [][]byte) bool {
	for _, x := range fs {
		if len(lex.Trim(x)) > 0 && !IsUnitCell(x) {
			return false
		}
	}
	return true
}

// headWord says whether a line can be a further heading: above the times it
// has nothing, or a word that headings have.
func (c *Candidate) headWord(fs [][]byte) bool {
	k := max(c.Times.Time, c.Times.Date)
	if k < 0 && c.Times.Ymd != nil {
		k = c.Times.Ymd[0]
	}
	if k < 0 || k >= len(fs) {
		return false
	}
	h := record.CleanName(fs[k])
	b := cell.Bare(h)
	if h == "" {
		return record.TrimmedWidth(fs) >= c.Width/2
	}
	return IsTimeHead(h) || TagHeads[b] || IsUnitHead(h) || DescHeads[b] || ValueHeads[b] || PlaceHeads[b] || b == "type"
}

// NumberColumn tells a column that numbers the rows.
func NumberColumn(head string, q *ColKind) bool {
	return numberHeads[cell.Bare(head)] && q.Number > 0 && q.Rising >= q.Number-1-q.Number/20 && (q.Number > 1 || q.last <= 1) && q.Number == q.Full()
}

// numberedHeads says whether a line of numbers is a heading all the same: what
// stands above the times says so, and the numbers are whole and all different, as
// tags named 101 and 102 are.
func (c *Candidate) numberedHeads(fs [][]byte) bool {
	k := max(c.Times.Time, c.Times.Date)
	if k < 0 || k >= len(fs) || !IsTimeHead(record.CleanName(fs[k])) {
		return false
	}
	seen := map[string]bool{}
	for j, x := range fs {
		t := string(lex.Trim(x))
		if j == k || t == "" {
			continue
		}
		if seen[t] || strings.Trim(t, "0123456789") != "" && cell.Numeric(x) {
			return false
		}
		seen[t] = true
	}
	return len(seen) > 0
}
