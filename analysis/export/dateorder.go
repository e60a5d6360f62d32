package export

import (
	"bytes"
	"io"
)

// settleOrder settles the order of day, month and year by all dates of a file. It
// gives true where the file has to be read again.
func (r *reader) settleOrder(t *table, p *passed) (again bool) {
	f, l := t.f, &p.dates
	if !f.textTime || f.orderTold {
		return false
	}
	if r.shortDates(t, l) {
		return true
	}
	if f.orderSure {
		return false
	}
	switch {
	case l.sawDay && !l.sawMonth:
		f.tm.order = dayFirst
	case !l.sawDay && l.sawMonth:
		f.tm.order = monthFirst
	case l.sawDay && l.sawMonth:
		f.tm.order = monthFirst
		r.message(Warning, t.m.name, 0, "some dates only fit day-first and some only month-first; the file is read month-first. State date_order under [[source]] in plant.toml if that is wrong")
	case l.differs:
		f.tm.order = orderAsk
		r.message(Error, t.m.name, 0, "every date fits day-first as well as month-first, so the file is not read. Write date_order = \"dmy\" or \"mdy\" for it under [[source]] in plant.toml")
	case l.numeric: // such as 03/03/2026: the same day either way
		f.tm.order = monthFirst
	}
	return f.tm.order == dayFirst || f.tm.order == orderAsk
}

// order settles the date order from the rule, or from the first rows and some
// spots of the file; the pass over all rows has the last word.
func (r *reader) order(t *table, head []byte) {
	f := t.f
	if !f.textTime {
		f.orderSure = true
		return
	}
	if t.src != nil {
		switch t.src.DateOrder {
		case "ymd":
			f.tm.order, f.orderTold = yearFirst, true
		case "dmy":
			f.tm.order, f.orderTold = dayFirst, true
		case "mdy":
			f.tm.order, f.orderTold = monthFirst, true
		}
		if f.orderTold {
			f.orderSure = true
			return
		}
	}
	if f.times.ymd != nil {
		f.tm.order, f.orderSure = yearFirst, true
		return
	}
	day, month, dots, short := r.orderOf(f, head)
	if t.offset == 0 {
		d2, m2, _, _ := r.spots(t)
		day, month = day || d2, month || m2
	}
	switch {
	case day && !month:
		f.tm.order = dayFirst
	case month && !day:
		f.tm.order = monthFirst
	case dots && !month:
		f.tm.order, f.orderSure = dayFirst, true
		f.note(Note, 0, "dates with points are taken as day.month.year")
	case short:
		f.tm.order = yearFirst
	}
	// A guess from a part of the file stays open to the pass over all of it,
	// unless the part has shown a date that fits one order only: then the
	// other order is out, and dates that fit only it are set aside.
	if day != month {
		f.orderSure = true
	}
}

// orderOf watches the dates of a stretch of whole rows.
func (r *reader) orderOf(f *format, b []byte) (day, month, dots, short bool) {
	tm := timeReader{clock: zoneOf(nil)}
	fine, yearly := 0, 0
	ty := timeReader{clock: zoneOf(nil), order: yearFirst}
	for cell := range f.timeCells(b) {
		if _, st := tm.civil(cell); st == timeOK {
			fine++
			if len(cell) > 6 && (cell[1] == '.' || cell[2] == '.') {
				dots = true
			}
		} else if tm.dates.sawDay {
			fine++
		}
		if _, st := ty.civil(cell); st == timeOK {
			yearly++
		}
	}
	return tm.dates.sawDay && fine > 0, tm.dates.sawMonth, dots, fine == 0 && yearly > 0
}

// spots looks at dates further on in a file with random access.
func (r *reader) spots(t *table) (day, month, dots, short bool) {
	if t.m.packed != "" || t.m.size < 2*sniffBytes || t.f.encoding != "utf-8" && t.f.encoding != "windows-1252" && t.f.encoding != "UTF-8" {
		return
	}
	rc, err := t.m.open()
	if err != nil {
		return
	}
	defer rc.Close()
	at, ok := rc.(io.ReaderAt)
	if !ok {
		return
	}
	buf := make([]byte, 4096)
	for i := int64(1); i <= 32; i++ {
		n, _ := at.ReadAt(buf, t.m.size/33*i)
		b := buf[:n]
		if k := bytes.IndexByte(b, t.f.term); k >= 0 {
			b = b[k+1:]
		}
		if k := bytes.LastIndexByte(b, t.f.term); k >= 0 {
			b = b[:k+1]
		}
		d, m, _, _ := r.orderOf(t.f, b)
		day, month = day || d, month || m
	}
	return
}
