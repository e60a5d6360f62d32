package lex

import (
	"math"
	"strconv"
	"unsafe"
)

// Pow10 holds the powers of ten that a float64 holds exactly.
var Pow10 = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// ParseNumber reads a decimal number at the start of b and gives its value and
// length; n is 0 when b does not begin with one, or when it overflows. The
// result is bit-identical to strconv.ParseFloat of the same text with the
// decimal mark dec written as a point.
//
// The common case is exact by Clinger's argument: a mantissa below 2^53 and a
// power of ten up to 22 are both exact in float64, so one rounding remains.
// Everything else goes to strconv.
func ParseNumber(b []byte, dec byte) (v float64, n int) {
	i := 0
	neg := false
	if i < len(b) && (b[i] == '-' || b[i] == '+') {
		neg = b[i] == '-'
		i++
	}
	start := i
	var m uint64
	for i < len(b) {
		c := b[i] - '0'
		if c > 9 {
			break
		}
		m = m*10 + uint64(c)
		i++
	}
	digits := i - start
	frac := 0
	if i < len(b) && b[i] == dec {
		j := i + 1
		for j < len(b) {
			c := b[j] - '0'
			if c > 9 {
				break
			}
			m = m*10 + uint64(c)
			j++
		}
		frac = j - i - 1
		digits += frac
		if digits > 0 { // "5." and ".5" are numbers, "." is not
			i = j
		}
	}
	if digits == 0 {
		return 0, 0
	}
	if i < len(b) && b[i]|0x20 == 'e' {
		j := i + 1
		if j < len(b) && (b[j] == '-' || b[j] == '+') {
			j++
		}
		if j < len(b) && b[j]-'0' <= 9 {
			for j < len(b) && b[j]-'0' <= 9 {
				j++
			}
			return slowNumber(b[:j], dec)
		}
	}
	if digits > 19 || m >= 1<<53 || frac > 22 {
		return slowNumber(b[:i], dec)
	}
	v = float64(m)
	if frac > 0 {
		v /= Pow10[frac]
	}
	if neg {
		v = -v
	}
	return v, i
}

func slowNumber(b []byte, dec byte) (float64, int) {
	if dec != '.' {
		c := append(make([]byte, 0, 64), b...)
		for i := range c {
			if c[i] == dec {
				c[i] = '.'
			}
		}
		b = c
	}
	v, err := strconv.ParseFloat(unsafe.String(unsafe.SliceData(b), len(b)), 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, 0
	}
	return v, len(b)
}

// ThinSpace gives the length of a blank that may stand between thousands at the
// start of b, or of a typographer's apostrophe: blank, no-break, figure, thin and
// narrow no-break space; 0 for none.
func ThinSpace(b []byte) int {
	switch {
	case len(b) == 0:
	case b[0] == ' ' || b[0] == 0xa0: // the second as Windows-1252
		return 1
	case b[0] == 0xc2 && len(b) > 1 && b[1] == 0xa0:
		return 2
	case b[0] == 0xe2 && len(b) > 2 && b[1] == 0x80 && (b[2] == 0x87 || b[2] == 0x89 || b[2] == 0xaf || b[2] == 0x99):
		return 3
	}
	return 0
}

// GroupedNumber reads a whole cell as a number with thousands separators:
// 1,234.5 or 1 234,5 or 1'234.5. Groups after the first must have three digits.
func GroupedNumber(b []byte, dec byte) (float64, bool) {
	var c [64]byte
	n, group, groups := 0, 0, 0
	var sep byte
	i := 0
	for ; i < len(b); i++ {
		ch := b[i]
		if n >= len(c)-1 {
			return 0, false
		}
		switch {
		case ch-'0' <= 9:
			group++
			c[n] = ch
			n++
		case (ch == '-' || ch == '+') && i == 0:
			c[n] = ch
			n++
		case ch == dec:
			if groups > 0 && group != 3 {
				return 0, false
			}
			n += copy(c[n:], b[i:])
			if n == len(c) {
				return 0, false
			}
			v, k := ParseNumber(c[:n], dec)
			return v, k == n && groups > 0
		case ch == ',' || ch == '.' || ch == '\'' || ThinSpace(b[i:]) > 0:
			if k := ThinSpace(b[i:]); k > 0 {
				i += k - 1
				ch = b[i]
			}
			if group == 0 || group > 3 || groups > 0 && (group != 3 || ch != sep) {
				return 0, false
			}
			sep, group = ch, 0
			groups++
		default:
			return 0, false
		}
	}
	if groups == 0 || group != 3 {
		return 0, false
	}
	v, k := ParseNumber(c[:n], dec)
	return v, k == n
}
