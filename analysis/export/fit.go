package export

import (
	"fmt"
	"strings"
)

// fit compares the heading's width with the rows'. Where the two differ, the
// heading is moved only if the place of the times shows for certain how; else the
// heading says how wide a row is, and rows of another width are set aside: a
// number cut in two at a decimal comma must not be read as its whole part, nor a
// value under its neighbour's name.
func (c *candidate) fit(src *SourceRule) {
	at := c.nameLine()
	if at < 0 {
		return
	}
	fs := c.fields[at]
	if len(fs) == c.width {
		return
	}
	rows := c.rowWidth()
	head := trimmedWidth(fs)
	if head == rows || head > rows && rows < c.width && head <= c.width {
		return
	}
	line := c.lines[at].first + 1
	hk, rk := timeCell(fs), c.times.at()
	switch {
	case head == rows-1 && hk >= 0 && c.times.date == hk && c.times.clk == hk+1:
		c.moveHeads(at, hk+1, 1)
		c.notes.Add(Note, line, "the heading has a name less than the rows have fields: its time stands over a date and a time of day")
		return
	case head == rows-1 && hk >= 0 && rk == hk+1:
		c.moveHeads(at, 0, 1)
		c.notes.Add(Warning, line, "the heading has a name less than the rows have fields; it begins over the second column, where the times stand")
		return
	case head == rows-1 && hk < 0 && rk == 0 && tagLike(cleanName(fs[0]), head == 1) && c.uncut(1, rows):
		c.moveHeads(at, 0, 1)
		if head > 1 {
			c.notes.Add(Warning, line, "the heading has a name less than the rows have fields and none for the times; it begins over the second column")
		} else {
			c.lone = cleanName(fs[0])
			c.notes.Add(Note, line, "the tag is named here: %s", c.lone)
		}
		return
	case head == rows+1 && hk > 0 && rk == hk-1:
		c.moveHeads(at, 0, -1)
		c.notes.Add(Warning, line, "the heading has a name more than the rows have fields; its first one, %q, has no column", cleanName(fs[0]))
		return
	case hk < 0: // a line that is no heading for certain: it must not name the columns one to the right
		c.fields[at] = nil
		if head > 1 {
			c.notes.Add(Warning, line, "this line has a field less than the rows and names no time; it is not taken for their heading, and the columns are named by their numbers. Put a heading with a name for every column there")
		}
		return
	case head < rows && hk >= 0 && hk == rk && c.textBehind(fs, head, rows):
		return
	case head > rows && hk == rk && remarksBehind(fs, rows):
		return
	}
	c.setWidth(head, src)
}

// nameLine is the line that names the columns; -1 if there is none.
func (c *candidate) nameLine() int {
	weak := -1
	for i, seen := c.start-1, 0; i >= 0 && seen < maxHeadRows; i-- {
		fs := c.fields[i]
		if trimmedWidth(fs) == 0 {
			if seen > 0 || len(fs) == 0 && isComment(c.lines[i].text) {
				break
			}
			continue
		}
		seen++
		if headLine(fs) {
			return i
		}
		if len(fs) == c.width && !c.headWord(fs) {
			return -1
		}
		if weak < 0 && seen == 1 && len(fs) == c.width-1 && trimmedWidth(fs) == len(fs) {
			weak = i
		}
		for _, x := range fs {
			if isNumberCell(trim(x), c.dec) {
				return -1
			}
		}
	}
	return weak
}

// rowWidth is the rows' width without columns that are always empty at the end.
func (c *candidate) rowWidth() int {
	n := c.width
	for n > 0 && c.kinds[n-1].n == c.kinds[n-1].blank {
		n--
	}
	return n
}

// tagLike says whether a heading is a tag's or a measurement's rather than an
// unknown word for time.
func tagLike(h string, alone bool) bool {
	if alone && strings.ContainsAny(h, " :=") {
		return false
	}
	_, unit := splitUnit(h)
	return unit != "" || strings.ContainsAny(h, "0123456789")
}

