package quantity

import (
	"strings"
	"unicode"
)

// meant is the symbol of the unit that an unknown word most likely stands for; "" where
// nothing speaks for one. It compares letters and digits only, % as percent, without an
// ending for the plural, then one letter more, less or other.
func meant(word string) string {
	w := bareUnit(word)
	if strings.Contains(word, "%") {
		return "%"
	}
	for _, u := range units {
		for _, a := range strings.Fields(u.aliases) {
			if u.Symbol != "" && bareUnit(a) == w && w != "" {
				return u.Symbol
			}
		}
	}
	if len(w) < 3 {
		return ""
	}
	for _, u := range units {
		for _, a := range strings.Fields(u.aliases) {
			if b := bareUnit(a); u.Symbol != "" && len(b) >= 3 && oneSlip(w, b) {
				return u.Symbol
			}
		}
	}
	return ""
}

func bareUnit(s string) string {
	s = strings.ToLower(strings.ReplaceAll(s, "%", "percent"))
	s = strings.NewReplacer("per", "", "³", "3", "²", "2").Replace(s)
	s = strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return r
		}
		return -1
	}, s)
	return strings.TrimSuffix(s, "s")
}

// oneSlip says whether two words differ by one letter.
func oneSlip(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(b)-len(a) > 1 {
		return false
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	return a[i:] == b[i+1:] || len(a) == len(b) && i < len(a) && a[i+1:] == b[i+1:]
}
