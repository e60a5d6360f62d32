package export

import "fmt"

// dateLooks is what the times met tell about how they are to be read. It holds
// nothing that depends on how often a time was met, since rows that repeat one are
// not looked at again.
type dateLooks struct {
	// sawDay, sawMonth: a date that only fits day-first, only month-first.
	sawDay, sawMonth bool
	numeric          bool // a date of three numbers without the year in front was met
	differs          bool // one that is another day when read the other way round

	// Of dates with a year of two digits: whether all fit that order, and the days
	// from the first to the last when read so. Only where short.
	short, dash bool // some have one; written with '-'
	notYear     bool // some date does not fit year-first
	spans       [4]daySpan

	offsets        bool // times that carry their own offset were met
	offLow, offTop int64
	odd            zoneOddity // the first by time
}

// daySpan is the first and the last day met, in days since 1970.
type daySpan struct{ from, to int64 }

func (d daySpan) days() int64 { return d.to - d.from }

// met notes a date of three numbers, the first of n digits and the last of k.
func (l *dateLooks) met(a, e, g, n, k int, sep byte) {
	day, month := a <= 31 && e <= 12, a <= 12 && e <= 31
	if !day && !month {
		return
	}
	l.numeric = true
	switch {
	case day && !month:
		l.sawDay = true
	case month && !day:
		l.sawMonth = true
	case a != e:
		l.differs = true
	}
	if n != 2 || k != 2 {
		l.notYear = true
		return
	}
	dash := sep == '-'
	if !l.short {
		for o := range l.spans {
			l.spans[o] = daySpan{1 << 40, -1 << 40}
		}
	}
	l.short, l.dash = true, l.dash || dash
	l.notYear = !l.span(yearFirst, a, e, g) || l.notYear
	l.span(dayFirst, g, e, a)
	l.span(monthFirst, g, a, e)
}

func (l *dateLooks) span(o dateOrder, y, m, d int) bool {
	y = century(y, 2)
	if validDate(y, m, d) != timeOK {
		return false
	}
	n := daysFrom(y, m, d)
	s := &l.spans[o]
	s.from, s.to = min(s.from, n), max(s.to, n)
	return true
}

// own notes an offset that a time carries.
func (l *dateLooks) own(off int64) {
	if !l.offsets {
		l.offsets, l.offLow, l.offTop = true, off, off
		return
	}
	l.offLow, l.offTop = min(l.offLow, off), max(l.offTop, off)
}

// join takes over what another stretch of the file told.
func (l *dateLooks) join(o dateLooks) {
	l.sawDay, l.sawMonth = l.sawDay || o.sawDay, l.sawMonth || o.sawMonth
	l.numeric, l.differs = l.numeric || o.numeric, l.differs || o.differs
	l.dash, l.notYear = l.dash || o.dash, l.notYear || o.notYear
	switch {
	case o.short && !l.short:
		l.short, l.spans = true, o.spans
	case o.short:
		for k, s := range o.spans {
			l.spans[k] = daySpan{min(l.spans[k].from, s.from), max(l.spans[k].to, s.to)}
		}
	}
	if o.offsets {
		l.own(o.offLow)
		l.own(o.offTop)
	}
	l.odd.join(o.odd)
}

// yearFirst says whether dates such as 26-03-08, which fit year-first, are so
// meant. They are where that makes them run on while the other order, day-first or
// month-first, makes them leap by years. sure is false where neither does. The days
// that either way spans are given too, 0 for an order that does not fit all.
func (l *dateLooks) yearFirst() (yes, sure bool, year, other int64) {
	if !l.short || l.notYear {
		return false, true, 0, 0
	}
	year = l.spans[yearFirst].days() + 1
	for _, o := range []dateOrder{dayFirst, monthFirst} {
		n := l.spans[o].days() + 1
		out := o == dayFirst && l.sawMonth || o == monthFirst && l.sawDay
		if !out && n > 0 && (other == 0 || n < other) {
			other = n
		}
	}
	switch {
	case other == 0 || year*2 < other:
		return true, true, year, other
	case other*2 < year:
		return false, true, year, other
	}
	return false, false, year, other
}

// shortDates settles dates whose year has two digits and says so. It gives true
// where the order is another now, so that the file has to be read again.
func (r *reader) shortDates(t *table, l *dateLooks) (again bool) {
	yes, sure, year, other := l.yearFirst()
	switch {
	case yes:
		span := "they fit no other order"
		if other > 0 {
			span = fmt.Sprintf("so they span %d days, with the year last %d", year, other)
		}
		r.message(Note, t.m.name, 0, "dates with a year of two digits are read year first: "+span+". Write date_order = \"dmy\" or \"mdy\" for the file under [[source]] in plant.toml if that is wrong")
		t.f.tm.order, t.f.orderSure = yearFirst, true
		return true
	case !sure && l.dash:
		r.message(Error, t.m.name, 0, "every date fits year-first as well as with the year last, and nothing tells which, so the file is not read. Write date_order = \"ymd\", \"dmy\" or \"mdy\" for it under [[source]] in plant.toml")
		t.f.tm.order, t.f.orderSure = orderAsk, true
		return true
	case !sure:
		r.message(Warning, t.m.name, 0, "every date fits year-first as well; they are read with the year last. Write date_order = \"ymd\" for the file under [[source]] in plant.toml if that is wrong")
	}
	return false
}
