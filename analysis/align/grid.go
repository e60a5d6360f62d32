// Package align puts a tag's irregular readings onto clock windows: minutes,
// local hours and local days, as time-weighted means with the share of each
// window that was really covered.
//
// What holds between two readings depends on how the tag is read: a straight
// line for a continuous signal, the last value for on-change and state tags,
// nothing for grabs. Nothing is bridged beyond a stated gap, and a window whose
// coverage is too small is not determined: NaN, never zero.
package align

import "time"

// Grid is a run of whole minutes. Column i of a minute series holds the mean of
// [Start + 60 i, Start + 60 (i+1)) seconds.
type Grid struct {
	Start int64 // Unix seconds, UTC, a whole minute
	N     int   // minutes
}

// GridOver gives the smallest grid that holds [from, to), both Unix milliseconds.
func GridOver(from, to int64) Grid {
	s := floorDiv(from, 60_000) * 60
	e := -floorDiv(-to, 60_000) * 60
	if e < s {
		e = s
	}
	return Grid{Start: s, N: int((e - s) / 60)}
}

// Time gives the start of minute i.
func (g Grid) Time(i int) time.Time { return time.Unix(g.Start+60*int64(i), 0).UTC() }

// Milli gives the start of minute i in Unix milliseconds.
func (g Grid) Milli(i int) int64 { return (g.Start + 60*int64(i)) * 1000 }

// Index gives the minute that holds t (Unix milliseconds); it may lie outside
// [0, N).
func (g Grid) Index(t int64) int { return int(floorDiv(t, 60_000) - g.Start/60) }

// Window is a span of time, [Start, End), in Unix milliseconds.
type Window struct{ Start, End int64 }

// Hours cuts [from, to) into the local hours that touch it. At a clock change
// the day has 23 or 25 of them; in a zone whose offset changes by half an hour
// an hour may be shorter or longer.
func Hours(from, to int64, loc *time.Location) []Window {
	t := time.UnixMilli(from).In(loc)
	// Whole hours on the wall are whole hours of UTC plus the offset.
	_, off := t.Zone()
	s := floorDiv(from/1000+int64(off), 3600)*3600 - int64(off)
	var out []Window
	for s*1000 < to {
		e := nextLocalHour(s, loc)
		out = append(out, Window{s * 1000, e * 1000})
		s = e
	}
	return out
}

func nextLocalHour(s int64, loc *time.Location) int64 {
	_, off := time.Unix(s, 0).In(loc).Zone()
	e := (floorDiv(s+int64(off), 3600)+1)*3600 - int64(off)
	if _, o2 := time.Unix(e, 0).In(loc).Zone(); (int64(o2)-int64(off))%3600 != 0 {
		// The offset changed by a part of an hour: end on the new clock's hour.
		f := floorDiv(e+int64(o2), 3600)*3600 - int64(o2)
		if f > s {
			e = f
		}
	}
	return e
}

// Days cuts [from, to) into the local calendar days that touch it.
func Days(from, to int64, loc *time.Location) []Window {
	t := time.UnixMilli(from).In(loc)
	var out []Window
	for k := 0; ; k++ {
		a, z := StartOfDay(t.Year(), t.Month(), t.Day()+k, loc), StartOfDay(t.Year(), t.Month(), t.Day()+k+1, loc)
		if a >= to {
			return out
		}
		if z > a { // a day may be missing, where a country crossed the date line
			out = append(out, Window{a, z})
		}
	}
}

// StartOfDay is the first moment of a local date, Unix milliseconds. Where summer time
// begins at midnight there is no 00:00, and the day begins at the change.
func StartOfDay(year int, month time.Month, day int, loc *time.Location) int64 {
	t := time.Date(year, month, day, 0, 0, 0, 0, loc)
	want := time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
	if y, m, d := t.Date(); time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Before(want) {
		if _, end := t.ZoneBounds(); !end.IsZero() {
			t = end
		}
	}
	return t.UnixMilli()
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b != 0 && (a < 0) != (b < 0) {
		q--
	}
	return q
}
