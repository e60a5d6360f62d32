// Package lex reads the smallest parts of a text export: digits and numbers,
// blanks around a cell, words made comparable. It knows no table and no tag.
package lex

import (
	"bytes"
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

// Trim drops blanks (ASCII, no-break, thin and wide ones) and quotes' leftovers at both ends.
func Trim(b []byte) []byte {
	for len(b) > 0 {
		if c := b[0]; c == ' ' || c == '\t' || c == '\r' || c == '\n' {
			b = b[1:]
		} else if n := wideBlank(b); n > 0 {
			b = b[n:]
		} else {
			break
		}
	}
	for n := len(b); n > 0; n = len(b) {
		c := b[n-1]
		switch {
		case c == ' ' || c == '\t' || c == '\r' || c == '\n':
			b = b[:n-1]
		case c < 0x80:
			return b
		case n > 1 && wideBlank(b[n-2:]) == 2:
			b = b[:n-2]
		case n > 2 && wideBlank(b[n-3:]) == 3:
			b = b[:n-3]
		default:
			return b
		}
	}
	return b
}

// wideBlank is the length of a blank beyond ASCII at the start of b: no-break, those of
// U+2000 to 200B, narrow no-break and ideographic; 0 for none.
func wideBlank(b []byte) int {
	switch {
	case len(b) > 1 && b[0] == 0xc2 && b[1] == 0xa0:
		return 2
	case len(b) > 2 && b[0] == 0xe2 && b[1] == 0x80 && (b[2] >= 0x80 && b[2] <= 0x8b || b[2] == 0xaf):
		return 3
	case len(b) > 2 && b[0] == 0xe3 && b[1] == 0x80 && b[2] == 0x80:
		return 3
	}
	return 0
}

// Narrow writes full-width digits and signs (U+FF01 to FF5E) as those of ASCII; a text
// without them is given as it is.
func Narrow(b []byte) []byte {
	if bytes.IndexByte(b, 0xef) < 0 {
		return b
	}
	out := make([]byte, 0, len(b))
	for i := 0; i < len(b); i++ {
		if i+2 < len(b) && b[i] == 0xef {
			if c := int(b[i+1])<<6 + int(b[i+2]) - 0xbc<<6 - 0x80 + 0x20; c > 0x20 && c < 0x7f && (b[i+1] == 0xbc || b[i+1] == 0xbd) && b[i+2]>>6 == 2 {
				out = append(out, byte(c))
				i += 2
				continue
			}
		}
		out = append(out, b[i])
	}
	return out
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
