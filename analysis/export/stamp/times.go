// Package stamp reads a cell of date and time as a moment in UTC: the forms of
// dates and clocks, offsets and abbreviations of zones, the hours that a clock
// change skips and repeats. Which column holds the times is not its matter.
package stamp

import (
	"bytes"
	"encoding/binary"
	"math"
	"time"

	"weirbook/analysis/export/lex"
)

// TimeStatus says what became of a time cell.
type TimeStatus uint8

const (
	TimeOK     TimeStatus = iota
	TimeTwice             // in a repeated hour: the earlier of the two is given
	TimeNever             // in a skipped hour
	TimeBad               // not a time
	TimeUnsure            // day-first or month-first is not known
	timeBlank
)

// TimeKind is how a file writes its times.
type TimeKind uint8

const (
	TextTime   TimeKind = iota // digits with separators, months by name, yyyyMMdd…
	SerialTime                 // spreadsheet serial: days since 1899-12-30, local
	EpochTime                  // seconds since 1970, UTC
	MilliTime                  // milliseconds since 1970, UTC
	MicroTime                  // microseconds since 1970, UTC
	NanoTime                   // nanoseconds since 1970, UTC
)

var TimeKindNames = []string{"calendar text", "spreadsheet serial days", "seconds since 1970 UTC", "milliseconds since 1970 UTC", "microseconds since 1970 UTC", "nanoseconds since 1970 UTC"}

// DateOrder of a date written as three numbers.
type DateOrder uint8

const (
	OrderUnknown DateOrder = iota // read as month-first for now, and watch
	YearFirst
	DayFirst
	MonthFirst
	OrderAsk // fits both: nothing is read
)

var OrderNames = []string{"not known", "year first", "day first", "month first", "day or month first not known"}

// TimeReader reads time cells. Not safe for several goroutines; copy it.
type TimeReader struct {
	Clock      Clock
	Kind       TimeKind
	Order      DateOrder
	Names      map[string]int64 // abbreviations that the file's zone uses: see NamesOf
	ZoneStated bool             // plant.toml states the clock of this source
	Shift      int64            // ms added to every time: the source's clock offset
	Fixed      bool             // offset stated in the heading
	Offset     int64            // seconds east of UTC, if fixed
	Dates      DateLooks

	// MidnightEnds: 00:00 beside a date is the end of that day, as 24:00 is.
	MidnightEnds bool

	// The minute last met, when a cell's first 16 bytes are a date and hh:mm.
	key0     uint64
	key1     uint64
	KeyOK    bool
	keyCivil int64 // ms
	keyUTC   int64 // ms
	keyStat  TimeStatus
	Hot      hotMinute

	Cell   []byte // the cell last met
	cellMS int64
	cellSt TimeStatus
}

// Fast reads a time at the start of b when its minute is the one last met. It
// gives the length read, 0 when it cannot tell.
func (r *TimeReader) Fast(b []byte) (ms int64, st TimeStatus, n int) {
	if len(b) < 16 || !r.KeyOK ||
		binary.LittleEndian.Uint64(b) != r.key0 || binary.LittleEndian.Uint64(b[8:]) != r.key1 {
		return 0, 0, 0
	}
	n = 16
	var add int64
	if len(b) >= 19 && b[16] == ':' {
		d1, d2 := b[17]-'0', b[18]-'0'
		if d1 > 5 || d2 > 9 {
			return 0, 0, 0
		}
		add = int64(d1)*10000 + int64(d2)*1000
		n = 19
		if n+1 < len(b) && b[n] == '.' && b[n+1]-'0' <= 9 {
			scale := int64(100)
			for n++; n < len(b) && b[n]-'0' <= 9; n++ {
				add += int64(b[n]-'0') * scale
				scale /= 10
			}
		}
	}
	if n < len(b) {
		switch b[n] {
		case 'Z':
			r.Dates.own(0)
			return r.keyCivil + add + r.Shift, TimeOK, n + 1
		case '+', '-':
			off, k := ParseOffset(b[n:], nil)
			if k == 0 {
				return 0, 0, 0
			}
			r.Dates.own(off)
			return r.keyCivil + add - off*1000 + r.Shift, TimeOK, n + k
		}
	}
	if r.keyStat != TimeOK {
		return r.keyUTC + add, r.keyStat, n
	}
	return r.keyUTC + add, TimeOK, n
}

// Midnight says whether a time is in the first second of a day of the file's clock.
func (r *TimeReader) Midnight(ms int64) bool {
	const day = 24 * 60 * lex.Minute
	ms -= r.Shift
	if r.Fixed {
		return lex.FloorMod(ms+r.Offset*1000, day) < 1000
	}
	h, m, s := time.UnixMilli(ms).In(r.Clock.Loc).Clock()
	return h == 0 && m == 0 && s == 0
}

