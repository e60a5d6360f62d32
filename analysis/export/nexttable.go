package export

import (
	"bytes"
	"io"
	"strings"
)

// A file can hold several tables, one below the other: columns that changed from
// one day to the next, or a block a tag. A line that names columns, but not those
// of the table it stands in, begins a table of its own, which is looked at and
// read like a file. So does a line that names another tag, in a table of one.

// maxTables is how many tables of one file are read; what follows is set aside.
const maxTables = 500

// nextTable says whether the row, whose time cannot be read, begins another
// table.
func (w *worker) nextTable(row []byte) bool {
	f := w.f
	if !f.follow {
		return false
	}
	if !w.otherTag(row) && !w.otherName() && !w.otherLine() && !statesZone(row, f.sepBytes) {
		if len(row) > maxHeading || trimmedWidth(w.fields) < 2 || !headLine(w.fields) && !f.headedAlike(w.fields) {
			return false
		}
		cells := headCells(w.fields)
		for _, h := range f.headLines {
			if sameCells(h, cells) {
				return false // the heading once more
			}
		}
	}
	return !f.noTable[string(row)]
}

const maxHeading = 64 << 10

// otherTag says whether a line names a tag other than the table's only one.
func (w *worker) otherTag(row []byte) bool {
	if w.f.single == "" || !w.f.follow {
		return false
	}
	key, value := preambleKey(row)
	return namesTag(key) && value != "" && value != w.f.single && !w.f.noTable[string(row)]
}

// otherName says whether a row is a name alone, in a table that is headed so.
func (w *worker) otherName() bool {
	if w.f.lone == "" || trimmedWidth(w.fields) != 1 {
		return false
	}
	name := cleanName(w.fields[0])
	return name != w.f.lone && tagLike(name, true) && !isNumberCell(trim(w.fields[0]), w.f.dec)
}

// headedAlike says whether a line holds the word that stands above the table's
// times, and no number or, as tags can be numbers, as many cells as the heading.
func (f *format) headedAlike(fs [][]byte) bool {
	found, numbers := false, false
	for _, x := range fs {
		t := trim(x)
		numbers = numbers || len(t) > 0 && isNumberCell(t, f.dec)
		found = found || f.timeHead != "" && strings.EqualFold(cleanName(t), f.timeHead)
	}
	return found && (!numbers || trimmedWidth(fs) == len(f.cols))
}

// keepHeads remembers the heading's lines, to know them again.
func (f *format) keepHeads(c *candidate, lines []int) {
	f.follow, f.noTable = true, map[string]bool{}
	for _, i := range lines {
		f.headLines = append(f.headLines, headCells(c.fields[i]))
	}
	if k := c.times.at(); k >= 0 && k < len(f.cols) && f.cols[k].head != "" {
		f.timeHead = f.cols[k].head
		f.headed = isTimeHead(f.timeHead) || c.times.ymd != nil
	}
}

// firstPass reads a table to its end, which is the beginning of the next if the
// file holds another.
func (r *reader) firstPass(t *table) (*passed, error) {
	for {
		p, err := r.pass(t, nil)
		if err != nil || p.turn == 0 {
			return p, err
		}
		r.forget(t)
		if next := r.lookAt(t, p.turn); next != nil && p.turn > t.firstLine() && !t.sameAgain(next) {
			t.nameByLines(next)
			t.next, t.until, t.f.follow = next, p.turn-1, false
		} else {
			t.f.noTable[p.turnText] = true
			t.f.noteLateZone(p.turnText, p.turn)
			if t.f.follow = len(t.f.noTable) < 20; !t.f.follow {
				t.f.note(Warning, p.turn, "many lines look like headings, and no table stands below them: headings of other columns are not looked for any more. If there is one further on, split the file there")
			}
		}
	}
}

// firstLine is the line of the table's first row.
func (t *table) firstLine() int { return t.from + t.f.skip + 1 }

