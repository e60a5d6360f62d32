package sample

import (
	"bytes"
	"math"
	"strings"
	"time"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/stamp"
)

// clockForm is how a column of its own writes the time of day.
type clockForm uint8

const (
	ClockPlain    clockForm = iota // 06:15, 06.15.00, 6:15 AM
	clockFraction                  // 0.260417 of a day
	clockHHMM                      // 0615, 615
	clockHHMMSS                    // 061500, 61500
	clockByHand                    // 0815, 815, 8:15, 8 am, one way or another
	clockZeroDay                   // 1899-12-30 06:15, as spreadsheets and databases keep a time alone
	clockNone
)

var ClockFormNames = []string{"", " (fractions of a day)", " (HHMM)", " (HHMMSS)", " (written by hand)", " (beside a date that means nothing)"}

// ClockHeads are headings of a column that holds the time of day.
var ClockHeads = lex.Set("time", "time of day", "tod", "clock", "clock time", "hhmm", "hhmmss", "hh:mm", "hh:mm:ss", "sample time", "local time", "time_hhmm",
	"uhrzeit", "zeit", "hora", "heure", "tijd", "tid", "ora", "klockslag", "時刻")

// MinuteHeads are headings of a column of minutes beside one of hours.
var MinuteHeads = lex.Set("minute", "minutes", "min", "mi", "mm", "minuten", "minuto", "minutos", "分")

// clockColumn finds the time of day beside a column of dates by heading and cells;
// -1 where there is none.
func (c *Candidate) clockColumn(dates int, heads []string) (k int, form clockForm) {
	for k := range c.Kinds {
		if k == dates || !ClockHeads[cell.Bare(heads[k])] {
			continue
		}
		if form := c.Kinds[k].clockForm(); form != clockNone {
			return k, form
		}
	}
	return -1, clockNone
}

// clockForm says how a column headed as one of times of day writes them. A few small
// whole numbers can be hours as well as HHMM: they are neither.
func (q *ColKind) clockForm() clockForm {
	full := q.Full()
	if full == 0 {
		return clockNone
	}
	switch {
	case q.byHand():
		return clockByHand
	case q.Clock*10 >= full*6:
		return ClockPlain
	}
	if q.zeroDay() {
		return clockZeroDay
	}
	return q.unmarkedClock()
}

// unmarkedClock tells times of day that bear no colons.
func (q *ColKind) unmarkedClock() clockForm {
	dots, fractions, point, longest, shortest := 0, 0, false, 0, 99
	four, six, top := 0, 0, 0
	cells := 0
	for s := range q.Distinct {
		if !strings.ContainsAny(s, "0123456789") {
			continue // the heading, where it was taken for a row
		}
		cells++
		t := []byte(s)
		if isDotClock(t) {
			dots++
			continue
		}
		v, n := lex.Digits(t)
		if n == len(t) && n <= 6 {
			longest, shortest, top = max(longest, n), min(shortest, n), max(top, v)
			if n <= 4 && v/100 <= 24 && v%100 <= 59 {
				four++
			}
			if v/10000 <= 24 && v/100%100 <= 59 && v%100 <= 59 {
				six++
			}
		}
		if f, ok := fraction(t); ok {
			fractions++
			point = point || bytes.ContainsAny(t, ".,") && f > 0
		}
	}
	most := func(n int) bool { return n > 0 && n*10 >= cells*9 }
	switch {
	case most(dots):
		return ClockPlain
	case most(fractions) && point:
		return clockFraction
	case most(four) && (shortest == 4 || top > 24):
		return clockHHMM
	case most(six) && longest > 4:
		return clockHHMMSS
	}
	return clockNone
}

// byHand says whether times of day are written in several ways.
func (q *ColKind) byHand() bool {
	plain, digits, cells := 0, 0, 0
	for s := range q.Distinct {
		if !strings.ContainsAny(s, "0123456789") {
			continue
		}
		cells++
		switch v, n := lex.Digits([]byte(s)); {
		case n < len(s):
			var c stamp.CivilTime
			if _, _, _, _, k, ok := stamp.TimeOfDay([]byte(s), &c, 0, nil); ok && k == len(s) {
				plain++
			}
		case (n == 3 || n == 4) && v/100 <= 24 && v%100 <= 59:
			digits++
		}
	}
	return plain > 0 && (plain+digits)*10 >= cells*9 && (digits > 0 || q.Clock < q.Full())
}

