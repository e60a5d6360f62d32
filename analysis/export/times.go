package export

import (
	"bytes"
	"encoding/binary"
	"math"
	"time"
)

// timeStatus says what became of a time cell.
type timeStatus uint8

const (
	timeOK     timeStatus = iota
	timeTwice             // in a repeated hour: the earlier of the two is given
	timeNever             // in a skipped hour
	timeBad               // not a time
	timeUnsure            // day-first or month-first is not known
	timeBlank
)

// timeKind is how a file writes its times.
type timeKind uint8

const (
	textTime   timeKind = iota // digits with separators, months by name, yyyyMMdd…
	serialTime                 // spreadsheet serial: days since 1899-12-30, local
	epochTime                  // seconds since 1970, UTC
	milliTime                  // milliseconds since 1970, UTC
	microTime                  // microseconds since 1970, UTC
	nanoTime                   // nanoseconds since 1970, UTC
)

var timeKindNames = []string{"calendar text", "spreadsheet serial days", "seconds since 1970 UTC", "milliseconds since 1970 UTC", "microseconds since 1970 UTC", "nanoseconds since 1970 UTC"}

// dateOrder of a date written as three numbers.
type dateOrder uint8

const (
	orderUnknown dateOrder = iota // read as month-first for now, and watch
	yearFirst
	dayFirst
	monthFirst
	orderAsk // fits both: nothing is read
)

var orderNames = []string{"not known", "year first", "day first", "month first", "day or month first not known"}

// timeReader reads time cells. Not safe for several goroutines; copy it.
type timeReader struct {
	clock  clock
	kind   timeKind
	order  dateOrder
	names  map[string]int64 // abbreviations that the file's zone uses: see namesOf
	told   bool             // plant.toml states the clock of this source
	shift  int64            // ms added to every time: the source's clock offset
	fixed  bool             // offset stated in the heading
	offset int64            // seconds east of UTC, if fixed
	dates  dateLooks

	// The minute last met, when a cell's first 16 bytes are a date and hh:mm.
	key0     uint64
	key1     uint64
	keyOK    bool
	keyCivil int64 // ms
	keyUTC   int64 // ms
	keyStat  timeStatus
	hot      hotMinute

	cell   []byte // the cell last met
	cellMS int64
	cellSt timeStatus
}

// fast reads a time at the start of b when its minute is the one last met. It
// gives the length read, 0 when it cannot tell.
func (r *timeReader) fast(b []byte) (ms int64, st timeStatus, n int) {
	if len(b) < 16 || !r.keyOK ||
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
			r.dates.own(0)
			return r.keyCivil + add + r.shift, timeOK, n + 1
		case '+', '-':
			off, k := parseOffset(b[n:], nil)
			if k == 0 {
				return 0, 0, 0
			}
			r.dates.own(off)
			return r.keyCivil + add - off*1000 + r.shift, timeOK, n + k
		}
	}
	if r.keyStat != timeOK {
		return r.keyUTC + add, r.keyStat, n
	}
	return r.keyUTC + add, timeOK, n
}

// read reads a whole time cell.
func (r *timeReader) read(b []byte) (int64, timeStatus) {
	if len(r.cell) > 0 && bytes.Equal(b, r.cell) {
		return r.cellMS, r.cellSt
	}
	ms, st := r.readNew(trim(b))
	r.cell = append(r.cell[:0], b...)
	r.cellMS, r.cellSt = ms, st
	return ms, st
}

func (r *timeReader) readNew(b []byte) (int64, timeStatus) {
	if len(b) == 0 {
		return 0, timeBlank
	}
	if r.order == orderAsk {
		return 0, timeUnsure
	}
	switch r.kind {
	case serialTime, epochTime, milliTime, microTime, nanoTime:
		return r.number(unwrapped(b))
	}
	c, st := r.civil(b)
	if st != timeOK {
		return 0, st
	}
	ms, st := r.local(c.ms)
	if c.hasOff {
		c.hasOff = r.counts(&c)
	}
	if c.minuteEnd == 16 {
		r.key0, r.key1 = binary.LittleEndian.Uint64(b), binary.LittleEndian.Uint64(b[8:])
		r.keyOK = true
		sub := floorMod(c.ms, 60_000)
		r.keyCivil, r.keyUTC, r.keyStat = c.ms-sub, ms-sub, st
		r.hot.learn(r, b, c)
	}
	if c.hasOff { // the cell's own offset counts above the file's clock
		return c.ms - c.off*1000 + r.shift, timeOK
	}
	return ms, st
}

// local turns civil milliseconds into UTC by the file's clock.
func (r *timeReader) local(civil int64) (int64, timeStatus) {
	if r.fixed {
		return civil - r.offset*1000 + r.shift, timeOK
	}
	sub := floorMod(civil, 1000)
	u, f := r.clock.utc((civil - sub) / 1000)
	return u*1000 + sub + r.shift, timeStatus(f)
}

func (r *timeReader) number(b []byte) (int64, timeStatus) {
	v, n := parseNumber(b, '.')
	if n != len(b) {
		if w := bytes.IndexByte(b, ','); w > 0 {
			v, n = parseNumber(b, ',')
		}
	}
	if n == 0 || n != len(b) {
		return 0, timeBad
	}
	switch r.kind {
	case epochTime:
		if v < -1e10 || v > 1e11 {
			return 0, timeBad
		}
		return int64(math.Round(v*1000)) + r.shift, timeOK
	case milliTime:
		if v < -1e13 || v > 1e14 {
			return 0, timeBad
		}
		return int64(math.Round(v)) + r.shift, timeOK
	case microTime:
		if v < -1e16 || v > 1e17 {
			return 0, timeBad
		}
		return int64(math.Round(v/1e3)) + r.shift, timeOK
	case nanoTime:
		if v < -1e19 || v > 1e20 {
			return 0, timeBad
		}
		return int64(math.Round(v/1e6)) + r.shift, timeOK
	}
	if v < 1 || v > 200000 {
		return 0, timeBad
	}
	// A serial printed to few decimals is rounded to what it can resolve.
	step := 1.0
	switch d := decimals(b); {
	case d <= 4:
		step = 60000
	case d <= 8:
		step = 1000
	}
	ms := math.Round((v-25569)*86400000/step) * step
	return r.local(int64(ms))
}

