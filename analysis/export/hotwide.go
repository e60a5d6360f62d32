package export

import (
	"math/bits"
	"unsafe"
)

// wideRows reads rows of a wide file that begin from i to last, for as long as
// they are plain, and gives where the first one begins that is not: a time, and in every other
// column an unquoted cell, nearly always a number (format.bare).
//
// Numbers are written straight into the block's grid, at the place of the row
// that is not counted yet: a row that turns out not to be plain leaves no trace.
func (w *worker) wideRows(buf []byte, i, last int) int {
	const ( // see hotNumber
		zeros = 0x3030303030303030
		carry = 0x7676767676767676
		high  = 0x8080808080808080
	)
	var (
		h        = &w.tm.hot
		g        = &w.b.grid
		base     = unsafe.Pointer(unsafe.SliceData(buf))
		sep, dec = w.f.sep, w.f.dec
		tags     = w.tags[:len(w.f.cols)-1] // numbered as the columns are
		quoted   = w.allQuoted              // every cell that is not blank
		cellEnd  = sep
		rows     int
	)
	if quoted {
		cellEnd = '"'
	}
rows:
	for i <= last && g.rows < g.room {
		p := i
		if quoted {
			if at1(base, p) != '"' {
				break
			}
			p++
		}
		ms, n := h.at(base, p)
		if n == 0 || at1(base, p+n) != cellEnd {
			if ms, n = w.timeAt(buf, p, cellEnd); n == 0 {
				break
			}
		}
		if p += n; quoted {
			p++
		}
		w.odd = w.odd[:0]
		place := g.rows
		for k := range tags {
			if p > last || at1(base, p) != sep {
				break rows
			}
			p++
			if quoted {
				switch c := at1(base, p); c {
				case sep, '\n', '\r':
					w.odd = append(w.odd, oddCell{k, p, p, 0})
					place += g.room
					continue
				case '"':
					p++
				default:
					break rows
				}
			}
			// As hotNumber reads it.
			x := at8(base, p)
			neg := byte(x) == '-'
			start := p
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
				v, n = w.longNumber(buf, p)
			case digits == 0:
				n = 0
			default:
				x <<= 64 - digits
				x = x*10 + x>>8
				x = (x&0x000000ff000000ff*0x000f424000000064 + x>>16&0x000000ff000000ff*0x0000271000000001) >> 32
				v = float64(uint32(x)) / pow10[(digits-bit)>>3&7]
				n = end >> 3
			}
			if neg {
				v = -v
			}
			p += n
			if quoted {
				if at1(base, p) != '"' || n == 0 && neg {
					break rows
				}
				if p++; n == 0 {
					w.odd = append(w.odd, oddCell{k, start, start, 0})
					place += g.room
					continue
				}
			}
			if c := at1(base, p); n == 0 || c != sep && c != '\n' && c != '\r' {
				// Blank, a text, or a number with something behind it.
				p = start
				for c := at1(base, p); c != sep && c != '\n' && c != '\r'; c = at1(base, p) {
					if p++; c == '"' || c < ' ' && c != '\t' || p > last {
						break rows
					}
				}
				w.odd = append(w.odd, oddCell{k, start, p, 0})
			} else if t := &tags[k]; v > t.low && v < t.high {
				g.vals[place] = v
			} else {
				w.odd = append(w.odd, oddCell{k, start, -1, v})
			}
			place += g.room
		}
		if at1(base, p) == '\r' {
			p++
		}
		if at1(base, p) != '\n' || p-i > maxRecord {
			break
		}
		w.learned = false
		w.wideRow(ms, i)
		i = p + 1
		rows++
	}
	w.unlearn()
	w.b.rows += rows
	w.b.lines += rows
	return i
}

// oddCell is a cell of a row that is not kept with its column: one without a
// plain number (text from start to end), or whose number v calls for something
// (end is -1).
type oddCell struct {
	col, start, end int
	v               float64
}

// wideRow keeps the row whose numbers stand in the grid at the place of the
// next one.
func (w *worker) wideRow(ms int64, off int) {
	b := w.b
	g := &b.grid
	if g.on && (ms < w.from || ms >= w.to || g.rows > 0 && ms-g.t[g.rows-1] < minute) {
		b.mixAll()
	}
	if g.on && len(w.odd) == 0 && g.count == 0 {
		g.t[g.rows], g.off[g.rows] = ms, uint32(off)
		g.rows++
		return
	}
	for _, o := range w.odd { // their columns leave the grid
		b.seg(o.col)
	}
	odd, inside := w.odd, ms >= w.from && ms < w.to
	for k, mixed := range g.mixed {
		if !mixed {
			continue
		}
		s := b.seg(k)
		if len(odd) > 0 && odd[0].col == k {
			o := odd[0]
			odd = odd[1:]
			switch {
			case o.end < 0:
				s.rows++
				w.put(s, w.specs[k], ms, timeOK, o.v, 0, off)
			case o.start == o.end:
				s.rows++
				s.aside[BlankValue]++
			default:
				w.wideCell(&cellOf{col: &w.f.cols[k+1], text: b.buf[o.start:o.end]}, ms, timeOK, off)
			}
			continue
		}
		v := g.vals[k*g.room+g.rows]
		if inside && ms > s.lastT {
			s.plain(ms, v, off, w.looks)
			continue
		}
		s.rows++
		w.put(s, w.specs[k], ms, timeOK, v, 0, off)
	}
	if g.on {
		g.t[g.rows], g.off[g.rows] = ms, uint32(off)
		g.rows++
	}
}
