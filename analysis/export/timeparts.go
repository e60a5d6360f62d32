package export

import "strings"

// timeOfDay reads "6:30", "06:30:05.250 PM -06:00", "0630", "063005" or "24:00"
// at the start of b; at is b's place in the cell.
func timeOfDay(b []byte, c *civilTime, at int) (h, m, s, ms, n int, ok bool) {
	v, k := digits(b)
	i := k
	switch {
	case k == 4 || k == 6: // hhmm[ss]
		h, m = num(b[0:2]), num(b[2:4])
		if k == 6 {
			s = num(b[4:6])
		}
	case k == 1 || k == 2:
		h = v
		if i < len(b) && (b[i] == ':' || b[i] == '.' || b[i] == 'h') && i+1 < len(b) && b[i+1]-'0' <= 9 {
			if m, k = digits(b[i+1:]); k != 2 {
				return 0, 0, 0, 0, 0, false
			}
			i += 1 + k
			c.minuteEnd = at + i
			if i+1 < len(b) && (b[i] == ':' || b[i] == '.') && b[i+1]-'0' <= 9 {
				if s, k = digits(b[i+1:]); k != 2 {
					return 0, 0, 0, 0, 0, false
				}
				i += 1 + k
			}
		}
	default:
		return 0, 0, 0, 0, 0, false
	}
	if i+1 < len(b) && (b[i] == '.' || b[i] == ',' || b[i] == ':') && b[i+1]-'0' <= 9 {
		scale := 100
		for i++; i < len(b) && b[i]-'0' <= 9; i++ {
			ms += int(b[i]-'0') * scale
			scale /= 10
		}
	}
	for i < len(b) && b[i] == ' ' {
		i++
	}
	if i < len(b) && (b[i]|0x20 == 'a' || b[i]|0x20 == 'p') {
		pm := b[i]|0x20 == 'p'
		j := i + 1
		if j < len(b) && b[j] == '.' {
			j++
		}
		if j < len(b) && b[j]|0x20 == 'm' {
			j++
			if j < len(b) && b[j] == '.' {
				j++
			}
			if h < 1 || h > 12 {
				return 0, 0, 0, 0, 0, false
			}
			h %= 12
			if pm {
				h += 12
			}
			i = j
			c.minuteEnd = 0 // the first bytes do not tell the minute
			for i < len(b) && b[i] == ' ' {
				i++
			}
		}
	}
	if i < len(b) {
		off, k := parseOffset(b[i:])
		if k == 0 {
			return 0, 0, 0, 0, 0, false
		}
		c.hasOff, c.off = true, off
		i += k
	}
	if h > 24 || m > 59 || s > 60 || h == 24 && (m > 0 || s > 0 || ms > 0) {
		return 0, 0, 0, 0, 0, false
	}
	return h, m, s, ms, i, true
}

// zoneNames are the clock abbreviations that exports carry, seconds east.
var zoneNames = map[string]int64{
	"UTC": 0, "GMT": 0, "Z": 0, "WET": 0, "WEST": 3600, "BST": 3600, "CET": 3600, "CEST": 7200, "EET": 7200, "EEST": 10800,
	"EST": -18000, "EDT": -14400, "CST": -21600, "CDT": -18000, "MST": -25200, "MDT": -21600, "PST": -28800, "PDT": -25200,
	"AKST": -32400, "AKDT": -28800, "HST": -36000, "JST": 32400, "AEST": 36000, "AEDT": 39600, "NZST": 43200, "NZDT": 46800,
}