func decimals(b []byte) int {
	if i := bytes.IndexAny(b, ".,"); i >= 0 {
		return len(b) - i - 1
	}
	return 0
}

// civilTime is a time as written, counted as if its clock were UTC.
type civilTime struct {
	ms        int64
	hasOff    bool
	off       int64  // seconds east
	word      string // the abbreviation that it is written as
	minuteEnd int    // where the minutes end in the cell
}

// civil reads a date with or without a time of day.
func (r *timeReader) civil(b []byte) (c civilTime, st timeStatus) {
	whole := len(b)
	b = plainTime(unwrapped(b))
	y, m, d, i, st := r.date(b)
	if st != timeOK {
		return c, st
	}
	h, mi, s, ms, ok := 0, 0, 0, 0, true
	j := i
	for j < len(b) && (b[j] == ' ' || b[j] == 'T' || b[j] == 't' || b[j] == ',' || b[j] == '_' || b[j] == ':' || b[j] == '-' && j+1 < len(b) && b[j+1]-'0' <= 9) {
		j++
	}
	if j < len(b) {
		var n int
		h, mi, s, ms, n, ok = timeOfDay(b[j:], &c, j, r.names)
		if !ok {
			return c, timeBad
		}
		if j += n; j < len(b) {
			return c, timeBad
		}
	}
	if s == 60 || h == 24 || len(b) != whole { // the next minute's, or the next day's, first second: its cell tells no minute; nor does one that was not plain
		c.minuteEnd = 0
	}
	c.ms = (daysFrom(y, m, d)*86400+int64(h)*3600+int64(mi)*60+int64(s))*1000 + int64(ms)
	return c, timeOK
}

// date reads a date and gives where it ends.
func (r *timeReader) date(b []byte) (y, m, d, i int, st timeStatus) {
	i = skipWeekday(b)
	a, n := digits(b[i:])
	switch {
	case n >= 8: // yyyyMMdd, with hhmm[ss] perhaps joined
		y, m, d = num(b[i:i+4]), num(b[i+4:i+6]), num(b[i+6:i+8])
		i += 8
		return y, m, d, i, validDate(y, m, d)
	case n == 0:
		mo, k := monthName(b[i:])
		if k == 0 {
			return 0, 0, 0, 0, timeBad
		}
		i = skipSep(b, i+k)
		if d, n = digits(b[i:]); n == 0 || n > 2 {
			return 0, 0, 0, 0, timeBad
		}
		i = skipSep(b, i+n)
		if y, n = digits(b[i:]); n != 4 && n != 2 {
			return 0, 0, 0, 0, timeBad
		}
		y = century(y, n)
		return y, mo, d, i + n, validDate(y, mo, d)
	case n == 3 || n > 4:
		return 0, 0, 0, 0, timeBad
	}
	i += n
	if i >= len(b) {
		return 0, 0, 0, 0, timeBad
	}
	sep := b[i]
	if sep != '-' && sep != '/' && sep != '.' && sep != ' ' {
		return 0, 0, 0, 0, timeBad
	}
	i = skipOf(b, skipSep(b, i))
	if mo, k := monthName(b[i:]); k > 0 { // 5-Jan-2026, 2026-Jan-05
		i = skipOf(b, skipSep(b, i+k))
		e, k := digits(b[i:])
		if k == 0 || k == 3 || k > 4 {
			return 0, 0, 0, 0, timeBad
		}
		if n == 4 {
			return a, mo, e, i + k, validDate(a, mo, e)
		}
		e = century(e, k)
		return e, mo, a, i + k, validDate(e, mo, a)
	}
	e, k := digits(b[i:])
	if k == 0 || k > 2 || i+k >= len(b) || b[i+k] != sep {
		return 0, 0, 0, 0, timeBad
	}
	i += k + 1
	g, k := digits(b[i:])
	if k == 0 || k == 3 || k > 4 {
		return 0, 0, 0, 0, timeBad
	}
	i += k
	if n == 4 || r.order == yearFirst {
		y, m, d = century(a, n), e, g
		if k > 2 {
			return 0, 0, 0, 0, timeBad
		}
		return y, m, d, i, validDate(y, m, d)
	}
	if k == 1 {
		return 0, 0, 0, 0, timeBad
	}
	y = century(g, k)
	r.dates.met(a, e, g, n, k, sep)
	if r.order == dayFirst {
		return y, e, a, i, validDate(y, e, a)
	}
	return y, a, e, i, validDate(y, a, e)
}

func validDate(y, m, d int) timeStatus {
	if y < 1900 || y > 2200 || m < 1 || m > 12 || d < 1 || d > monthDays(y, m) {
		return timeBad
	}
	return timeOK
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

// zoneOf is the clock for a location.
func zoneOf(loc *time.Location) clock {
	if loc == nil {
		loc = time.UTC
	}
	return clock{loc: loc}
}

func floorMod(a, b int64) int64 {
	m := a % b
	if m < 0 {
		m += b
	}
	return m
}
