package export

import (
	"io"
	"slices"
	"strings"

	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/merge"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rows"
	"weirbook/analysis/export/sample"
	"weirbook/analysis/export/stamp"
)

// firstPass reads a table to its end, which is the beginning of the next if the
// file holds another.
func (r *reader) firstPass(t *table) (*merge.PassResult, error) {
	for {
		p, err := r.pass(t, nil)
		if err != nil || p.Turn == 0 {
			return p, err
		}
		r.forget(t)
		if next := r.lookAt(t, p.Turn); next != nil && p.Turn > t.firstLine() && !t.sameAgain(next) {
			t.nameByLines(next)
			t.next, t.until, t.F.Follow = next, p.Turn-1, false
		} else {
			t.F.NoTable[p.TurnText] = true
			t.F.NoteLateZone(p.TurnText, p.Turn)
			if t.F.Follow = len(t.F.NoTable) < 20; !t.F.Follow {
				t.F.Note(ledger.Warning, p.Turn, "many lines look like headings, and no table stands below them: headings of other columns are not looked for any more. If there is one further on, split the file there")
			}
		}
	}
}

// firstLine is the line of the table's first row.
func (t *table) firstLine() int { return t.From + t.F.Skip + 1 }

// lookAt looks at the table that begins at a line of the file of t; nil if there
// is none under a heading.
func (r *reader) lookAt(t *table, line int) *table {
	n := &table{Table: merge.Table{M: t.M, From: line - 1}, src: t.src, file: t.file, nth: t.nth + 1}
	if n.file == "" {
		n.file = t.M.Name
	}
	n.M.Name = ledger.TableName(n.file, line)
	n.M.Size = 0
	rc, err := t.M.Open()
	if err != nil {
		return nil
	}
	defer rc.Close()
	s, err := t.stream(rc)
	if err != nil {
		return nil
	}
	n.mark = t.mark
	n.offset = t.offset + record.SkipBytes(s, n.From-t.From, t.F.Term)
	if err := r.look(n); err != nil {
		return nil
	}
	f := n.F
	if !f.Headed && f.CaptionTag == "" && !(t.F.TimeHead != "" && strings.EqualFold(f.TimeHead, t.F.TimeHead)) {
		return nil
	}
	for i := range f.Notes {
		if f.Notes[i].Line > 0 {
			f.Notes[i].Line += n.From
		}
	}
	if f.StatedZone.Line > 0 {
		f.StatedZone.Line += n.From
	}
	if n.nth >= rows.MaxTables {
		f.Close(ledger.NotARow)
		f.Note(ledger.Error, line, "the file holds more than %d tables, one below the other; the rows from here on are set aside. Split the file before this line", rows.MaxTables)
		return n
	}
	if n.nth <= 3 { // the list of files tells the others
		f.Note(ledger.Note, line, "another heading begins here; the rows from here on are read as a table of their own")
	}
	return n
}

// sameAgain says whether what follows is the table itself, with the line that
// states its clock and its heading once more, as on every page of a print.
func (t *table) sameAgain(n *table) bool {
	a, b := t.F, n.F
	if b.StatedZone.Line == 0 || a.StatedZone.Text != b.StatedZone.Text || a.Above != b.Above || !t.sameHeads(n) || len(a.Cols) != len(b.Cols) {
		return false
	}
	for i := range a.Cols {
		if a.Cols[i].Name != b.Cols[i].Name {
			return false
		}
	}
	return true
}

// follows takes over what the table before has shown of the order of day and
// month and of quality numbers, if the table's own first rows do not, and the clock
// that a line above it states, if none above this one does.
func (t *table) follows(before *table) {
	t.F.Asked = before.F.Asked
	if t.F.StatedZone.Line == 0 {
		t.F.StatedZone = before.F.StatedZone
	} else if t.F.StatedZone.Text == before.F.StatedZone.Text {
		t.F.StatedZone.Announced = before.F.StatedZone.Announced
	}
	if t.F.HasQuality && !t.F.CodesSure && before.F.CodesSure {
		t.F.Codes, t.F.CodesSure = before.F.Codes, true
	}
	switch o := before.F.Time.Order; {
	case !t.F.TextTime || t.F.OrderSure || !before.F.TextTime:
	case o == stamp.DayFirst || o == stamp.MonthFirst || o == stamp.YearFirst:
		t.F.Time.Order, t.F.OrderSure = o, true
	}
}

// stream gives the table's text from where it begins in its file.
func (t *table) stream(rc io.ReadCloser) (io.Reader, error) {
	enc := ""
	if t.F != nil {
		enc = t.F.EncodingKey()
	}
	return record.DecodedFrom(rc, enc, t.offset, t.mark)
}

// nameByLines names the tags of two tables of the same heading by the lines above.
func (t *table) nameByLines(n *table) {
	if !t.F.ByFile || !n.F.ByFile || n.F.Above == "" || !t.sameHeads(n) {
		return
	}
	if t.F.Above != "" {
		t.nameByLine(0)
	}
	n.nameByLine(n.From)
}

func (t *table) nameByLine(from int) {
	f := t.F
	if f.Single == f.Above {
		return
	}
	f.Single = f.Above
	for i := range f.Cols {
		if c := &f.Cols[i]; c.Role == layout.RoleValue {
			c.Name = f.Above
		}
	}
	f.Notes = slices.DeleteFunc(f.Notes, func(m ledger.Message) bool { return m.Text == f.FileNote })
	f.Note(ledger.Note, from+f.HeadAt, "the tag is named above the heading: %s", f.Above)
}

// sameHeads says whether two tables have the same heading.
func (t *table) sameHeads(n *table) bool {
	return slices.EqualFunc(t.F.HeadLines, n.F.HeadLines, sample.SameCells)
}
