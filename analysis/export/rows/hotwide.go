package rows

import (
	"unsafe"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/stamp"
)

// WideRows reads rows of a wide file that begin from i to last, for as long as
// they are plain, and gives where the first one begins that is not: a time, and
// in every other column an unquoted cell, nearly always a number, or a number and
// nearly always the same good quality by turns (format.step). Where every cell
// that is not blank is quoted, there are only numbers.
//
// Numbers are written straight into the block's grid, at the place of the row
// that is not counted yet: a row that turns out not to be plain leaves no trace.
func (w *Worker) WideRows(buf []byte, i, last int) int {
	var (
		h        = &w.Time.Hot
		g        = &w.B.Grid
		base     = unsafe.Pointer(unsafe.SliceData(buf))
		sep, dec = w.f.Sep, w.f.Dec
		paired   = w.f.Step == 2
		tags     = w.tags[:(len(w.f.Cols)-1)/w.f.Step] // numbered as their columns are
		good     = &w.goodWord
		quoted   = w.allQuoted // every cell that is not blank
		cellEnd  = sep
		rows     int
	)
	if quoted {
		if paired {
			return i
		}
		cellEnd = '"'
	}
rows:
	for i <= last && g.Rows < g.room {
		p := i
		if quoted {
			if lex.At1(base, p) != '"' {
				break
			}
			p++
		}
		ms, n := h.At(base, p)
		if n == 0 || lex.At1(base, p+n) != cellEnd {
			if ms, n = w.timeAt(buf, p, cellEnd); n == 0 {
				break
			}
		}
		if p += n; quoted {
			p++
		}
		w.odd = w.odd[:0]
		place := g.Rows
		for k := range tags {
			if p > last || lex.At1(base, p) != sep {
				break rows
			}
			p++
			if quoted {
				switch c := lex.At1(base, p); c {
				case sep, '\n', '\r':
					w.odd = append(w.odd, oddCell{col: k, start: p, end: p})
					place += g.room
					continue
				case '"':
					p++
				default:
					break rows
				}
			}
			x := lex.At8(base, p)
			neg := byte(x) == '-'
			start := p
			if neg {
				p++
				x = lex.At8(base, p)
			}
			var v float64
			switch t, whole, digits, end := splitDecimal(x, dec); {
			case end == 64:
				v, n = w.longNumber(buf, p)
			case digits == 0:
				n = 0
			default:
				v, n = sumDecimal(t, whole, digits), end>>3
			}
			if neg {
				v = 0 - v // no -0
			}
			p += n
			if quoted {
				if lex.At1(base, p) != '"' || n == 0 && neg {
					break rows
				}
				if p++; n == 0 {
					w.odd = append(w.odd, oddCell{col: k, start: start, end: start})
					place += g.room
					continue
				}
			}
			c := lex.At1(base, p)
			whole := n > 0 && (c == sep || c == '\n' || c == '\r')
			if paired && whole {
				// The quality belongs to the cell: all is well if it is the good one.
				if whole = good.N > 0 && good.Here(base, p); whole {
					c = lex.At1(base, p+good.N)
					if whole = c == sep || c == '\n' || c == '\r'; whole {
						p += good.N
					}
				}
			}
			switch t := &tags[k]; {
			case !whole && quoted:
				break rows // the cell does not end at this quote
			case !whole:
				o := oddCell{col: k, start: start}
				if o.end = plainCell(base, start, last, sep); o.end < 0 {
					break rows
				}
				if p = o.end; paired {
					if lex.At1(base, p) != sep {
						break rows
					}
					o.quality = p + 1
					if p = plainCell(base, p+1, last, sep); p < 0 {
						break rows
					}
					o.qualityEnd = p
				}
				w.odd = append(w.odd, o)
			case v > t.low && v < t.high:
				g.vals[place] = v
			default:
				w.odd = append(w.odd, oddCell{col: k, end: -1, v: v})
			}
			place += g.room
		}
		if lex.At1(base, p) == '\r' {
			p++
		}
		if lex.At1(base, p) != '\n' || p-i > record.MaxRecord {
			break
		}
		w.learned = false
		w.wideRow(ms, i)
		i = p + 1
		rows++
	}
	w.unlearn()
	w.B.Rows += rows
	w.B.Lines += rows
	return i
}

