package rows

import (
	"bytes"

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

// cutOff reports whether the row breaks off within the time: it is the last cell
// of a row that is too short, and begins as another time of the row does, which
// goes on ("2026-06-1" beside "2026-06-14 21:15").
func (w *Worker) cutOff(o *layout.PairTime) bool {
	last := len(w.fields) - 1
	if last+1 >= len(w.f.Cols) || o.Col != last && o.Clk != last {
		return false
	}
	text := lex.Trim(w.fields[last])
	for _, other := range w.f.PairTimes {
		k := other.Col
		if o.Clk == last {
			k = other.Clk
		}
		if k < 0 || k >= last {
			continue
		}
		if whole := lex.Trim(w.fields[k]); len(whole) > len(text) && bytes.HasPrefix(whole, text) {
			return true
		}
	}
	return false
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
		cut   bool // the row breaks off within it
	}
	times, any := make([]readTime, len(f.PairTimes)), false
	for i := range f.PairTimes {
		t := &times[i]
		t.ms, t.st, t.blank = w.readPairTime(&f.PairTimes[i])
		if w.cutOff(&f.PairTimes[i]) {
			t.st, t.cut = stamp.TimeBad, true
		}
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
		case t.st <= stamp.TimeTwice, t.cut:
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
