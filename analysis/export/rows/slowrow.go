package rows

import (
	"bytes"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/series"
)

// slow reads a row of any shape.
func (w *Worker) slow(row []byte, off int) {
	b := w.B
	defer func() { w.endOfDay = false }()
	if len(lex.Trim(row)) == 0 {
		b.Blanks++
		return
	}
	comment := w.f.Comment != 0 && row[0] == w.f.Comment && !cell.BeginsWithError(row, w.f.Sep)
	if w.otherTag(row) || comment && w.f.Follow && layout.StatesZone(row, w.f.SepBytes) && !w.f.NoTable[string(row)] {
		b.Turn = string(row)
		return
	}
	if comment {
		b.Comment++
		return
	}
	b.Rows++
	switch {
	case len(row) > record.MaxRecord, record.IsBinary(row):
		w.setRowAside(row, off, ledger.Damaged)
		return
	}
	w.split(row)
	n := len(w.fields)
	if record.TrimmedWidth(w.fields) == 0 { // separators only
		b.Rows--
		b.Blanks++
		return
	}
	for n > len(w.f.Cols) && len(lex.Trim(w.fields[n-1])) == 0 {
		n--
	}
	w.fields = w.fields[:n]
	if w.f.Closed {
		w.setRowAside(row, off, w.f.ClosedAs)
		return
	}
	filled := w.fillDown()
	ms, st := w.rowTime()
	if w.f.FillDown != nil && st <= stamp.TimeTwice && !filled {
		w.keepAbove()
	}
	if st > stamp.TimeTwice && w.nextTable(row) {
		b.Rows--
		b.Turn = string(row)
		return
	}
	if w.f.PairTimes != nil && w.pairRow(row, off) {
		return
	}
	switch why := w.unfit(n, st); {
	case why == ledger.NotARow:
		w.setRowAside(row, off, why)
	case why != 0:
		w.whole(row, off, why)
	case w.f.Shape == layout.Long:
		w.longRow(row, ms, st, off)
	default:
		w.wideCells(ms, st, off)
	}
}

// wideCells takes the values of a row of a wide table.
func (w *Worker) wideCells(ms int64, st stamp.TimeStatus, off int) {
	held := w.cells()
	for i := range held {
		if c := &held[i]; w.f.KindCol >= 0 {
			s := w.B.seg(c.col.Tag)
			if w.control(s, c.col.Tag, ms, c.text, off) {
				s.Rows++
				continue
			}
		}
		w.wideCell(&held[i], ms, st, off)
	}
}

// unfit says why a row of n fields cannot be taken, NotARow where it is none; 0 where it
// can.
func (w *Worker) unfit(n int, st stamp.TimeStatus) ledger.Reason {
	switch bad := st > stamp.TimeTwice; {
	case n < w.f.Need:
		if n > 1 && w.timeLike() && len(w.join) > 0 {
			return ledger.CutShort
		}
		return ledger.NotARow
	case n > len(w.f.Cols):
		if bad {
			return ledger.NotARow
		}
		return ledger.TooManyFields
	case !bad:
		return 0
	case st == stamp.TimeNever:
		return ledger.NoSuchTime
	case st == stamp.TimeUnsure:
		return ledger.DateOrder
	case w.likeARow():
		return ledger.BadTime
	}
	return ledger.NotARow
}

// setRowAside sets aside a row that belongs to no tag.
func (w *Worker) setRowAside(row []byte, off int, why ledger.Reason) {
	w.B.Untagged[why]++
	w.B.setAside(off, -1, why, row)
}

// whole sets aside a row whose columns are known: in a wide file every cell of
// it, in a long file the row of its tag.
func (w *Worker) whole(row []byte, off int, why ledger.Reason) {
	if w.f.Shape == layout.Long {
		tag := w.rowTag()
		if tag < 0 {
			w.setRowAside(row, off, why)
			return
		}
		s := w.B.seg(tag)
		s.Rows++
		s.Aside[why]++
		w.B.setAside(off, tag, why, row)
		return
	}
	for i := range w.f.Cols {
		if c := &w.f.Cols[i]; c.Role == layout.RoleValue {
			s := w.B.seg(c.Tag)
			s.Rows++
			s.Aside[why]++
		}
	}
	w.B.setAside(off, -1, why, row)
}

// likeARow says whether a row without a time looks like a reading all the same:
// enough fields, and a number or a blank where values stand.
func (w *Worker) likeARow() bool {
	if len(w.fields) < w.f.Need || !w.timeLike() {
		return false
	}
	good, all := 0, 0
	for k := range w.f.Cols {
		if w.f.Cols[k].Role == layout.RoleValue && k < len(w.fields) {
			all++
			if c := cell.ReadValue(w.fields[k], w.f.Dec); c.Kind == cell.CellNumber || c.Kind == cell.CellBadWord {
				good++
			}
		}
	}
	return good > 0 && good*2 >= all
}

// timeLike says whether what stands for the time is empty or begins as times
// do.
func (w *Worker) timeLike() bool {
	t := stamp.Unwrapped(lex.Trim(w.join))
	if len(t) == 0 || t[0]-'0' <= 9 || len(t) < 6 && cell.BlankWords[strings.ToLower(string(t))] {
		return true
	}
	if i := stamp.SkipWeekday(t); i > 0 && i < len(t) {
		return true
	}
	m, _ := stamp.MonthName(t)
	return m > 0 && bytes.ContainsAny(t, "0123456789")
}

// split cuts a row into fields, undoing quotes.
func (w *Worker) split(row []byte) {
	w.fields, w.arena = record.SplitRow(row, w.f.Sep, w.fields[:0], w.arena[:0])
}

