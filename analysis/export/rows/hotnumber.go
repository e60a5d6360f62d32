package rows

import (
	"encoding/binary"
	"math/bits"

	"weirbook/analysis/export/lex"
)

// A plain decimal of seven characters and fewer is read at once: eight bytes in a
// machine word, non-digits found by their high bits, the decimal mark squeezed
// out, and the digits summed in pairs, fours and eights by multiplication. The
// value is exact for the same reason as ParseNumber's.

// splitDecimal takes the eight bytes at a number, behind its sign, apart. digits
// and whole are the bits that its digits, and those before the decimal mark, take
// up in t; end is where it ends, in bits, 64 when it may go on.
func splitDecimal(x uint64, dec byte) (t uint64, whole, digits, end int) {
	const (
		zeros = 0x3030303030303030
		carry = 0x7676767676767676 // lifts all above nine into the high bit
		high  = 0x8080808080808080
	)
	t = x ^ zeros
	mask := (t + carry | t) & high
	whole = bits.TrailingZeros64(mask) &^ 7
	digits, end = whole, whole
	if byte(x>>whole) == dec { // zero behind all eight
		end = bits.TrailingZeros64(mask&(mask-1)) &^ 7
		digits = end - 8
		before := uint64(1)<<whole - 1
		t = t&before | t>>8&^before
	}
	return t, whole, digits, end
}

// sumDecimal is the value of what splitDecimal took apart, of one to seven digits.
func sumDecimal(t uint64, whole, digits int) float64 {
	t <<= 64 - digits // the digits move up, zeros lead
	t = t*10 + t>>8
	t = (t&0x000000ff000000ff*0x000f424000000064 + t>>16&0x000000ff000000ff*0x0000271000000001) >> 32
	return float64(uint32(t)) / lex.Pow10[(digits-whole)>>3&7]
}

// HotNumber reads a plain decimal of seven characters and fewer at the start of
// b, besides its sign; n is 0 for anything else. An exponent behind it is left
// for the caller, who finds no separator there.
func HotNumber(b *[32]byte, dec byte) (v float64, n int) {
	sign := 0
	if b[0] == '-' {
		sign = 1
	}
	t, whole, digits, end := splitDecimal(binary.LittleEndian.Uint64(b[sign:sign+8]), dec)
	if digits == 0 || end == 64 {
		return 0, 0
	}
	if v = sumDecimal(t, whole, digits); sign != 0 {
		v = -v
	}
	return v, end>>3 + sign
}

// longNumber reads a number of eight characters and more at p, behind its sign.
// n is 0 when it is none, or too long to look at.
func (w *Worker) longNumber(buf []byte, p int) (v float64, n int) {
	const most = 40
	if v, n = lex.ParseNumber(buf[p:p+most], w.f.Dec); n == most {
		return 0, 0
	}
	return v, n
}