// plainCell gives where the cell at p ends, -1 if it is no plain text.
func plainCell(base unsafe.Pointer, p, last int, sep byte) int {
	for {
		c := lex.At1(base, p)
		switch {
		case c == sep || c == '\n' || c == '\r':
			return p
		case c == '"' || c < ' ' && c != '\t' || p > last:
			return -1
		}
		p++
	}
}

// oddCell is a cell of a row that is not kept with its column: one without a
// plain number or with another quality (text from start to end), or whose number
// v calls for something (end is -1).
type oddCell struct {
	col, start, end     int
	quality, qualityEnd int // where its quality stands, if it has one
	v                   float64
}

// wideRow keeps the row whose numbers stand in the grid at the place of the
// next one.
func (w *Worker) wideRow(ms int64, off int) {
	b := w.B
	g := &b.Grid
	if g.on && (ms < w.from || ms >= w.to || g.Rows > 0 && w.dir*(ms-g.t[g.Rows-1]) < lex.Minute) {
		b.mixAll()
	}
	if g.on && len(w.odd) == 0 && g.Count == 0 {
		g.t[g.Rows], g.off[g.Rows] = ms, uint32(off)
		g.Rows++
		return
	}
	inside := ms >= w.from && ms < w.to
	odd := w.odd
	if g.on && g.Count == 0 { // as nearly always
		for _, o := range odd {
			if g.hole(o.col); o.blank() {
				g.blanks[o.col]++
				continue
			}
			g.inRow = true
			w.oddCell(b.touch(o.col), o, ms, off)
			g.inRow = false
		}
		g.t[g.Rows], g.off[g.Rows] = ms, uint32(off)
		g.Rows++
		return
	}
	for k, mixed := range g.mixed {
		var o *oddCell
		if len(odd) > 0 && odd[0].col == k {
			o, odd = &odd[0], odd[1:]
		}
		if !mixed {
			if o != nil {
				b.mix(k)
				w.oddCell(b.seg(k), *o, ms, off)
			}
			continue
		}
		s := b.seg(k)
		v := g.vals[k*g.room+g.Rows]
		switch {
		case o != nil:
			w.oddCell(s, *o, ms, off)
		case inside && w.dir*(ms-s.lastT) > 0:
			s.plain(ms, v, off, w.Looks)
		default:
			s.Rows++
			w.put(s, w.specs[k], ms, stamp.TimeOK, v, 0, off)
		}
	}
	if g.on {
		g.t[g.Rows], g.off[g.Rows] = ms, uint32(off)
		g.Rows++
	}
}

// blank says whether the cell holds nothing.
func (o *oddCell) blank() bool { return o.end >= 0 && o.start == o.end && o.quality == 0 }

// oddCell takes a cell as the path for plain cells does.
func (w *Worker) oddCell(s *Seg, o oddCell, ms int64, off int) {
	switch {
	case o.end < 0:
		s.Rows++
		w.put(s, w.specs[o.col], ms, stamp.TimeOK, o.v, 0, off)
		return
	case o.blank():
		s.Rows++
		s.Aside[ledger.BlankValue]++
		return
	}
	c := cellOf{col: &w.f.Cols[1+o.col*w.f.Step], text: w.B.Buf[o.start:o.end]}
	if o.quality > 0 {
		c.quality, c.hasQ = w.B.Buf[o.quality:o.qualityEnd], true
		var n int
		c.v, n = lex.ParseNumber(c.text, w.f.Dec)
		c.number = n > 0 && n == len(c.text)
	}
	w.wideCell(&c, ms, stamp.TimeOK, off)
}
