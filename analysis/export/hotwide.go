package export

import (
	"math/bits"
	"unsafe"
)

// wideRows reads rows of a wide file from i on, for as long as they are plain,
// and gives where the first one begins that is not: a time written as the last
// one, and in every other column a number or nothing (format.bare).
//
// A row's numbers are gathered before any is kept, so that a row which turns
// out not to be plain leaves no trace.
func (w *worker) wideRows(buf []byte, i int) int {
	h := &w.tm.hot
	if !h.ok {
		return i
	}
	const ( // see hotNumber
		zeros = 0x3030303030303030
		carry = 0x7676767676767676
		high  = 0x8080808080808080
	)
	cols := w.f.cols[1:]
	if len(w.vals) < len(cols) {
		w.vals = make([]float64, len(cols))
	}
	var (
		base     = unsafe.Pointer(unsafe.SliceData(buf))
		last     = len(buf) - hotMargin
		sep, dec = w.f.sep, w.f.dec
		vals     = w.vals[:len(cols)]
		rows     int
	)
rows:
	for i <= last {
		p := i
		a, b := at8(base, p), at8(base, p+8)
		if (b != h.k1 || a != h.k0) && !h.next(a, b) {
			break
		}
		p += 16
		ms := h.base
		if h.secs {
			d1, d2 := at1(base, p+1)-'0', at1(base, p+2)-'0'
			if at1(base, p) != ':' || d1 > 5 || d2 > 9 {
				break
			}
			ms += int64(d1)*10000 + int64(d2)*1000
			p += 3
		}
		if h.tail.n > 0 {
			if !h.tail.here(base, p) {
				break
			}
			p += h.tail.n
		}
		w.blank = w.blank[:0]
		for k := range vals {
			if p > last || at1(base, p) != sep {
				break rows
			}
			p++
			// As hotNumber reads it.
			x := at8(base, p)
			neg := byte(x) == '-'
			if neg {
				p++
				x = at8(base, p)
			}
			x ^= zeros
			mask := (x + carry | x) & high
			bit := bits.TrailingZeros64(mask) &^ 7
			digits, end := bit, bit
			if mask != 0 && byte(x>>bit)^'0' == dec {
				mask &= mask - 1
				end = bits.TrailingZeros64(mask) &^ 7
				digits = end - 8
				before := uint64(1)<<bit - 1
				x = x&before | x>>8&^before
			}
			var v float64
			switch {
			case end == 64:
				var n int
				if v, n = hotLongNumber((*[32]byte)(buf[p:]), dec); n == 0 {
					break rows
				}
				p += n
			case digits == 0:
				if c := at1(base, p); neg || c != sep && c != '\n' && c != '\r' {
					break rows
				}
				w.blank = append(w.blank, k)
				continue
			default:
				x <<= 64 - digits
				x = x*10 + x>>8
				x = (x&0x000000ff000000ff*0x000f424000000064 + x>>16&0x000000ff000000ff*0x0000271000000001) >> 32
				v = float64(uint32(x)) / pow10[(digits-bit)>>3&7]
				p += end >> 3
			}
			if neg {
				v = -v
			}
			vals[k] = v
		}
		if at1(base, p) == '\r' {
			p++
		}
		if at1(base, p) != '\n' || len(w.blank) == len(vals) {
			break
		}
		w.wideCommit(vals, ms, i)
		i = p + 1
		rows++
	}
	w.b.rows += rows
	w.b.lines += rows
	return i
}

// wideCommit keeps the values of a row, but for the blank ones, which it counts.
func (w *worker) wideCommit(vals []float64, ms int64, off int) {
	inside := ms >= w.from && ms < w.to
	segs := w.b.segs
	blank := w.blank
	for k, v := range vals {
		tag := w.f.cols[k+1].tag
		if tag >= len(segs) || !segs[tag].used {
			w.b.seg(tag)
			segs = w.b.segs
		}
		s := &segs[tag]
		if len(blank) > 0 && blank[0] == k {
			blank = blank[1:]
			s.rows++
			s.aside[BlankValue]++
			continue
		}
		if t := &w.tags[tag]; inside && v > t.low && v < t.high && ms-s.lastT >= minute {
			s.plain(ms, v, off)
			continue
		}
		s.rows++
		w.put(s, w.specs[tag], ms, timeOK, v, 0, off)
	}
}
