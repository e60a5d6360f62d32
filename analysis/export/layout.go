package export

import (
	"bytes"
	"errors"
	"strings"

	"weirbook/analysis/quantity"
)

func isUnitCell(t []byte) bool {
	s := cleanName(t)
	if s == "" || len(s) > 24 || numeric(t) {
		return false
	}
	_, err := quantity.ParseUnit(s)
	return err == nil
}

const maxHeadRows = 4

// headRows gives the lines of the heading, top first: those directly above the
// rows that are as wide.
func (c *candidate) headRows() []int {
	var up []int
	for i := c.start - 1; i >= 0 && len(up) < maxHeadRows; i-- {
		fs := c.fields[i]
		if len(fs) == 0 && isComment(c.lines[i].text) && len(up) == 0 {
			// A heading behind a comment mark.
			text := c.lines[i].text
			for len(text) > 0 && (text[0] == '#' || text[0] == '!' || text[0] == '/' || text[0] == ' ') {
				text = text[1:]
			}
			if fs, _ = splitRow(text, c.sep, nil, nil); len(fs) == c.width {
				c.fields[i] = fs
				up = append(up, i)
			}
			break
		}
		w := trimmedWidth(fs)
		if w == 0 && len(up) == 0 {
			continue // a blank line between heading and rows
		}
		if len(fs) < max(2, c.width-1) || len(fs) > c.width+1 || w < 1 || w <= 2 && zoneLine.Match(trim(fs[0])) && (len(up) > 0 || c.width > 2) {
			break
		}
		nums, full := 0, 0
		for _, x := range fs {
			if len(trim(x)) > 0 {
				full++
				if v := readValue(x, c.dec); v.kind == cellNumber && !v.state && len(v.unit) == 0 {
					nums++
				}
			}
		}
		if nums*2 > full && !c.timeHeaded(fs) && !(len(up) == 0 && c.numberedHeads(fs)) {
			break
		}
		if len(up) > 0 && !c.headWord(fs) {
			break
		}
		if len(up) > 0 && c.otherTable(fs, up) {
			break
		}
		up = append(up, i)
	}
	for i, j := 0, len(up)-1; i < j; i, j = i+1, j-1 {
		up[i], up[j] = up[j], up[i]
	}
	return up
}

// headWord says whether a line can be a further heading: above the times it
// has nothing, or a word that headings have.
func (c *candidate) headWord(fs [][]byte) bool {
	k := max(c.times.time, c.times.date)
	if k < 0 && c.times.ymd != nil {
		k = c.times.ymd[0]
	}
	if k < 0 || k >= len(fs) {
		return false
	}
	h := cleanName(fs[k])
	b := bare(h)
	if h == "" {
		return trimmedWidth(fs) >= c.width/2
	}
	return isTimeHead(h) || tagHeads[b] || isUnitHead(h) || descHeads[b] || valueHeads[b] || placeHeads[b] || b == "type"
}

// sniff decides how a file is written, from its decoded first bytes. whole says
// that head is all of it.
func sniff(head []byte, whole bool, src *SourceRule) (*format, error) {
	f := newFormat()
	if len(bytes.TrimSpace(head)) == 0 {
		return nil, errors.New("the file is empty")
	}
	if bytes.IndexByte(head, '\n') < 0 && bytes.IndexByte(head, '\r') >= 0 {
		f.term = '\r'
	}
	if isTar(head) {
		return nil, errors.New("this is a tar archive, not a text export; unpack it first")
	}
	if n := bytes.Count(head[:min(len(head), 4096)], []byte{0}); n > 16 {
		return nil, errors.New("this is a binary file, not a text export")
	}
	declared := byte(0)
	if first, _, _ := bytes.Cut(head, []byte{f.term}); len(first) >= 5 && strings.EqualFold(string(first[:4]), "sep=") {
		declared = first[4]
	}
	seps := []byte{'\t', ';', ',', '|'}
	if declared != 0 {
		seps = []byte{declared}
	}
	best := candidate{score: -1}
	for _, first := range []bool{true, false} { // what stands before a second heading, or all of it
		for _, sep := range seps {
			if c := trySeparator(head, whole, first, sep, f.term, src); c.score > best.score {
				best = c
			}
		}
		if best.score > 0 {
			break
		}
	}
	if best.score <= 0 {
		return nil, noTable(head, whole, f.term, seps)
	}
	f.sep = best.sep
	best.rowsAbove()
	best.fit(src)
	f.notes, f.lone = append(f.notes, best.notes...), best.lone
	if err := f.build(best, src); errors.Is(err, errNoTable) {
		return nil, noTable(head, whole, f.term, seps)
	} else if err != nil {
		return nil, err
	}
	f.settle()
	return f, nil
}

