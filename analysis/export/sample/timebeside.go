package sample

import (
	"bytes"
	"fmt"
	"math"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/stamp"
)

// Columns beside the rows' times that belong to them: milliseconds, and the offset
// from UTC.

// milliHeads are headings of a column of milliseconds.
var milliHeads = lex.Set("ms", "msec", "msecs", "millisec", "millisecond", "milliseconds", "millis", "ミリ秒")

// OffsetHeads are headings of a column of offsets or abbreviations; with a unit behind
// ("UTC offset (min)"), too.
var OffsetHeads = lex.Set("utc offset", "gmt offset", "offset", "utcoffset", "utc_offset", "gmt_offset", "offset utc", "offset from utc", "offset from gmt", "time zone offset", "timezone offset", "tz offset", "tz_offset",
	"tz", "tzone", "time zone", "timezone", "time_zone", "zone", "zeitzone", "zona horaria", "fuseau horaire")

// findBeside finds such columns.
func (c *Candidate) findBeside(heads []string) {
	t := &c.Times
	if !t.found || t.Kind != stamp.TextTime {
		return
	}
	for k := range c.Kinds {
		q := &c.Kinds[k]
		if q.Full() == 0 || k == t.Time || k == t.Date || k == t.Clk || k == t.Hour || k == t.Minute || k == t.Half {
			continue
		}
		b := cell.Bare(heads[k])
		if milliHeads[b] && t.Milli < 0 && q.Number == q.Full() && q.min >= 0 && q.max <= 999 && q.wholeNumbers() && (k == t.Time+1 || k == t.Clk+1) {
			t.Milli = k
		}
		if OffsetHeads[b] && t.Off < 0 {
			if ms := q.offsets(strings.Contains(b, "offset")); ms > 0 {
				t.Off, t.OffUnit = k, ms
			}
		}
	}
}

// offsets says whether all cells are offsets from UTC, and what a plain number of them
// counts in: ms an hour, minute or second; 0: they are none. numbers says that plain
// ones may be.
func (k *ColKind) offsets(numbers bool) (unit int64) {
	most := 0.0
	for s := range k.Distinct {
		v, n := lex.ParseNumber([]byte(s), '.')
		switch {
		case n == len(s) && n > 0 && numbers && !strings.ContainsRune(s, ':'):
			most = max(most, math.Abs(v))
		default:
			if _, n := stamp.ParseOffset([]byte(s), nil); n != len(s) || n == 0 {
				return 0
			}
		}
	}
	for _, u := range []struct {
		ms          int64
		step, limit float64
	}{{3600_000, 0.25, 14}, {60_000, 15, 840}, {1000, 900, 50400}} {
		fits := most <= u.limit
		for s := range k.Distinct {
			if v, n := lex.ParseNumber([]byte(s), '.'); n == len(s) && n > 0 {
				fits = fits && math.Mod(v, u.step) == 0
			}
		}
		if fits {
			return u.ms
		}
	}
	return 0
}

// joinMilli adds milliseconds to a time of day, before an AM or PM. A time that can carry
// none is none.
func joinMilli(dst, ms []byte) []byte {
	v, n := lex.Digits(ms)
	end := len(dst)
	for end > 0 && (dst[end-1] == ' ' || dst[end-1] == '.' || lex.IsLetter(dst[end-1])) {
		end--
	}
	if n == 0 || n != len(ms) || v > 999 || end == 0 || dst[end-1]-'0' > 9 {
		return dst[:0]
	}
	half := string(dst[end:])
	dst = dst[:end]
	_, digits := lex.Digits(dst)
	switch colons := bytes.Count(dst, []byte{':'}); {
	case digits == end && end == 14, colons > 1: // 20260310001500, 00:15:00
	case digits == end && end == 12:
		dst = append(dst, "00"...)
	case colons == 1:
		dst = append(dst, ":00"...)
	default:
		return dst[:0]
	}
	dst = append(dst, '.', byte('0'+v/100), byte('0'+v/10%10), byte('0'+v%10))
	return append(dst, half...)
}

// joinOffset adds an offset to a time; a time without its offset is none.
func joinOffset(dst, off []byte, unit int64) []byte {
	if len(off) == 0 || len(dst) == 0 {
		return dst[:0]
	}
	if v, n := lex.ParseNumber(off, '.'); n == len(off) && bytes.IndexByte(off, ':') < 0 && math.Abs(v) <= 50400 {
		min := int64(math.Round(v * float64(unit) / 60_000))
		sign := '+'
		if min < 0 {
			sign, min = '-', -min
		}
		return fmt.Appendf(dst, " %c%02d:%02d", sign, min/60, min%60)
	}
	return append(append(dst, ' '), off...)
}
