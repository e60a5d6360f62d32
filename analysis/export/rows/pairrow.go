package rows

import (
	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/stamp"
)

// readPairTime is the time that a value of its own time has in this row.
func (w *Worker) readPairTime(o *layout.PairTime) (ms int64, st stamp.TimeStatus, blank bool) {
	get := func(k int) []byte {
		if k >= 0 && k < len(w.fields) {
			return lex.Trim(w.fields[k])
		}
		return nil
	}
	w.join = append(w.join[:0], get(o.Col)...)
	if blank = len(w.join) == 0; blank {
		return 0, stamp.TimeBad, true
	}
	if o.Clk >= 0 {
		w.join = append(append(w.join, ' '), get(o.Clk)...)
	}
	if o.Clock != "" {
		w.join = append(append(w.join, ' '), o.Clock...)
	}
	ms, st = w.Time.Read(w.join)
	return ms, st, false
}

// pairRow reads a row whose values have times of their own; false if none of them
// can be read.
func (w *Worker) pairRow(row []byte, off int) bool {
	f, n := w.f, len(w.fields)
	if n > len(f.Cols) {
		return false
	}
	type readTime struct {
		ms    int64
		st    stamp.TimeStatus
		blank bool
	}
	times, any := make([]readTime, len(f.PairTimes)), false
	for i := range f.PairTimes {
		t := &times[i]
		t.ms, t.st, t.blank = w.readPairTime(&f.PairTimes[i])
		any = any || t.st <= stamp.TimeTwice
	}
	if !any {
		return false
	}
	held := w.cells()
	for i := range held {
		x := &held[i]
		t := &times[x.col.Pair]
		why := ledger.BadTime
		switch blank := len(lex.Trim(x.text)) == 0; {
		case t.st <= stamp.TimeTwice && !x.missing:
			w.wideCell(x, t.ms, t.st, off)
			continue
		case t.st <= stamp.TimeTwice:
			why = ledger.CutShort
		case blank:
			why = ledger.BlankValue
		case t.st == stamp.TimeNever:
			why = ledger.NoSuchTime
		case t.st == stamp.TimeUnsure:
			why = ledger.DateOrder
		}
		s := w.B.seg(x.col.Tag)
		s.Rows++
		s.Aside[why]++
		w.B.setAside(off, x.col.Tag, why, row)
	}
	return true
}