// build settles heading, layout and the columns' roles.
func (f *format) build(c candidate, src *SourceRule) error {
	f.dec = c.dec
	f.decSure = c.decTold || c.decSure && c.marks.met()
	f.weigh, f.decExample = !f.decSure && c.marks.met(), c.marks.example
	f.skip = c.lines[c.start].first
	heads := c.headRows()
	f.noteEmpty(&c, heads)
	f.headAt = f.skip
	if len(heads) > 0 {
		f.headAt = c.lines[heads[0]].first
	}
	for i := c.start; i < len(c.lines); i++ {
		if t := c.lines[i].text; isComment(t) {
			f.comment = t[0]
			break
		}
	}
	if f.comment == 0 {
		f.comment = '#'
	}
	t := c.times
	f.tm.kind = t.kind
	f.textTime = t.kind == textTime
	f.times = t
	f.cols = make([]column, c.width)
	names, units, descs := nameRows(&c, heads)
	for k := range f.cols {
		f.cols[k] = column{role: roleSkip, head: names[k], unit: units[k], desc: descs[k]}
	}
	f.keepHeads(&c, heads)
	put := func(k int, r role) {
		if k >= 0 {
			f.cols[k].role = r
		}
	}
	put(t.time, roleTime)
	put(t.date, roleDate)
	put(t.clk, roleClock)
	put(t.hour, roleHour)
	put(t.minute, roleMinute)
	put(t.half, roleHalf)
	for i, k := range t.ymd {
		put(k, []role{roleYear, roleMonth, roleDay}[i])
	}
	for k := range f.cols {
		if r := f.cols[k].role; r == roleTime || r == roleClock || r == roleDate {
			if sec, word, ok := headingOffset(f.cols[k].head); ok && f.tm.kind <= serialTime {
				f.tm.fixed, f.tm.offset, f.headWord = true, sec, word
			}
		}
	}
	free := func(k int) bool { return f.cols[k].role == roleSkip }
	if src != nil {
		for k := range f.cols {
			switch h := f.cols[k].head; {
			case !free(k) || h == "":
			case strings.EqualFold(h, src.TagColumn):
				put(k, roleTag)
			case strings.EqualFold(h, src.ValueColumn):
				put(k, roleValue)
			case strings.EqualFold(h, src.QualityColumn):
				put(k, roleQuality)
			}
		}
	}
	f.qualityWords = src.qualityWords()
	f.noQuality = src != nil && strings.EqualFold(src.QualityColumn, NoQuality)
	f.checkHeads(src)
	f.signRoles(&c)
	f.layout = wide
	switch {
	case src != nil && src.Layout == "long":
		f.layout = long
		f.longRoles(&c)
	case src != nil && src.Layout == "wide":
		f.wideRoles(&c)
	case f.longRoles(&c):
		f.layout = long
	default:
		for k := range f.cols {
			if r := f.cols[k].role; r == roleTag || r == rolePlace || r == roleValue || r == roleQuality || r == roleUnit {
				f.cols[k].role = roleSkip
			}
		}
		f.wideRoles(&c)
	}
	if f.refused != nil {
		return f.refused
	}
	if f.layout == wide {
		f.ownTimes(&c, src) // times are no values that a quality may be of
		f.pairQualities()
		f.namesAbove(&c, heads)
		f.tellNamesApart()
	}
	values := 0
	for _, x := range f.cols {
		if x.role == roleValue {
			values++
		}
	}
	if values == 0 {
		return errNoTable
	}
	f.hourColumns(&c)
	if src == nil || src.TimeColumn == "" {
		f.noteTimes(&c)
	}
	f.noteUnused(&c, src == nil || src.TimeColumn == "")
	f.sampleQuality(&c)
	f.tellSigns()
	if src != nil && src.QualityCodes != "" {
		f.codes, f.codesSure = parseQualityCodes(src.QualityCodes), true
	}
	return nil
}

