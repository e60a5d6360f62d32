package stamp

import (
	"strings"
	"time"

	"weirbook/analysis/export/lex"
)

// ZoneNames are the clock abbreviations that exports carry, seconds east of UTC.
// Where the file's own zone uses an abbreviation, what it means there counts: see
// NamesOf.
var ZoneNames = map[string]int64{
	"UTC": 0, "GMT": 0, "Z": 0,
	"WET": 0, "WEST": 3600, "BST": 3600, "CET": 3600, "CEST": 7200, "EET": 7200, "EEST": 10800, "MSK": 10800,
	"WEZ": 0, "WESZ": 3600, "MEZ": 3600, "MESZ": 7200, "OEZ": 7200, "OESZ": 10800,
	"NST": -12600, "NDT": -9000, "AST": -14400, "ADT": -10800,
	"EST": -18000, "EDT": -14400, "CST": -21600, "CDT": -18000, "MST": -25200, "MDT": -21600, "PST": -28800, "PDT": -25200,
	"HNE": -18000, "HAE": -14400, "HNC": -21600, "HAC": -18000, "HNR": -25200, "HAR": -21600, "HNP": -28800, "HAP": -25200,
	"AKST": -32400, "AKDT": -28800, "HST": -36000,
	"AWST": 28800, "ACST": 34200, "ACDT": 37800, "AEST": 36000, "AEDT": 39600, "NZST": 43200, "NZDT": 46800,
	"JST": 32400, "KST": 32400, "HKT": 28800, "SGT": 28800, "PKT": 18000, "IST": 19800, "IDT": 10800,
	"SAST": 7200, "CAT": 7200, "EAT": 10800, "WAT": 3600,
}

// SharedNames are abbreviations that zones far from one another use.
var SharedNames = map[string]bool{"CST": true, "CDT": true, "IST": true, "BST": true, "AST": true, "PST": true, "EST": true, "EDT": true}

// NamesOf gives the abbreviations that a zone uses (since 1990, of a name used
// twice the latest), seconds east of UTC.
func NamesOf(loc *time.Location) map[string]int64 {
	m := map[string]int64{}
	at := time.Date(1990, 1, 1, 0, 0, 0, 0, time.UTC)
	for n := 0; n < 200; n++ {
		t := at.In(loc)
		name, sec := t.Zone()
		if name != "" && lex.IsLetter(name[0]) {
			m[strings.ToUpper(name)] = int64(sec)
		}
		_, end := t.ZoneBounds()
		if end.IsZero() || end.Year() > 2045 {
			break
		}
		at = end
	}
	return m
}

// ZoneWord is the abbreviation that an offset is written as, "" for one in numbers.
// UTC, GMT and Z are as good as numbers.
func ZoneWord(b []byte) string {
	n := 0
	for n < len(b) && lex.IsLetter(b[n]) {
		n++
	}
	switch w := strings.ToUpper(string(b[:n])); {
	case n < len(b), n == 0, w == "Z", w == "UTC", w == "GMT":
		return ""
	default:
		return w
	}
}

// ParseOffset reads "Z", "+02:00", "-0600", "+2", "UTC+1", "(UTC-05:00)", "EST" at
// the start of b; n is its length, 0 if it is none. own are the abbreviations that
// the file's zone uses, which count above those of ZoneNames.
func ParseOffset(b []byte, own map[string]int64) (sec int64, n int) {
	if len(b) > 2 && b[0] == '(' {
		s, n := ParseOffset(b[1:], own)
		if n == 0 || 1+n >= len(b) || b[1+n] != ')' {
			return 0, 0
		}
		return s, n + 2
	}
	if len(b) > 0 && lex.IsLetter(b[0]) {
		return wordOffset(b, own)
	}
	return signedOffset(b)
}

// wordOffset reads "Z", "UTC+1" or "EST".
func wordOffset(b []byte, own map[string]int64) (sec int64, n int) {
	i := 0
	for i < len(b) && i < 5 && lex.IsLetter(b[i]) {
		i++
	}
	w := strings.ToUpper(string(b[:i]))
	s, ok := own[w]
	if !ok {
		s, ok = ZoneNames[w]
	}
	if !ok {
		return 0, 0
	}
	if s == 0 && i < len(b) && (b[i] == '+' || b[i] == '-') {
		if v, k := ParseOffset(b[i:], nil); k > 0 {
			return v, i + k
		}
	}
	return s, i
}

// signedOffset reads "+02:00", "-0600" or "+2".
func signedOffset(b []byte) (sec int64, n int) {
	if len(b) < 2 || b[0] != '+' && b[0] != '-' {
		return 0, 0
	}
	v, k := lex.Digits(b[1:])
	i := 1 + k
	var h, m int
	switch k {
	case 1, 2:
		h = v
		if i+2 < len(b) && b[i] == ':' {
			mm, k := lex.Digits(b[i+1:])
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

// InWords writes an offset as "UTC-05:00", none as "UTC".
func InWords(sec int64) string {
	if sec == 0 {
		return "UTC"
	}
	sign := byte('+')
	if sec < 0 {
		sign, sec = '-', -sec
	}
	b := []byte{'U', 'T', 'C', sign, byte('0' + sec/36000), byte('0' + sec/3600%10), ':', byte('0' + sec%3600/600), byte('0' + sec%600/60)}
	return string(b)
}
