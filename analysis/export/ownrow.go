package export

// readOwnTime is the time that a value of its own time has in this row.
func (w *worker) readOwnTime(o *ownTime) (ms int64, st timeStatus, blank bool) {
	get := func(k int) []byte {
		if k >= 0 && k < len(w.fields) {
			return trim(w.fields[k])
		}
		return nil
	}
	w.join = append(w.join[:0], get(o.col)...)
	if blank = len(w.join) == 0; blank {
		return 0, timeBad, true
	}
	if o.clk >= 0 {
		w.join = append(append(w.join, ' '), get(o.clk)...)
	}
	if o.clock != "" {
		w.join = append(append(w.join, ' '), o.clock...)
	}
	ms, st = w.tm.read(w.join)
	return ms, st, false
}

// ownRow reads a row whose values have times of their own; false if none of them
// can be read.
func (w *worker) ownRow(row []byte, off int) bool {
	f, n := w.f, len(w.fields)
	if n > len(f.cols) {
		return false
	}
	type readTime struct {
		ms    int64
		st    timeStatus
		blank bool
	}
	times, any := make([]readTime, len(f.own)), false
	for i := range f.own {
		t := &times[i]
		t.ms, t.st, t.blank = w.readOwnTime(&f.own[i])
		any = any || t.st <= timeTwice
	}
	if !any {
		return false
	}
	held := w.cells()
	for i := range held {
		x := &held[i]
		t := &times[x.col.own]
		why := BadTime
		switch blank := len(trim(x.text)) == 0; {
		case t.st <= timeTwice && !x.missing:
			w.wideCell(x, t.ms, t.st, off)
			continue
		case t.st <= timeTwice:
			why = CutShort
		case blank:
			why = BlankValue
		case t.st == timeNever:
			why = NoSuchTime
		case t.st == timeUnsure:
			why = DateOrder
		}
		s := w.b.seg(x.col.tag)
		s.rows++
		s.aside[why]++
		w.b.setAside(off, x.col.tag, why, row)
	}
	return true
}