// rowTag finds the tag of a long row, -1 if it names none.
func (w *Worker) rowTag() int {
	f := w.f
	if f.TagCol < 0 || f.TagCol >= len(w.fields) {
		return -1
	}
	cell := w.fields[f.TagCol]
	if f.PlaceCol >= 0 && f.PlaceCol < len(w.fields) {
		if p := lex.Trim(w.fields[f.PlaceCol]); len(p) > 0 && len(lex.Trim(cell)) > 0 {
			cell = append(append(append(make([]byte, 0, 64), p...), ' '), lex.Trim(cell)...)
		}
	}
	var unit []byte
	key := cell
	if f.UnitCol >= 0 {
		// Also for a row that ends before its unit: else it would take the unit
		// that this worker happened to meet last.
		if f.UnitCol < len(w.fields) {
			unit = w.fields[f.UnitCol]
		}
		key = append(append(append(make([]byte, 0, 64), cell...), 0), unit...)
	}
	if id, ok := w.ids[string(key)]; ok {
		return id
	}
	name := record.CleanName(cell)
	if name == "" {
		return -1
	}
	id, spec := w.tab.id(name, record.CleanName(unit))
	w.learn(id, spec, cell, unit)
	if f.DescCol >= 0 && f.DescCol < len(w.fields) && w.B != nil {
		w.B.Descs = append(w.B.Descs, TagText{id, record.CleanName(w.fields[f.DescCol])})
	}
	if len(w.ids) < 1<<16 {
		w.ids[string(key)] = id
		w.ids[string(cell)] = id // where longFast looks; it checks the unit
	}
	return id
}

func (w *Worker) longRow(row []byte, ms int64, st stamp.TimeStatus, off int) {
	f := w.f
	tag := w.rowTag()
	if tag < 0 {
		w.setRowAside(row, off, ledger.NoTag)
		return
	}
	if w.prev >= 0 {
		w.tags[w.prev].next = int32(tag)
	}
	w.prev = tag
	s := w.B.seg(tag)
	s.Rows++
	var q series.Flag
	hasQ := f.QualityCol >= 0 && f.QualityCol < len(w.fields)
	if hasQ {
		q = w.quality(tag, w.fields[f.QualityCol])
		w.metQuality(w.fields[f.QualityCol], q)
	} else if f.QualityCol < 0 {
		w.metQuality(nil, 0)
	}
	var unit, v []byte
	if f.UnitCol >= 0 && f.UnitCol < len(w.fields) {
		unit = w.fields[f.UnitCol]
	}
	if f.ValueCol < len(w.fields) {
		v = w.fields[f.ValueCol]
	}
	if f.Signed {
		for k := range w.fields {
			if k < len(f.Cols) && f.Cols[k].Role == layout.RoleSign {
				w.sign(&f.Cols[k], w.fields[k])
			}
		}
	}
	w.limit = w.limit[:0]
	for _, k := range f.LimitCols {
		if k < len(w.fields) && len(lex.Trim(w.fields[k])) > 0 {
			w.limit = append(w.limit, lex.Trim(w.fields[k])...)
			break
		}
	}
	if w.control(s, tag, ms, v, off) {
		return
	}
	w.cell(s, tag, w.specs[tag], ms, st, v, q, hasQ, unit, off)
}

// quality reads the quality of a tag's value.
func (w *Worker) quality(tag int, text []byte) series.Flag {
	if !w.f.ByTag {
		return w.Q.Read(text)
	}
	name := w.specs[tag].Name
	q := w.tagQ[name]
	if q == nil {
		if w.tagQ == nil {
			w.tagQ, w.TagCodes = map[string]*cell.QualityReader{}, map[string]map[uint64]int{}
		}
		q = &cell.QualityReader{Codes: w.f.TagCodes[name], Words: w.f.QualityWords}
		w.tagQ[name], w.TagCodes[name] = q, map[uint64]int{}
	}
	if code, ok := cell.QualityNumber(lex.Trim(text)); ok && len(w.TagCodes[name]) < 100 {
		w.TagCodes[name][code]++
	}
	return q.Read(text)
}

// rowTime reads the row's time from its columns.
func (w *Worker) rowTime() (int64, stamp.TimeStatus) {
	get := func(i int) []byte {
		if i >= 0 && i < len(w.fields) {
			return w.fields[i]
		}
		return nil
	}
	w.join = w.f.Times.Join(w.join[:0], get)
	w.endOfDay = bytes.Contains(w.join, []byte(" 24:0")) || bytes.Contains(w.join, []byte("T24:0"))
	return w.Time.Read(w.join)
}

// fillDown puts what stood above into blank cells of the row where its date is blank and
// the tag and the value are not: their cells are merged.
func (w *Worker) fillDown() bool {
	f := w.f
	if len(w.above) == 0 || len(w.fields) <= max(f.TagCol, f.ValueCol) || len(lex.Trim(w.fields[f.TagCol])) == 0 || len(lex.Trim(w.fields[f.ValueCol])) == 0 {
		return false
	}
	at := f.Times.At()
	if at >= len(w.fields) || len(lex.Trim(w.fields[at])) > 0 {
		return false
	}
	for i, k := range f.FillDown {
		switch {
		case k >= len(w.fields):
		case len(lex.Trim(w.fields[k])) == 0:
			w.fields[k] = w.above[i]
		case k == f.PlaceCol: // the rows below are of this place
			w.above[i] = append([]byte(nil), w.fields[k]...)
		}
	}
	return true
}

// keepAbove remembers the merged cells of a row with a date.
func (w *Worker) keepAbove() {
	w.above = w.above[:0]
	for _, k := range w.f.FillDown {
		var x []byte
		if k < len(w.fields) {
			x = append(x, w.fields[k]...)
		}
		w.above = append(w.above, x)
	}
}