// Read reads a whole time cell.
func (r *TimeReader) Read(b []byte) (int64, TimeStatus) {
	if len(r.Cell) > 0 && bytes.Equal(b, r.Cell) {
		return r.cellMS, r.cellSt
	}
	ms, st := r.readNew(lex.Trim(b))
	r.Cell = append(r.Cell[:0], b...)
	r.cellMS, r.cellSt = ms, st
	return ms, st
}

func (r *TimeReader) readNew(b []byte) (int64, TimeStatus) {
	if len(b) == 0 {
		return 0, timeBlank
	}
	if r.Order == OrderAsk {
		return 0, TimeUnsure
	}
	switch r.Kind {
	case SerialTime, EpochTime, MilliTime, MicroTime, NanoTime:
		return r.number(Unwrapped(b))
	}
	c, st := r.Civil(b)
	if st != TimeOK {
		return 0, st
	}
	ms, st := r.local(c.Ms)
	if c.HasOff {
		c.HasOff = r.counts(&c)
	}
	if c.minuteEnd == 16 {
		r.key0, r.key1 = binary.LittleEndian.Uint64(b), binary.LittleEndian.Uint64(b[8:])
		r.KeyOK = true
		sub := lex.FloorMod(c.Ms, 60_000)
		r.keyCivil, r.keyUTC, r.keyStat = c.Ms-sub, ms-sub, st
		r.Hot.learn(r, b, c)
	}
	if c.HasOff { // the cell's own offset counts above the file's clock
		return c.Ms - c.off*1000 + r.Shift, TimeOK
	}
	return ms, st
}

// local turns civil milliseconds into UTC by the file's clock.
func (r *TimeReader) local(civil int64) (int64, TimeStatus) {
	if r.Fixed {
		return civil - r.Offset*1000 + r.Shift, TimeOK
	}
	sub := lex.FloorMod(civil, 1000)
	u, f := r.Clock.utc((civil - sub) / 1000)
	return u*1000 + sub + r.Shift, TimeStatus(f)
}

func (r *TimeReader) number(b []byte) (int64, TimeStatus) {
	v, n := lex.ParseNumber(b, '.')
	if n != len(b) {
		if w := bytes.IndexByte(b, ','); w > 0 {
			v, n = lex.ParseNumber(b, ',')
		}
	}
	if n == 0 || n != len(b) {
		return 0, TimeBad
	}
	switch r.Kind {
	case EpochTime:
		if v < -1e10 || v > 1e11 {
			return 0, TimeBad
		}
		return int64(math.Round(v*1000)) + r.Shift, TimeOK
	case MilliTime:
		if v < -1e13 || v > 1e14 {
			return 0, TimeBad
		}
		return int64(math.Round(v)) + r.Shift, TimeOK
	case MicroTime:
		if v < -1e16 || v > 1e17 {
			return 0, TimeBad
		}
		return int64(math.Round(v/1e3)) + r.Shift, TimeOK
	case NanoTime:
		if v < -1e19 || v > 1e20 {
			return 0, TimeBad
		}
		return int64(math.Round(v/1e6)) + r.Shift, TimeOK
	}
	if v < 1 || v > 200000 {
		return 0, TimeBad
	}
	// A serial printed to few decimals is rounded to what it can resolve.
	step := 1.0
	switch d := lex.Decimals(b); {
	case d <= 4:
		step = 60000
	case d <= 8:
		step = 1000
	}
	ms := math.Round((v-25569)*86400000/step) * step
	return r.local(int64(ms))
}

// CivilTime is a time as written, counted as if its clock were UTC.
type CivilTime struct {
	Ms        int64
	HasOff    bool
	off       int64  // seconds east
	word      string // the abbreviation that it is written as
	minuteEnd int    // where the minutes end in the cell
}

// Civil reads a date with or without a time of day.
func (r *TimeReader) Civil(b []byte) (c CivilTime, st TimeStatus) {
	whole := len(b)
	b = plainTime(Unwrapped(b))
	y, m, d, i, st := r.date(b)
	if st != TimeOK {
		return c, st
	}
	h, mi, s, ms, ok := 0, 0, 0, 0, true
	j := i
	for j < len(b) && (b[j] == ' ' || b[j] == 'T' || b[j] == 't' || b[j] == ',' || b[j] == '_' || b[j] == ':' || b[j] == '-' && j+1 < len(b) && b[j+1]-'0' <= 9) {
		j++
	}
	if j < len(b) {
		var n int
		h, mi, s, ms, n, ok = TimeOfDay(b[j:], &c, j, r.Names)
		if !ok {
			return c, TimeBad
		}
		if j += n; j < len(b) {
			return c, TimeBad
		}
		if r.MidnightEnds && h == 0 && mi == 0 && s == 0 {
			h = 24
		}
	}
	if s == 60 || h == 24 || len(b) != whole { // the next minute's, or the next day's, first second: its cell tells no minute; nor does one that was not plain
		c.minuteEnd = 0
	}
	c.Ms = (daysFrom(y, m, d)*86400+int64(h)*3600+int64(mi)*60+int64(s))*1000 + int64(ms)
	return c, TimeOK
}

