package sample

import (
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
)

// Fit compares the heading's width with the rows'. Where the two differ, the
// heading is moved only if the place of the times shows for certain how; else the
// heading says how wide a row is, and rows of another width are set aside: a
// number cut in two at a decimal comma must not be read as its whole part, nor a
// value under its neighbour's name.
func (c *Candidate) Fit(src *rule.SourceRule) {
	at := c.nameLine()
	if at < 0 {
		return
	}
	fs := c.Fields[at]
	if len(fs) == c.Width {
		return
	}
	rows := c.rowWidth()
	head := record.TrimmedWidth(fs)
	if head == rows || head > rows && rows < c.Width && head <= c.Width {
		return
	}
	line := c.Lines[at].First + 1
	hk, rk := timeCell(fs), c.Times.At()
	switch {
	case c.moved(at, fs, head, rows):
		return
	case hk < 0: // a line that is no heading for certain: it must not name the columns one to the right
		c.Fields[at] = nil
		if head > 1 {
			c.Notes.Add(ledger.Warning, line, "this line has a field less than the rows and names no time; it is not taken for their heading, and the columns are named by their numbers. Put a heading with a name for every column there")
		}
		return
	case head < rows && hk == rk && c.textBehind(fs, head, rows):
		return
	case head > rows && hk == rk && remarksBehind(fs, rows):
		return
	}
	c.setWidth(head, src)
}

// moved moves the heading by a column where the place of the times shows for certain that
// it stands beside the rows, and says so.
func (c *Candidate) moved(at int, fs [][]byte, head, rows int) bool {
	line := c.Lines[at].First + 1
	hk, rk := timeCell(fs), c.Times.At()
	switch {
	case head == rows-1 && hk >= 0 && c.Times.Date == hk && c.Times.Clk == hk+1:
		c.moveHeads(at, hk+1, 1)
		c.Notes.Add(ledger.Note, line, "the heading has a name less than the rows have fields: its time stands over a date and a time of day")
	case head == rows-1 && hk >= 0 && rk == hk+1:
		c.moveHeads(at, 0, 1)
		c.Notes.Add(ledger.Warning, line, "the heading has a name less than the rows have fields; it begins over the second column, where the times stand")
	case head == rows-1 && hk < 0 && rk == 0 && TagLike(record.CleanName(fs[0]), head == 1) && c.uncut(1, rows):
		c.moveHeads(at, 0, 1)
		if head > 1 {
			c.Notes.Add(ledger.Warning, line, "the heading has a name less than the rows have fields and none for the times; it begins over the second column")
		} else {
			c.CaptionTag = record.CleanName(fs[0])
			c.Notes.Add(ledger.Note, line, "the tag is named here: %s", c.CaptionTag)
		}
	case head == rows+1 && hk > 0 && rk == hk-1:
		c.moveHeads(at, 0, -1)
		c.Notes.Add(ledger.Warning, line, "the heading has a name more than the rows have fields; its first one, %q, has no column", record.CleanName(fs[0]))
	default:
		return false
	}
	return true
}

// nameLine is the line that names the columns; -1 if there is none.
func (c *Candidate) nameLine() int {
	weak := -1
	for i, seen := c.Start-1, 0; i >= 0 && seen < maxHeadRows; i-- {
		fs := c.Fields[i]
		if record.TrimmedWidth(fs) == 0 {
			if seen > 0 || len(fs) == 0 && record.IsComment(c.Lines[i].Text) && !c.headingAbove(i) {
				break
			}
			continue
		}
		if seen == 0 && record.TrimmedWidth(fs) == 1 && c.headingAbove(i) {
			continue
		}
		seen++
		if HeadLine(fs) {
			return i
		}
		if len(fs) == c.Width && !c.headWord(fs) {
			return -1
		}
		if weak < 0 && seen == 1 && len(fs) == c.Width-1 && record.TrimmedWidth(fs) == len(fs) {
			weak = i
		}
		for _, x := range fs {
			if cell.IsNumberCell(lex.Trim(x), c.Dec) {
				return -1
			}
		}
	}
	return weak
}

