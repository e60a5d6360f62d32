package rows

import (
	"bytes"

	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/series"
)

// fastRow reads a row whose every cell is plain. It changes nothing and gives false
// when one is not: also not what is known of the file's dates.
func (w *Worker) fastRow(row []byte, off int, long bool) bool {
	if long && w.longFast(row, off) || !long && w.f.Fast && w.wideFast(row, off) {
		w.learned = false
		return true
	}
	w.unlearn()
	return false
}

func (w *Worker) longFast(row []byte, off int) bool {
	if len(row) > record.MaxRecord || record.IsBinary(row) {
		return false
	}
	var (
		ms  int64
		st  stamp.TimeStatus
		v   float64
		q   series.Flag
		tag = -1
		p   int

		unit []byte
	)
	sep := w.f.Sep
	last := len(w.f.Ops) - 1
	for k, op := range w.f.Ops {
		quoted := p < len(row) && row[p] == '"'
		if quoted {
			p++
		}
		switch op {
		case layout.RoleTime:
			var n int
			ms, st, n = w.fastTime(row[p:])
			if n == 0 {
				e := w.cellEnd(row, p, quoted)
				if e < 0 {
					return false
				}
				ms, st = w.readTime(row[p:e])
				n = e - p
			}
			if st > stamp.TimeTwice {
				return false
			}
			p += n
		case layout.RoleTag:
			if w.prev >= 0 {
				if g := int(w.tags[w.prev].next); g >= 0 {
					name := w.raw[g]
					e := p + len(name)
					if e > p && e < len(row) && (row[e] == sep || quoted && row[e] == '"') && string(row[p:e]) == string(name) {
						tag, p = g, e
						break
					}
				}
			}
			e := w.cellEnd(row, p, quoted)
			if e <= p {
				return false
			}
			id, ok := w.ids[string(row[p:e])]
			if !ok {
				return false
			}
			if w.prev >= 0 {
				w.tags[w.prev].next = int32(id)
			}
			tag, p = id, e
		case layout.RoleValue:
			x, n := lex.ParseNumber(row[p:], w.f.Dec)
			if n == 0 {
				return false
			}
			v = x
			p += n
		case layout.RoleQuality:
			if l := len(w.Q.Last); l > 0 && p+l <= len(row) && string(row[p:p+l]) == string(w.Q.Last) &&
				(p+l == len(row) || row[p+l] == sep || quoted && row[p+l] == '"') {
				q, p = w.Q.Flag, p+l
				break
			}
			e := w.cellEnd(row, p, quoted)
			if e < 0 {
				return false
			}
			known := false
			if q, known = w.Q.Seen[string(row[p:e])]; !known {
				return false // met for the first time: noted when the row is accepted
			}
			w.Q.Last, w.Q.Flag = append(w.Q.Last[:0], row[p:e]...), q
			w.metQuality(row[p:e], q)
			p = e
		default:
			e := w.cellEnd(row, p, quoted)
			if e < 0 {
				return false
			}
			if op == layout.RoleUnit {
				unit = row[p:e]
			}
			p = e
		}
		if quoted {
			if p >= len(row) || row[p] != '"' {
				return false
			}
			p++
		}
		if k < last {
			if p >= len(row) || row[p] != sep {
				return false
			}
			p++
		}
	}
	if p != len(row) || tag < 0 {
		return false
	}
	spec := w.specs[tag]
	if w.f.UnitCol >= 0 && (spec.RowUnit || string(unit) != string(w.units[tag])) {
		return false
	}
	w.prev = tag
	s := w.B.seg(tag)
	s.Rows++
	w.put(s, spec, ms, st, v, q, off)
	return true
}

// cellEnd gives where the plain cell at p ends, -1 when it is not plain.
func (w *Worker) cellEnd(row []byte, p int, quoted bool) int {
	c := w.f.Sep
	if quoted {
		c = '"'
	}
	n := bytes.IndexByte(row[p:], c)
	if n < 0 {
		if quoted {
			return -1
		}
		return len(row)
	}
	if quoted && p+n+1 < len(row) && row[p+n+1] == '"' {
		return -1
	}
	return p + n
}

// wideFast reads a row of a wide file without quotes.
func (w *Worker) wideFast(row []byte, off int) bool {
	f := w.f
	if len(row) == 0 || bytes.Count(row, f.SepBytes)+1 != len(f.Cols) || bytes.IndexByte(row, '"') >= 0 || len(row) > record.MaxRecord || record.IsBinary(row) {
		return false
	}
	p := 0
	k := 0
	for ; f.Cols[k].Role != layout.RoleTime; k++ {
		p += bytes.IndexByte(row[p:], f.Sep) + 1
	}
	ms, st, n := w.fastTime(row[p:])
	if n == 0 || p+n < len(row) && row[p+n] != f.Sep {
		e := w.cellEnd(row, p, false)
		ms, st = w.readTime(row[p:e])
		n = e - p
	}
	if st > stamp.TimeTwice {
		return false
	}
	p += n
	var held cellOf
	for k++; k < len(f.Cols); k++ {
		p++ // the separator
		c := &f.Cols[k]
		switch c.Role {
		case layout.RoleValue:
			if held.col != nil {
				w.wideCell(&held, ms, st, off)
			}
			if p == len(row) || row[p] == f.Sep {
				held = cellOf{col: c}
				continue
			}
			var v float64
			var n int
			if at := off + p; at+32 <= len(w.B.Buf) {
				v, n = HotNumber((*[32]byte)(w.B.Buf[at:]), f.Dec)
			}
			if n == 0 {
				v, n = lex.ParseNumber(row[p:], f.Dec)
			}
			if n > 0 && (p+n == len(row) || row[p+n] == f.Sep) {
				if c.Companions { // its quality is still to come
					held = cellOf{col: c, text: row[p : p+n], v: v, number: true}
				} else {
					held.col = nil
					s := w.B.seg(c.Tag)
					s.Rows++
					w.put(s, w.specs[c.Tag], ms, st, v, 0, off)
				}
				p += n
				continue
			}
			e := w.cellEnd(row, p, false)
			held = cellOf{col: c, text: row[p:e]}
			p = e
		default:
			e := w.cellEnd(row, p, false)
			held.attach(c, row[p:e])
			p = e
		}
	}
	if held.col != nil {
		w.wideCell(&held, ms, st, off)
	}
	return true
}