// lookAt looks at the table that begins at a line of the file of t; nil if there
// is none under a heading.
func (r *reader) lookAt(t *table, line int) *table {
	n := &table{tableRuns: tableRuns{m: t.m, from: line - 1}, src: t.src, file: t.file, nth: t.nth + 1}
	if n.file == "" {
		n.file = t.m.name
	}
	n.m.name = tableName(n.file, line)
	n.m.size = 0
	rc, err := t.m.open()
	if err != nil {
		return nil
	}
	defer rc.Close()
	s, err := t.stream(rc)
	if err != nil {
		return nil
	}
	n.mark = t.mark
	n.offset = t.offset + skipBytes(s, n.from-t.from, t.f.term)
	if err := r.look(n); err != nil {
		return nil
	}
	f := n.f
	if !f.headed && f.lone == "" && !(t.f.timeHead != "" && strings.EqualFold(f.timeHead, t.f.timeHead)) {
		return nil
	}
	for i := range f.notes {
		if f.notes[i].Line > 0 {
			f.notes[i].Line += n.from
		}
	}
	if f.said.line > 0 {
		f.said.line += n.from
	}
	if n.nth >= maxTables {
		f.closed, f.follow = true, false
		f.rowOrder, f.step, f.fast = anyOrder, 0, false
		f.note(Error, line, "the file holds more than %d tables, one below the other; the rows from here on are set aside. Split the file before this line", maxTables)
		return n
	}
	if n.nth <= 3 { // the list of files tells the others
		f.note(Note, line, "another heading begins here; the rows from here on are read as a table of their own")
	}
	return n
}

// sameAgain says whether what follows is the table itself, with the line that
// states its clock and its heading once more, as on every page of a print.
func (t *table) sameAgain(n *table) bool {
	a, b := t.f, n.f
	if b.said.line == 0 || a.said.text != b.said.text || a.above != b.above || !t.sameHeads(n) || len(a.cols) != len(b.cols) {
		return false
	}
	for i := range a.cols {
		if a.cols[i].name != b.cols[i].name {
			return false
		}
	}
	return true
}

// follows takes over what the table before has shown of the order of day and
// month and of quality numbers, if the table's own first rows do not, and the clock
// that a line above it states, if none above this one does.
func (t *table) follows(before *table) {
	t.f.asked = before.f.asked
	if t.f.said.line == 0 {
		t.f.said = before.f.said
	} else if t.f.said.text == before.f.said.text {
		t.f.said.told = before.f.said.told
	}
	if t.f.hasQuality && !t.f.codesSure && before.f.codesSure {
		t.f.codes, t.f.codesSure = before.f.codes, true
	}
	switch o := before.f.tm.order; {
	case !t.f.textTime || t.f.orderSure || !before.f.textTime:
	case o == dayFirst || o == monthFirst || o == yearFirst:
		t.f.tm.order, t.f.orderSure = o, true
	}
}

// stream gives the table's text from where it begins in its file.
func (t *table) stream(rc io.ReadCloser) (io.Reader, error) {
	enc := ""
	if t.f != nil {
		enc = t.f.encodingKey()
	}
	return decodedFrom(rc, enc, t.offset, t.mark)
}

// decodedFrom is decoded from an offset of the decoded text on. mark says that
// the file begins with a byte order mark.
func decodedFrom(rc io.Reader, enc string, offset int64, mark bool) (io.Reader, error) {
	if offset == 0 {
		return decoded(honest{rc}, enc), nil
	}
	if s, ok := rc.(io.Seeker); ok && (enc == "utf-8" || enc == "windows-1252") {
		at := offset
		if mark {
			at += 3
		}
		_, err := s.Seek(at, io.SeekStart)
		return honest{rc}, err
	}
	s := decoded(honest{rc}, enc)
	_, err := io.CopyN(io.Discard, s, offset)
	return s, err
}

// skipBytes reads so many lines and gives their length.
func skipBytes(r io.Reader, lines int, term byte) (n int64) {
	buf := make([]byte, 64<<10)
	for lines > 0 {
		k, err := r.Read(buf)
		b := buf[:k]
		for lines > 0 {
			i := bytes.IndexByte(b, term)
			if i < 0 {
				n += int64(len(b))
				break
			}
			n += int64(i + 1)
			b = b[i+1:]
			lines--
		}
		if err != nil {
			break
		}
	}
	return n
}

// untilLine ends a stream behind so many lines.
type untilLine struct {
	r     io.Reader
	lines int
	term  byte
}

func (u *untilLine) Read(p []byte) (int, error) {
	if u.lines <= 0 {
		return 0, io.EOF
	}
	n, err := u.r.Read(p)
	b := p[:n]
	for at := 0; ; {
		i := bytes.IndexByte(b[at:], u.term)
		if i < 0 {
			return n, err
		}
		at += i + 1
		if u.lines--; u.lines == 0 {
			return at, io.EOF
		}
	}
}