// date reads a date and gives where it ends.
func (r *TimeReader) date(b []byte) (y, m, d, i int, st TimeStatus) {
	i = SkipWeekday(b)
	a, n := lex.Digits(b[i:])
	switch {
	case n >= 8: // yyyyMMdd, with hhmm[ss] perhaps joined
		y, m, d = lex.Num(b[i:i+4]), lex.Num(b[i+4:i+6]), lex.Num(b[i+6:i+8])
		i += 8
		return y, m, d, i, validDate(y, m, d)
	case n == 0:
		return monthFirstDate(b, i)
	case n == 3 || n > 4:
		return 0, 0, 0, 0, TimeBad
	}
	i += n
	if i >= len(b) {
		return 0, 0, 0, 0, TimeBad
	}
	sep := b[i]
	if sep != '-' && sep != '/' && sep != '.' && sep != ' ' {
		return 0, 0, 0, 0, TimeBad
	}
	i = skipOf(b, skipSep(b, i))
	if mo, k := MonthName(b[i:]); k > 0 { // 5-Jan-2026, 2026-Jan-05
		i = skipOf(b, skipSep(b, i+k))
		e, k := lex.Digits(b[i:])
		if k == 0 || k == 3 || k > 4 {
			return 0, 0, 0, 0, TimeBad
		}
		if n == 4 {
			return a, mo, e, i + k, validDate(a, mo, e)
		}
		e = century(e, k)
		return e, mo, a, i + k, validDate(e, mo, a)
	}
	return r.numericDate(b, i, a, n, sep)
}

// monthFirstDate reads January 5, 2026.
func monthFirstDate(b []byte, at int) (y, m, d, i int, st TimeStatus) {
	mo, k := MonthName(b[at:])
	if k == 0 {
		return 0, 0, 0, 0, TimeBad
	}
	i = skipSep(b, at+k)
	d, n := lex.Digits(b[i:])
	if n == 0 || n > 2 {
		return 0, 0, 0, 0, TimeBad
	}
	i = skipSep(b, i+n)
	if y, n = lex.Digits(b[i:]); n != 4 && n != 2 {
		return 0, 0, 0, 0, TimeBad
	}
	y = century(y, n)
	return y, mo, d, i + n, validDate(y, mo, d)
}

// numericDate reads the second and third number of a date, from i on, behind the first,
// a of n digits.
func (r *TimeReader) numericDate(b []byte, at, a, n int, sep byte) (y, m, d, i int, st TimeStatus) {
	i = at
	e, k := lex.Digits(b[i:])
	if k == 0 || k > 2 || i+k >= len(b) || b[i+k] != sep {
		return 0, 0, 0, 0, TimeBad
	}
	i += k + 1
	g, k := lex.Digits(b[i:])
	if k == 0 || k == 3 || k > 4 {
		return 0, 0, 0, 0, TimeBad
	}
	i += k
	if n == 4 || r.Order == YearFirst {
		y, m, d = century(a, n), e, g
		if k > 2 {
			return 0, 0, 0, 0, TimeBad
		}
		return y, m, d, i, validDate(y, m, d)
	}
	if k == 1 {
		return 0, 0, 0, 0, TimeBad
	}
	y = century(g, k)
	r.Dates.met(a, e, g, n, k, sep)
	if r.Order == DayFirst {
		return y, e, a, i, validDate(y, e, a)
	}
	return y, a, e, i, validDate(y, a, e)
}

func validDate(y, m, d int) TimeStatus {
	if y < 1900 || y > 2200 || m < 1 || m > 12 || d < 1 || d > monthDays(y, m) {
		return TimeBad
	}
	return TimeOK
}

// century widens two-digit years as POSIX does: 69–99 are 1969–1999.
func century(y, digits int) int {
	if digits > 2 {
		return y
	}
	if y >= 69 {
		return 1900 + y
	}
	return 2000 + y
}

// ZoneOf is the clock for a location.
func ZoneOf(loc *time.Location) Clock {
	if loc == nil {
		loc = time.UTC
	}
	return Clock{Loc: loc}
}
