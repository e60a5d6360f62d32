package export

import (
	"encoding/binary"
	"math/bits"
)

// hotNumber reads a plain decimal at the start of b; n is 0 for anything else.
// An exponent behind it is left for the caller, who finds no separator there.
// The value is exact for the same reason as parseNumber's.
//
// Seven characters and fewer are read at once: eight bytes in a machine word,
// non-digits found by their high bits, the decimal mark squeezed out, and the
// digits summed in pairs, fours and eights by multiplication.
func hotNumber(b *[32]byte, dec byte) (v float64, n int) {
	const (
		zeros = 0x3030303030303030
		carry = 0x7676767676767676 // lifts all above nine into the high bit
		high  = 0x8080808080808080
	)
	x := binary.LittleEndian.Uint64(b[:8])
	sign := 0
	if byte(x) == '-' {
		sign = 1
		x = binary.LittleEndian.Uint64(b[1:9])
	}
	t := x ^ zeros
	mask := (t + carry | t) & high
	if mask == 0 {
		return hotLongNumber(b, dec)
	}
	bit := bits.TrailingZeros64(mask) &^ 7
	frac := 0
	digits, end := bit, bit
	if byte(x>>bit) == dec {
		if mask &= mask - 1; mask == 0 {
			return hotLongNumber(b, dec)
		}
		end = bits.TrailingZeros64(mask) &^ 7
		digits = end - 8
		frac = (digits - bit) >> 3
		before := uint64(1)<<bit - 1
		t = t&before | t>>8&^before
	}
	if digits == 0 {
		return 0, 0
	}
	t <<= 64 - digits // the digits move up, zeros lead
	t = t*10 + t>>8
	t = (t&0x000000ff000000ff*0x000f424000000064 + t>>16&0x000000ff000000ff*0x0000271000000001) >> 32
	v = float64(uint32(t))
	if frac > 0 {
		v /= pow10[frac&7]
	}
	if sign != 0 {
		v = -v
	}
	return v, end>>3 + sign
}

// hotLongNumber reads up to 15 digits.
func hotLongNumber(b *[32]byte, dec byte) (v float64, n int) {
	k, sign := 0, 0
	if b[0] == '-' {
		k, sign = 1, 1
	}
	var m uint64
	for k < 18 {
		c := b[k] - '0'
		if c > 9 {
			break
		}
		m = m*10 + uint64(c)
		k++
	}
	digits := k - sign
	frac := 0
	if b[k&31] == dec {
		k++
		start := k
		for k < 24 {
			c := b[k] - '0'
			if c > 9 {
				break
			}
			m = m*10 + uint64(c)
			k++
		}
		frac = k - start
		digits += frac
	}
	if digits == 0 || digits > 15 {
		return 0, 0
	}
	v = float64(m)
	if frac > 0 {
		v /= pow10[frac&15]
	}
	if sign != 0 {
		v = -v
	}
	return v, k
}

// longNumber reads a number of eight characters and more at p, behind its sign.
// n is 0 when it is none, or too long to look at.
func (w *worker) longNumber(buf []byte, p int) (v float64, n int) {
	if v, n = hotLongNumber((*[32]byte)(buf[p:]), w.f.dec); n > 0 {
		return v, n
	}
	const most = 40
	if v, n = parseNumber(buf[p:p+most], w.f.dec); n == most {
		return 0, 0
	}
	return v, n
}