// hoursOfDay says whether whole numbers are the hours of days: all of a day's, or
// those of several days.
func (q *ColKind) hoursOfDay(dates *ColKind) bool {
	full := q.Full()
	return q.Number >= full-1 && full > 0 && q.min >= 0 && q.max <= 24 && q.min == math.Trunc(q.min) && q.max == math.Trunc(q.max) &&
		(len(q.Distinct) >= 20 && len(q.Distinct) <= 26 || len(dates.Distinct) > 2 && q.max >= 12 && len(q.Distinct) <= 26)
}

// zeroDay says whether every cell is a time of day behind day zero of a
// spreadsheet's or database's calendar.
func (q *ColKind) zeroDay() bool {
	met := false
	for s := range q.Distinct {
		i := clockStart([]byte(s))
		if !strings.ContainsAny(s, "0123456789") {
			continue
		}
		met = true
		if i <= 0 || !strings.Contains(s[:i], "1899") && !strings.Contains(s[:i], "1900") {
			return false
		}
	}
	return met
}

// wholeNumbers says whether all numbers are whole.
func (q *ColKind) wholeNumbers() bool {
	for s := range q.Distinct {
		if v, n := lex.ParseNumber([]byte(s), '.'); n == len(s) && v != math.Trunc(v) {
			return false
		}
	}
	return true
}

// isDotClock tells 06.15.00.
func isDotClock(t []byte) bool {
	p := bytes.Split(t, []byte{'.'})
	if len(p) != 3 {
		return false
	}
	for i, x := range p {
		v, n := lex.Digits(x)
		if n != len(x) || n < 1 || n > 2 || i > 0 && n != 2 || v > 59 || i == 0 && v > 24 {
			return false
		}
	}
	return true
}

// fraction reads a fraction of a day, 0 to 1, with either decimal mark.
func fraction(t []byte) (float64, bool) {
	v, n := lex.ParseNumber(t, '.')
	if n != len(t) {
		v, n = lex.ParseNumber(t, ',')
	}
	return v, n > 0 && n == len(t) && v >= 0 && v <= 1
}

// clockStart gives where the time of day begins in a cell of date and time, -1 if it
// holds none.
func clockStart(t []byte) int {
	i := bytes.IndexByte(t, ':')
	if i < 1 {
		return -1
	}
	for i > 0 && t[i-1]-'0' <= 9 {
		i--
	}
	return i
}

// appendDate adds the cell of a column of dates. A midnight behind the date says
// nothing beside a column of times of day.
func appendDate(dst, t []byte) []byte {
	i := clockStart(t)
	if i <= 0 {
		return append(dst, t...)
	}
	var c stamp.CivilTime
	if h, m, s, ms, n, ok := stamp.TimeOfDay(t[i:], &c, 0, nil); !ok || n != len(t)-i || h%24 > 0 || m > 0 || s > 0 || ms > 0 || c.HasOff {
		return append(dst, t...)
	}
	return append(dst, bytes.TrimRight(t[:i], " Tt")...)
}

// appendSerialDate adds a spreadsheet's serial number of a day as a date; what is none
// stays as it is, for the time reader to refuse.
func appendSerialDate(dst, t []byte) []byte {
	v, n := lex.ParseNumber(t, '.')
	if n == 0 || n != len(t) || v != math.Trunc(v) || v < 1 || v > 109000 {
		return append(append(dst, '?'), t...)
	}
	return time.UnixMilli(int64(v-25569)*86400_000).UTC().AppendFormat(dst, "2006-01-02")
}

// appendClock adds a cell of times of day as hh:mm:ss; one of another form stays as
// it is, for the time reader to refuse.
func appendClock(dst, t []byte, form clockForm) []byte {
	v, n := lex.Digits(t)
	switch form {
	case clockFraction:
		if f, ok := fraction(t); ok {
			step := 1.0
			if lex.Decimals(t) <= 4 {
				step = 60 // to what the decimals can tell
			}
			s := int(math.Round(f*86400/step) * step)
			return appendHMS(dst, s/3600, s/60%60, s%60)
		}
	case clockHHMM, clockByHand:
		if n == len(t) && n > 0 && n <= 4 {
			return appendHMS(dst, v/100, v%100, 0)
		}
	case clockHHMMSS:
		if n == len(t) && n > 0 && n <= 6 {
			return appendHMS(dst, v/10000, v/100%100, v%100)
		}
	case clockZeroDay:
		if i := clockStart(t); i > 0 {
			return append(dst, t[i:]...)
		}
	}
	if form == clockFraction || form == clockZeroDay || len(t) == 0 {
		return append(dst, '?')
	}
	return append(dst, t...)
}

func appendHMS(dst []byte, h, m, s int) []byte {
	return append(dst, byte('0'+h/10), byte('0'+h%10), ':', byte('0'+m/10), byte('0'+m%10), ':', byte('0'+s/10), byte('0'+s%10))
}