// checkHeads says which headings of a source rule no column has.
func (f *format) checkHeads(src *SourceRule) {
	if src == nil {
		return
	}
	for _, h := range []string{src.TimeColumn, src.TagColumn, src.ValueColumn, src.QualityColumn} {
		found := h == "" || h == src.QualityColumn && f.noQuality
		for _, c := range f.cols {
			found = found || strings.EqualFold(c.head, h)
		}
		if !found {
			f.note(Warning, f.skip, "no column is headed %q, as [[source]] in plant.toml says; the headings are %s", h, strings.Join(f.headings(), ", "))
		}
	}
}

// nameRows sorts the heading's lines into names, units and descriptions.
func nameRows(c *candidate, rows []int) (names, units, descs []string) {
	names, units, descs = make([]string, c.width), make([]string, c.width), make([]string, c.width)
	cell := func(i, k int) string {
		if fs := c.fields[i]; k < len(fs) {
			return strings.TrimSpace(strings.TrimLeft(cleanName(fs[k]), "#"))
		}
		return ""
	}
	tcol := max(c.times.time, c.times.date, 0)
	nameRow := -1
	isUnits := map[int]bool{}
	for _, i := range rows {
		u, n := 0, 0
		for k := range names {
			if h := cell(i, k); h != "" && k != tcol {
				n++
				if isUnitCell([]byte(h)) {
					u++
				}
			}
		}
		isUnits[i] = n > 0 && u*10 >= n*6 && (len(rows) > 1) || isUnitHead(cell(i, tcol)) && len(rows) > 1
	}
	// The names stand in the line that names the time, and of several such in
	// the top one; else in the first that is no line of units.
	for _, i := range rows {
		b := bare(cell(i, tcol))
		if !isUnits[i] && (isTimeHead(cell(i, tcol)) || tagHeads[b]) && nameRow < 0 {
			nameRow = i
		}
	}
	for _, i := range rows {
		if nameRow < 0 && !isUnits[i] && !descHeads[bare(cell(i, tcol))] {
			nameRow = i
		}
	}
	if nameRow < 0 && len(rows) > 0 {
		nameRow = rows[0]
		isUnits[nameRow] = false
	}
	for _, i := range rows {
		for k := range names {
			h := cell(i, k)
			switch {
			case i == nameRow:
				names[k] = h
			case isUnits[i]:
				units[k] = h
			case h != "" && k != tcol:
				if descs[k] != "" {
					descs[k] += " "
				}
				descs[k] += h
			case k == tcol && isTimeHead(h) && names[k] == "":
				names[k] = h
			}
		}
	}
	return names, units, descs
}

func (f *format) headings() (out []string) {
	for _, c := range f.cols {
		if c.head != "" {
			out = append(out, c.head)
		}
	}
	return out
}

func (f *format) count(r role) (n int) {
	for _, c := range f.cols {
		if c.role == r {
			n++
		}
	}
	return n
}

// numberColumn tells a column that numbers the rows.
func numberColumn(head string, q *colKind) bool {
	return numberHeads[bare(head)] && q.number > 0 && q.rising >= q.number-1-q.number/20 && (q.number > 1 || q.last <= 1) && q.number == q.n-q.blank
}
