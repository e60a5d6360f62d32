package stamp

import (
	"strings"

	"weirbook/analysis/export/lex"
)

// TimeOfDay reads "6:30", "06:30:05.250 PM -06:00", "0630", "063005" or "24:00"
// at the start of b; at is b's place in the cell. own are the abbreviations of the
// file's zone.
func TimeOfDay(b []byte, c *CivilTime, at int, own map[string]int64) (h, m, s, ms, n int, ok bool) {
	if pm, k := halfOfDay(b); k > 0 {
		return timeBehindHalf(b, pm, skipBlanks(b, k), c, at, own)
	}
	h, m, s, i := hourMinuteSecond(b, c, at)
	if i == 0 {
		return 0, 0, 0, 0, 0, false
	}
	ms, i = fractionOfSecond(b, i)
	i = skipBlanks(b, i)
	if pm, k := halfOfDay(b[i:]); k > 0 {
		if h < 1 || h > 12 {
			return 0, 0, 0, 0, 0, false
		}
		if h %= 12; pm {
			h += 12
		}
		c.minuteEnd = 0 // the first bytes do not tell the minute
		i = skipBlanks(b, i+k)
	}
	if i < len(b) {
		k := c.offset(b[i:], own)
		if k == 0 {
			return 0, 0, 0, 0, 0, false
		}
		i += k
	}
	if h > 24 || m > 59 || s > 60 || h == 24 && (m > 0 || s > 0 || ms > 0) {
		return 0, 0, 0, 0, 0, false
	}
	return h, m, s, ms, i, true
}

// timeBehindHalf reads the rest of "PM 6:30", from i on.
func timeBehindHalf(b []byte, pm bool, i int, c *CivilTime, at int, own map[string]int64) (h, m, s, ms, n int, ok bool) {
	if i == len(b) || b[i]-'0' > 9 {
		return 0, 0, 0, 0, 0, false
	}
	h, m, s, ms, n, ok = TimeOfDay(b[i:], c, at+i, own)
	c.minuteEnd = 0
	if !ok || h > 12 {
		return 0, 0, 0, 0, 0, false
	}
	if h %= 12; pm {
		h += 12
	}
	return h, m, s, ms, n + i, true
}

// fractionOfSecond reads ".250" at i, as milliseconds, and gives where it ends.
func fractionOfSecond(b []byte, i int) (ms, end int) {
	if i+1 >= len(b) || b[i] != '.' && b[i] != ',' && b[i] != ':' || b[i+1]-'0' > 9 {
		return 0, i
	}
	scale := 100
	for i++; i < len(b) && b[i]-'0' <= 9; i++ {
		ms += int(b[i]-'0') * scale
		scale /= 10
	}
	return ms, i
}

func skipBlanks(b []byte, i int) int {
	for i < len(b) && b[i] == ' ' {
		i++
	}
	return i
}

// hourMinuteSecond reads "6:30:05", "06.30", "0630" or "063005" at the start of b; n is
// its length, 0 if it is none.
func hourMinuteSecond(b []byte, c *CivilTime, at int) (h, m, s, n int) {
	v, k := lex.Digits(b)
	i := k
	switch k {
	case 4, 6: // hhmm[ss]
		h, m = lex.Num(b[0:2]), lex.Num(b[2:4])
		if k == 6 {
			s = lex.Num(b[4:6])
		}
		return h, m, s, i
	case 1, 2:
		h = v
	default:
		return 0, 0, 0, 0
	}
	if i+1 >= len(b) || b[i] != ':' && b[i] != '.' && b[i] != 'h' || b[i+1]-'0' > 9 {
		return h, 0, 0, i
	}
	if m, k = lex.Digits(b[i+1:]); k != 2 {
		return 0, 0, 0, 0
	}
	i += 1 + k
	c.minuteEnd = at + i
	if i+1 < len(b) && (b[i] == ':' || b[i] == '.') && b[i+1]-'0' <= 9 {
		if s, k = lex.Digits(b[i+1:]); k != 2 {
			return 0, 0, 0, 0
		}
		i += 1 + k
	}
	return h, m, s, i
}

// offset takes the offset behind a time of day on and gives its length, 0 if it is none.
func (c *CivilTime) offset(b []byte, own map[string]int64) int {
	off, k := ParseOffset(b, own)
	if k == 0 {
		return 0
	}
	c.HasOff, c.off = true, off
	c.word = ZoneWord(b[:k])
	if k < len(b) && b[k] == '[' && b[len(b)-1] == ']' { // 06:30-06:00[America/Denver]
		k, c.minuteEnd = len(b), 0
	}
	return k
}

// halfOfDay reads "AM", "p.m.", "a. m.", "P" at the start of b; n is its length, 0
// if it is none. The letter alone counts where nothing but an offset follows.
func halfOfDay(b []byte) (pm bool, n int) {
	if len(b) == 0 || b[0]|0x20 != 'a' && b[0]|0x20 != 'p' {
		return false, 0
	}
	pm = b[0]|0x20 == 'p'
	i := 1
	if i < len(b) && b[i] == '.' {
		i++
	}
	for i < len(b) && b[i] == ' ' {
		i++
	}
	if i < len(b) && b[i]|0x20 == 'm' && !(i+1 < len(b) && lex.IsLetter(b[i+1])) {
		if i++; i < len(b) && b[i] == '.' {
			i++
		}
		return pm, i
	}
	if len(b) == 1 || b[1] == ' ' || b[1] == '.' && len(b) == 2 {
		return pm, min(2, len(b))
	}
	return false, 0
}

// SkipWeekday passes over "Mon ", "Monday, ".
func SkipWeekday(b []byte) int {
	n := 0
	for n < len(b) && b[n]|0x20 >= 'a' && b[n]|0x20 <= 'z' {
		n++
	}
	if n < 2 {
		return 0
	}
	switch strings.ToLower(string(b[:2])) {
	case "mo", "tu", "we", "th", "fr", "sa", "su":
		if _, k := MonthName(b); k > 0 {
			return 0
		}
		return skipSep(b, n)
	}
	return 0
}

// skipOf passes over what stands between day, month and year in words: "de " in
// 5 de enero de 2026.
func skipOf(b []byte, i int) int {
	if i+2 < len(b) && b[i]|0x20 == 'd' && b[i+1]|0x20 == 'e' && b[i+2] == ' ' {
		return skipSep(b, i+2)
	}
	return i
}

func skipSep(b []byte, i int) int {
	for i < len(b) && (b[i] == ' ' || b[i] == '-' || b[i] == '/' || b[i] == '.' || b[i] == ',') {
		i++
	}
	return i
}