// parseOffset reads "Z", "+02:00", "-0600", "+2", "UTC+1", "EST" at the start
// of b; n is its length, 0 if it is none.
func parseOffset(b []byte) (sec int64, n int) {
	i := 0
	for i < len(b) && i < 4 && (b[i] >= 'A' && b[i] <= 'Z' || b[i] >= 'a' && b[i] <= 'z') {
		i++
	}
	if i > 0 {
		s, ok := zoneNames[strings.ToUpper(string(b[:i]))]
		if !ok {
			return 0, 0
		}
		if s == 0 && i < len(b) && (b[i] == '+' || b[i] == '-') {
			if v, k := parseOffset(b[i:]); k > 0 {
				return v, i + k
			}
		}
		return s, i
	}
	if len(b) < 2 || b[0] != '+' && b[0] != '-' {
		return 0, 0
	}
	v, k := digits(b[1:])
	i = 1 + k
	var h, m int
	switch k {
	case 1, 2:
		h = v
		if i+2 < len(b) && b[i] == ':' {
			mm, k := digits(b[i+1:])
			if k != 2 {
				return 0, 0
			}
			m = mm
			i += 3
		}
	case 4:
		h, m = v/100, v%100
	default:
		return 0, 0
	}
	if h > 14 || m > 59 {
		return 0, 0
	}
	sec = int64(h)*3600 + int64(m)*60
	if b[0] == '-' {
		sec = -sec
	}
	return sec, i
}

var monthWords = []string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}

// monthWordsOther are month names of languages that exports are met in.
var monthWordsOther = map[string]int{
	"mär": 3, "mrz": 3, "mai": 5, "okt": 10, "dez": 12,
	"ene": 1, "abr": 4, "ago": 8, "dic": 12,
	"fév": 2, "avr": 4, "aoû": 8, "déc": 12, "mag": 5, "giu": 6, "lug": 7, "set": 9, "ott": 10, "gen": 1,
}

// monthName reads a month's name or its first three letters.
func monthName(b []byte) (m, n int) {
	for n < len(b) && (b[n]|0x20 >= 'a' && b[n]|0x20 <= 'z' || b[n] >= 0x80) {
		n++
	}
	if n < 3 {
		return 0, 0
	}
	w := []rune(strings.ToLower(string(b[:n])))
	if len(w) < 3 {
		return 0, 0
	}
	head := string(w[:3])
	for i, m := range monthWords {
		if head == m {
			return i + 1, n
		}
	}
	if m, ok := monthWordsOther[head]; ok {
		return m, n
	}
	return 0, 0
}

// skipWeekday passes over "Mon ", "Monday, ".
func skipWeekday(b []byte) int {
	n := 0
	for n < len(b) && b[n]|0x20 >= 'a' && b[n]|0x20 <= 'z' {
		n++
	}
	if n < 2 {
		return 0
	}
	switch strings.ToLower(string(b[:2])) {
	case "mo", "tu", "we", "th", "fr", "sa", "su":
		if _, k := monthName(b); k > 0 {
			return 0
		}
		return skipSep(b, n)
	}
	return 0
}

func skipSep(b []byte, i int) int {
	for i < len(b) && (b[i] == ' ' || b[i] == '-' || b[i] == '/' || b[i] == '.' || b[i] == ',') {
		i++
	}
	return i
}

// digits reads a run of digits; runs over 18 long count no further.
func digits(b []byte) (v, n int) {
	for n < len(b) && b[n]-'0' <= 9 {
		if n < 18 {
			v = v*10 + int(b[n]-'0')
		}
		n++
	}
	return v, n
}

func num(b []byte) int { v, _ := digits(b); return v }

// trim drops blanks (ASCII and no-break) and quotes' leftovers at both ends.
func trim(b []byte) []byte {
	for len(b) > 0 {
		switch {
		case b[0] == ' ' || b[0] == '\t' || b[0] == '\r' || b[0] == '\n':
			b = b[1:]
		case len(b) > 1 && b[0] == 0xc2 && b[1] == 0xa0:
			b = b[2:]
		default:
			goto tail
		}
	}
tail:
	for n := len(b); n > 0; n = len(b) {
		switch {
		case b[n-1] == ' ' || b[n-1] == '\t' || b[n-1] == '\r' || b[n-1] == '\n':
			b = b[:n-1]
		case n > 1 && b[n-2] == 0xc2 && b[n-1] == 0xa0:
			b = b[:n-2]
		default:
			return b
		}
	}
	return b
}
