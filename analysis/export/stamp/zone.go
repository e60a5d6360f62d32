package stamp

import (
	"time"
)

// How a local time fits its zone.
type fit uint8

const (
	once  fit = iota // the usual case
	twice            // in the repeated hour; the earlier of the two is given
	never            // in the skipped hour
)

// Clock turns local times into UTC. It remembers the stretch of constant
// offset that it was last in, so most calls are two comparisons. Not safe for
// use by several goroutines; copy it.
type Clock struct {
	Loc    *time.Location
	lo, hi int64 // local Unix seconds [lo, hi) with the one offset off
	off    int64
}

// utc gives the UTC seconds of a local civil time, both counted as if the local
// clock were UTC.
func (c *Clock) utc(local int64) (int64, fit) {
	if local >= c.lo && local < c.hi {
		return local - c.off, once
	}
	return c.slow(local)
}

const (
	longAgo = int64(-1 << 55)
	farOff  = int64(1 << 55)
	aDay    = int64(86400)
)

func (c *Clock) slow(local int64) (int64, fit) {
	before, after := c.offset(local-aDay), c.offset(local+aDay)
	a, b := local-before, local-after
	okA, okB := c.offset(a) == before, c.offset(b) == after
	switch {
	case okA && okB && a != b:
		if b < a {
			a = b
		}
		return a, twice
	case !okA && !okB:
		return b, never
	case !okA:
		a = b
	}
	c.remember(a)
	return a, once
}

func (c *Clock) offset(utc int64) int64 {
	_, o := time.Unix(utc, 0).In(c.Loc).Zone()
	return int64(o)
}

// remember notes the local stretch around a that only one offset claims.
func (c *Clock) remember(utc int64) {
	t := time.Unix(utc, 0).In(c.Loc)
	c.off = c.offset(utc)
	c.lo, c.hi = longAgo, farOff
	s, e := t.ZoneBounds()
	if !s.IsZero() {
		c.lo = s.Unix() + max(c.off, c.offset(s.Unix()-1))
	}
	if !e.IsZero() {
		c.hi = e.Unix() + min(c.off, c.offset(e.Unix()))
	}
}

// Later gives how many milliseconds the second pass of a repeated hour lies
// behind the first, for the first pass's UTC milliseconds.
func (c *Clock) Later(ms int64) int64 {
	s := ms / 1000
	_, e := time.Unix(s, 0).In(c.Loc).ZoneBounds()
	if e.IsZero() {
		return 0
	}
	return (c.offset(s) - c.offset(e.Unix())) * 1000
}

// daysFrom is the count of days from 1970-01-01 to a proleptic Gregorian date
// (the usual era arithmetic, as in Howard Hinnant's days_from_civil).
func daysFrom(y, m, d int) int64 {
	if m <= 2 {
		y--
	}
	era := y / 400
	if y < 0 {
		era = (y - 399) / 400
	}
	yoe := y - era*400
	mp := (m + 9) % 12
	doy := (153*mp+2)/5 + d - 1
	doe := yoe*365 + yoe/4 - yoe/100 + doy
	return int64(era)*146097 + int64(doe) - 719468
}

func monthDays(y, m int) int {
	switch m {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if y%4 == 0 && (y%100 != 0 || y%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// ChangeAfter gives the Unix seconds of the clock change that follows a time.
func (c *Clock) ChangeAfter(ms int64) int64 {
	_, e := time.UnixMilli(ms).In(c.Loc).ZoneBounds()
	if e.IsZero() {
		return farOff
	}
	return e.Unix()
}