// rowWidth is the rows' width without columns that are always empty at the end.
func (c *Candidate) rowWidth() int {
	n := c.Width
	for n > 0 && c.Kinds[n-1].N == c.Kinds[n-1].Blank {
		n--
	}
	return n
}

// TagLike says whether a heading is a tag's or a measurement's rather than an
// unknown word for time.
func TagLike(h string, alone bool) bool {
	if alone && strings.ContainsAny(h, " :=") {
		return false
	}
	_, unit := SplitUnit(h)
	return unit != "" || strings.ContainsAny(h, "0123456789")
}

// uncut says whether the numbers of these columns were not cut in two where they
// hold a decimal comma: the separator is none, or they have decimal points.
func (c *Candidate) uncut(from, to int) bool {
	if c.Sep != ',' {
		return true
	}
	for k := from; k < to; k++ {
		for s := range c.Kinds[k].Distinct {
			if i := strings.IndexByte(s, '.'); i > 0 && cell.IsNumberCell([]byte(s), '.') {
				return true
			}
		}
	}
	return false
}

// textBehind says whether the fields that no heading stands over hold no number,
// so that the named columns are the first ones.
func (c *Candidate) textBehind(fs [][]byte, head, rows int) bool {
	for k := head; k < rows; k++ {
		if c.Kinds[k].Number > 0 {
			// A quality number behind values that are whole, or any number behind a
			// value that is.
			if rows != head+1 || !c.uncut(0, head) || !SmallCodes(&c.Kinds[k]) && !c.valueLast(fs, head) {
				return false
			}
		}
	}
	for k := 0; k < head; k++ {
		h := record.CleanName(fs[k])
		if (IsQualityHead(h) && !SmallCodes(&c.Kinds[k]) || IsUnitHead(h) || DescHeads[cell.Bare(h)]) && c.Kinds[k].Number > 0 {
			return false
		}
	}
	return true
}

// valueLast says whether a heading of tag and value ends with the value, whose
// numbers have decimal points.
func (c *Candidate) valueLast(fs [][]byte, head int) bool {
	tag := false
	for _, x := range fs[:head-1] {
		tag = tag || TagHeads[cell.Bare(record.CleanName(x))]
	}
	return tag && ValueHeads[cell.Bare(record.CleanName(fs[head-1]))] && c.uncut(head-1, head)
}

// remarksBehind says whether all headings behind the rows' last field are those
// of remarks, qualities or units, which a row may end without.
func remarksBehind(fs [][]byte, rows int) bool {
	for k := rows; k < len(fs); k++ {
		h := record.CleanName(fs[k])
		if h != "" && !IsQualityHead(h) && !IsUnitHead(h) && !DescHeads[cell.Bare(h)] {
			return false
		}
	}
	return true
}

// moveHeads moves the cells of a heading from column k on by one to the right or
// to the left, in all its lines of that width.
func (c *Candidate) moveHeads(at, k, by int) {
	n := len(c.Fields[at])
	for i := c.Start - 1; i >= 0 && i >= at-maxHeadRows; i-- {
		fs := c.Fields[i]
		if len(fs) != n || k > len(fs) {
			continue
		}
		if by < 0 {
			c.Fields[i] = fs[1:]
			continue
		}
		moved := append(make([][]byte, 0, n+1), fs[:k]...)
		moved = append(moved, nil)
		c.Fields[i] = append(moved, fs[k:]...)
	}
}

// setWidth takes the rows as so many fields wide.
func (c *Candidate) setWidth(n int, src *rule.SourceRule) {
	old := *c
	c.Width = n
	c.look(src)
	if !c.Times.found || c.Times.At() < 0 {
		*c = old
	}
}
