package export

import (
	"encoding/binary"
	"math"
	"math/bits"

	"weirbook/analysis/series"
)

// The paths that nearly every row of a large export takes. They read rows whose
// cells are plain and mostly like those of the row before: the minute last met,
// the tag that followed last time, the quality last met. Each gives up without
// a trace at the first sign of anything else.

const hotMargin = 64 // bytes that must follow, so that loads need no checks

// word16 is a text of up to 16 bytes in two machine words, with masks.
type word16 struct {
	k0, k1, m0, m1 uint64
	n              int // 0: none, or longer than 16 bytes
}

func makeWord(b []byte) word16 {
	if len(b) == 0 || len(b) > 16 {
		return word16{}
	}
	var k, m [16]byte
	copy(k[:], b)
	for i := range b {
		m[i] = 0xff
	}
	return word16{
		binary.LittleEndian.Uint64(k[:]), binary.LittleEndian.Uint64(k[8:]),
		binary.LittleEndian.Uint64(m[:]), binary.LittleEndian.Uint64(m[8:]), len(b),
	}
}

// at says whether b begins with the text; b has 16 bytes.
func (w *word16) at(b []byte) bool {
	_ = b[15]
	return (binary.LittleEndian.Uint64(b)^w.k0)&w.m0|(binary.LittleEndian.Uint64(b[8:])^w.k1)&w.m1 == 0
}

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

// hotTime reads a time at the start of b (of hotMargin bytes) when its minute
// is the one last met and it carries no offset of its own.
func (r *timeReader) hotTime(b []byte) (ms int64, n int) {
	_ = b[20]
	if binary.LittleEndian.Uint64(b) != r.key0 || binary.LittleEndian.Uint64(b[8:]) != r.key1 {
		return 0, 0
	}
	if b[16] != ':' {
		return r.keyUTC, 16
	}
	d1, d2 := b[17]-'0', b[18]-'0'
	if d1 > 5 || d2 > 9 {
		return 0, 0
	}
	return r.keyUTC + int64(d1)*10000 + int64(d2)*1000, 19
}

// longHot reads the row of a long file that begins at i and gives where the
// next one begins, 0 when it is not that plain.
func (w *worker) longHot(buf []byte, i int) int {
	if !w.tm.keyOK || w.prev < 0 || w.tm.keyStat != timeOK {
		return 0
	}
	var (
		ms  int64
		v   float64
		q   series.Flag
		tag int
		p   = i
		sep = w.f.sep
	)
	last := len(w.f.ops) - 1
	for k, op := range w.f.ops {
		if p+hotMargin > len(buf) {
			return 0
		}
		switch op {
		case roleTime:
			t, n := w.tm.hotTime(buf[p : p+hotMargin])
			if n == 0 {
				return 0
			}
			ms = t
			p += n
		case roleTag:
			tag = w.next[w.prev]
			if tag < 0 {
				return 0
			}
			t := &w.key[tag]
			if t.n == 0 || !t.at(buf[p:p+16]) {
				return 0
			}
			p += t.n
		case roleValue:
			x, n := hotNumber((*[32]byte)(buf[p:]), w.f.dec)
			if n == 0 {
				return 0
			}
			v = x
			p += n
		case roleQuality:
			if w.qKey.n == 0 || !w.qKey.at(buf[p:p+16]) {
				return 0
			}
			q = w.qFlag
			p += w.qKey.n
		default:
			return 0
		}
		if k == last {
			break
		}
		if buf[p] != sep {
			return 0
		}
		p++
	}
	if buf[p] == '\r' {
		p++
	}
	if buf[p] != '\n' {
		return 0
	}
	return w.longCommit(tag, ms, v, q, i, p+1)
}

func (w *worker) longCommit(tag int, ms int64, v float64, q series.Flag, off, next int) int {
	spec := w.specs[tag]
	w.prev = tag
	s := w.b.seg(tag)
	if q != 0 || !w.plain(s, spec, ms, v, off) {
		s.rows++
		w.put(s, spec, ms, timeOK, v, q, off)
	}
	return next
}

// plain adds a reading that calls for nothing: in its working unit, of good
// quality, within its span and far from every fill number, in time order and
// in a minute of its own. It gives false, without a trace, for any other.
func (w *worker) plain(s *seg, spec *tagSpec, ms int64, v float64, off int) bool {
	if !(v > spec.quickLow && v < spec.quickHigh) || ms-s.lastT < minute || ms < w.from || ms >= w.to {
		return false
	}
	if v < s.min {
		s.min = v
	}
	if v > s.max {
		s.max = v
	}
	if float64(int64(v)) == v {
		s.whole++
		if v == 0 {
			s.zeros++
		}
	}
	s.lastT = ms
	s.plain++
	n := len(s.recs)
	if n == cap(s.recs) {
		s.recs = append(s.recs, rec{ms, v, uint32(off), 0})
		return true
	}
	s.recs = s.recs[:n+1]
	r := &s.recs[n]
	r.t, r.v, r.off, r.f = ms, v, uint32(off), 0
	return true
}

// put adds a number to its tag's part of the block.
func (w *worker) put(s *seg, spec *tagSpec, ms int64, st timeStatus, v float64, f series.Flag, off int) {
	if math.Trunc(v) == v {
		s.whole++
		if v == 0 {
			s.zeros++
		}
	}
	s.numbers++
	x, g := spec.finish(v, f)
	if g&(series.Bad|series.SuspectFill) == 0 {
		s.min, s.max = min(s.min, v), max(s.max, v)
	}
	w.keep(s, spec, ms, st, x, g, off)
}

// keep hands a reading over, converted and flagged.
func (w *worker) keep(s *seg, spec *tagSpec, ms int64, st timeStatus, v float64, g series.Flag, off int) {
	if !spec.ruled {
		s.aside[NotInTags]++
		s.firstT, s.endT = min(s.firstT, ms), max(s.endT, ms)
		return
	}
	if ms < w.from || ms >= w.to {
		s.aside[OutsidePeriod]++
		s.firstT, s.endT = min(s.firstT, ms), max(s.endT, ms)
		return
	}
	if g != 0 {
		s.countFlags(g)
	}
	if st == timeTwice {
		g |= fTwice
		s.twice = true
	}
	if ms <= s.lastT {
		s.unsorted = true
	} else if ms-s.lastT < minute && floorDiv(ms, minute) == floorDiv(s.lastT, minute) {
		s.dense = true
	}
	s.lastT = ms
	s.recs = append(s.recs, rec{ms, v, uint32(off), g})
}
