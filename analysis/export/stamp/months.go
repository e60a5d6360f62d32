package stamp

import (
	"slices"
	"strings"
	"unicode/utf8"

	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
)

// monthHeads are the letters that month names begin with, without accents, in the
// languages that exports are met in: English, German, Dutch, French, Spanish,
// Italian, Portuguese, Danish, Norwegian, Swedish. The longest that fits counts.
var monthHeads = map[string]int{
	"jan": 1, "ene": 1, "gen": 1,
	"feb": 2, "fev": 2,
	"mar": 3, "mrz": 3, "mrt": 3, "maa": 3, "mae": 3,
	"apr": 4, "abr": 4, "avr": 4,
	"may": 5, "mai": 5, "mei": 5, "mag": 5, "maj": 5,
	"jun": 6, "juin": 6, "giu": 6,
	"jul": 7, "juil": 7, "lug": 7,
	"aug": 8, "ago": 8, "aou": 8,
	"sep": 9, "set": 9,
	"oct": 10, "okt": 10, "ott": 10, "out": 10,
	"nov": 11,
	"dec": 12, "dez": 12, "dic": 12, "des": 12,
}

// MonthName reads a month's name, or what it begins with, at the start of b. A name
// with accents stands in UTF-8 or in Windows-1252.
func MonthName(b []byte) (m, n int) {
	for n < len(b) && (lex.IsLetter(b[n]) || b[n] >= 0x80) {
		n++
	}
	if n < 3 {
		return 0, 0
	}
	var w [8]byte // the first letters are enough
	for i := range min(n, len(w)) {
		w[i] = b[i] | 0x20
	}
	if m = monthHead(w[:min(n, len(w))]); m == 0 && slices.ContainsFunc(b[:n], func(c byte) bool { return c >= 0x80 }) {
		m = accentedMonth(b[:n])
	}
	if m == 0 {
		return 0, 0
	}
	return m, n
}

func accentedMonth(b []byte) int {
	w := strings.ToLower(string(b))
	if !utf8.ValidString(w) {
		w = strings.ToLower(record.DecodeText(b))
	}
	return monthHead([]byte(lex.Accents.Replace(w)))
}

// monthHead finds a month by its first letters; 0: none.
func monthHead(w []byte) int {
	for k := 4; k >= 3; k-- {
		if len(w) >= k {
			if m, ok := monthHeads[string(w[:k])]; ok {
				return m
			}
		}
	}
	return 0
}
