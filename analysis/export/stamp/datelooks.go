package stamp

// DateLooks is what the times met tell about how they are to be read. It holds
// nothing that depends on how often a time was met, since rows that repeat one are
// not looked at again.
type DateLooks struct {
	// SawDay, SawMonth: a date that only fits day-first, only month-first.
	SawDay, SawMonth bool
	Numeric          bool // a date of three numbers without the year in front was met
	Differs          bool // one that is another day when read the other way round

	// Of dates with a year of two digits: whether all fit that order, and the days
	// from the first to the last when read so. Only where short.
	short, Dash bool // some have one; written with '-'
	notYear     bool // some date does not fit year-first
	spans       [4]daySpan

	Offsets        bool // times that carry their own offset were met
	OffLow, OffTop int64
	Odd            zoneOddity // the first by time
}

// daySpan is the first and the last day met, in days since 1970.
type daySpan struct{ from, to int64 }

func (d daySpan) days() int64 { return d.to - d.from }

// met notes a date of three numbers, the first of n digits and the last of k.
func (l *DateLooks) met(a, e, g, n, k int, sep byte) {
	day, month := a <= 31 && e <= 12, a <= 12 && e <= 31
	if !day && !month {
		return
	}
	l.Numeric = true
	switch {
	case day && !month:
		l.SawDay = true
	case month && !day:
		l.SawMonth = true
	case a != e:
		l.Differs = true
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
	l.short, l.Dash = true, l.Dash || dash
	l.notYear = !l.span(YearFirst, a, e, g) || l.notYear
	l.span(DayFirst, g, e, a)
	l.span(MonthFirst, g, a, e)
}

func (l *DateLooks) span(o DateOrder, y, m, d int) bool {
	y = century(y, 2)
	if validDate(y, m, d) != TimeOK {
		return false
	}
	n := daysFrom(y, m, d)
	s := &l.spans[o]
	s.from, s.to = min(s.from, n), max(s.to, n)
	return true
}

// own notes an offset that a time carries.
func (l *DateLooks) own(off int64) {
	if !l.Offsets {
		l.Offsets, l.OffLow, l.OffTop = true, off, off
		return
	}
	l.OffLow, l.OffTop = min(l.OffLow, off), max(l.OffTop, off)
}

// Join takes over what another stretch of the file told.
func (l *DateLooks) Join(o DateLooks) {
	l.SawDay, l.SawMonth = l.SawDay || o.SawDay, l.SawMonth || o.SawMonth
	l.Numeric, l.Differs = l.Numeric || o.Numeric, l.Differs || o.Differs
	l.Dash, l.notYear = l.Dash || o.Dash, l.notYear || o.notYear
	switch {
	case o.short && !l.short:
		l.short, l.spans = true, o.spans
	case o.short:
		for k, s := range o.spans {
			l.spans[k] = daySpan{min(l.spans[k].from, s.from), max(l.spans[k].to, s.to)}
		}
	}
	if o.Offsets {
		l.own(o.OffLow)
		l.own(o.OffTop)
	}
	l.Odd.join(o.Odd)
}

// YearFirst says whether dates such as 26-03-08, which fit year-first, are so
// meant. They are where that makes them run on while the other order, day-first or
// month-first, makes them leap by years. sure is false where neither does. The days
// that either way spans are given too, 0 for an order that does not fit all.
func (l *DateLooks) YearFirst() (yes, sure bool, year, other int64) {
	if !l.short || l.notYear {
		return false, true, 0, 0
	}
	year = l.spans[YearFirst].days() + 1
	for _, o := range []DateOrder{DayFirst, MonthFirst} {
		n := l.spans[o].days() + 1
		out := o == DayFirst && l.SawMonth || o == MonthFirst && l.SawDay
		if !out && n > 0 && (other == 0 || n < other) {
			other = n
		}
	}
	late := func(o DateOrder) bool { return l.spans[o].from >= lateDay }
	switch {
	case other == 0 || year*2 < other:
		return true, true, year, other
	case other*2 < year:
		return false, true, year, other
	case l.spans[YearFirst].to < earlyDay && (late(DayFirst) || late(MonthFirst)):
		return false, true, year, other
	}
	return false, false, year, other
}

// Exports are of late years: dates that the year last puts behind lateDay, and the year
// first before earlyDay, have it last. Days since 1970, 2015-01-01 and 2010-01-01. Our
// choice.
const (
	lateDay  = 16436
	earlyDay = 14610
)