// uncut says whether the numbers of these columns were not cut in two where they
// hold a decimal comma: the separator is none, or they have decimal points.
func (c *candidate) uncut(from, to int) bool {
	if c.sep != ',' {
		return true
	}
	for k := from; k < to; k++ {
		for s := range c.kinds[k].distinct {
			if i := strings.IndexByte(s, '.'); i > 0 && isNumberCell([]byte(s), '.') {
				return true
			}
		}
	}
	return false
}

// textBehind says whether the fields that no heading stands over hold no number,
// so that the named columns are the first ones.
func (c *candidate) textBehind(fs [][]byte, head, rows int) bool {
	for k := head; k < rows; k++ {
		if c.kinds[k].number > 0 {
			// A quality number behind values that are whole, or any number behind a
			// value that is.
			if rows != head+1 || !c.uncut(0, head) || !smallCodes(&c.kinds[k]) && !c.valueLast(fs, head) {
				return false
			}
		}
	}
	for k := 0; k < head; k++ {
		h := cleanName(fs[k])
		if (isQualityHead(h) && !smallCodes(&c.kinds[k]) || isUnitHead(h) || descHeads[bare(h)]) && c.kinds[k].number > 0 {
			return false
		}
	}
	return true
}

// valueLast says whether a heading of tag and value ends with the value, whose
// numbers have decimal points.
func (c *candidate) valueLast(fs [][]byte, head int) bool {
	tag := false
	for _, x := range fs[:head-1] {
		tag = tag || tagHeads[bare(cleanName(x))]
	}
	return tag && valueHeads[bare(cleanName(fs[head-1]))] && c.uncut(head-1, head)
}

// remarksBehind says whether all headings behind the rows' last field are those
// of remarks, qualities or units, which a row may end without.
func remarksBehind(fs [][]byte, rows int) bool {
	for k := rows; k < len(fs); k++ {
		h := cleanName(fs[k])
		if h != "" && !isQualityHead(h) && !isUnitHead(h) && !descHeads[bare(h)] {
			return false
		}
	}
	return true
}

// moveHeads moves the cells of a heading from column k on by one to the right or
// to the left, in all its lines of that width.
func (c *candidate) moveHeads(at, k, by int) {
	n := len(c.fields[at])
	for i := c.start - 1; i >= 0 && i >= at-maxHeadRows; i-- {
		fs := c.fields[i]
		if len(fs) != n || k > len(fs) {
			continue
		}
		if by < 0 {
			c.fields[i] = fs[1:]
			continue
		}
		moved := append(make([][]byte, 0, n+1), fs[:k]...)
		moved = append(moved, nil)
		c.fields[i] = append(moved, fs[k:]...)
	}
}

// setWidth takes the rows as so many fields wide.
func (c *candidate) setWidth(n int, src *SourceRule) {
	old := *c
	c.width = n
	c.look(src)
	if !c.times.found || c.times.at() < 0 {
		*c = old
	}
}

// misfits tells of rows that are longer than the heading, and of rows that are
// shorter where those are most.
func (r *reader) misfits(t *table) {
	rows := func(why Reason) int {
		n := t.loose.Aside[why]
		for _, k := range t.tracks {
			switch {
			case k == nil:
			case t.f.layout == long:
				n += k.led.Aside[why]
			case t.f.hourly: // and once for each hour of its day
				n += k.led.Aside[why] / len(t.f.own)
			default: // a row counts once for each of its tags
				n = max(n, k.led.Aside[why])
			}
		}
		return n
	}
	all, names := t.info.Rows, len(t.f.cols)
	if n := rows(TooManyFields); n > 0 {
		text := fmt.Sprintf("%d of %d rows have more fields than the heading (%d), so that the columns are in doubt; they are set aside. ", n, all, names)
		if t.f.sep == ',' {
			text += "Probably numbers are written with a comma (decimal 2,22 or thousands 1,250), which also separates the fields: export with semicolons or tabs between the fields, with decimal points, or with such numbers in quotes"
		} else {
			text += "Export again with a name for every column, and without the separator within cells"
		}
		r.message(Error, t.m.name, t.from+t.f.skip, text)
	}
	if n := rows(CutShort); n*2 > all {
		r.message(Error, t.m.name, t.from+t.f.skip, fmt.Sprintf("%d of %d rows have fewer fields than the heading (%d), so that it is not known which columns they lack; they are set aside. Export again with a separator for every column", n, all, names))
	}
}
