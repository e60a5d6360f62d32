// Package lex reads the smallest parts of a text export: digits and numbers,
// blanks around a cell, words made comparable. It knows no table and no tag.
package lex

import (
	"sort"
	"strconv"
	"strings"
)

func IsLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }

// Digits reads a run of digits; runs over 18 long count no further.
func Digits(b []byte) (v, n int) {
	for n < len(b) && b[n]-'0' <= 9 {
		if n < 18 {
			v = v*10 + int(b[n]-'0')
		}
		n++
	}
	return v, n
}

func Num(b []byte) int { v, _ := Digits(b); return v }

// Trim drops blanks (ASCII and no-break) and quotes' leftovers at both ends.
func Trim(b []byte) []byte {
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

func Set(words ...string) map[string]bool {
	m := make(map[string]bool, len(words))
	for _, w := range words {
		m[w] = true
	}
	return m
}

// Folded makes names and words comparable: lower case, one blank between words.
func Folded(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

// Accents takes them off small letters.
var Accents = strings.NewReplacer("ä", "a", "à", "a", "â", "a", "á", "a", "ã", "a", "é", "e", "è", "e", "ê", "e", "ë", "e", "î", "i", "ï", "i", "í", "i",
	"ô", "o", "ö", "o", "ó", "o", "ü", "u", "û", "u", "ù", "u", "ú", "u", "ç", "c", "ñ", "n", "ß", "ss")

// IsNameLetter says whether a name with r in it is more than a number.
func IsNameLetter(r rune) bool { return r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' || r > 0x7f }

// Counted writes a number with the words for one or for several.
func Counted(n int, one, several string) string {
	return strconv.Itoa(n) + " " + Pick(n, one, several)
}

// Pick gives the word for one or for several.
func Pick(n int, one, several string) string {
	if n == 1 {
		return one
	}
	return several
}

func SortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
