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

// plainRow is what the cells of a plain row of a long file hold.
type plainRow struct {
	ms   int64
	st   stamp.TimeStatus
	v    float64
	q    series.Flag
	tag  int // -1: not met yet
	unit []byte
}

func (w *Worker) longFast(row []byte, off int) bool {
	if len(row) > record.MaxRecord || record.IsBinary(row) {
		return false
	}
	x := plainRow{tag: -1}
	sep, last, p := w.f.Sep, len(w.f.Ops)-1, 0
	for k, op := range w.f.Ops {
		quoted := p < len(row) && row[p] == '"'
		if quoted {
			p++
		}
		if p = w.plainCell(&x, op, row, p, quoted); p < 0 {
			return false
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
	if p != len(row) || x.tag < 0 {
		return false
	}
	spec := w.specs[x.tag]
	if w.f.UnitCol >= 0 && (spec.RowUnit || string(x.unit) != string(w.units[x.tag])) {
		return false
	}
	w.prev = x.tag
	s := w.B.seg(x.tag)
	s.Rows++
	w.put(s, spec, x.ms, x.st, x.v, x.q, off)
	return true
}

// plainCell reads the cell at p, of a column of that role, and gives where it ends; -1
// where it is not plain.
func (w *Worker) plainCell(x *plainRow, op layout.Role, row []byte, p int, quoted bool) int {
	switch op {
	case layout.RoleTime:
		return w.plainTime(x, row, p, quoted)
	case layout.RoleTag:
		return w.plainTag(x, row, p, quoted)
	case layout.RoleValue:
		v, n := lex.ParseNumber(row[p:], w.f.Dec)
		if n == 0 {
			return -1
		}
		x.v = v
		return p + n
	case layout.RoleQuality:
		return w.plainQuality(x, row, p, quoted)
	}
	e := w.cellEnd(row, p, quoted)
	if e >= 0 && op == layout.RoleUnit {
		x.unit = row[p:e]
	}
	return e
}

func (w *Worker) plainTime(x *plainRow, row []byte, p int, quoted bool) int {
	var n int
	x.ms, x.st, n = w.fastTime(row[p:])
	if n == 0 {
		e := w.cellEnd(row, p, quoted)
		if e < 0 {
			return -1
		}
		x.ms, x.st = w.readTime(row[p:e])
		n = e - p
	}
	if x.st > stamp.TimeTwice {
		return -1
	}
	return p + n
}

// plainTag finds the tag that followed the last one before, else one met before.
func (w *Worker) plainTag(x *plainRow, row []byte, p int, quoted bool) int {
	if w.prev >= 0 {
		if g := int(w.tags[w.prev].next); g >= 0 {
			name := w.raw[g]
			e := p + len(name)
			if e > p && e < len(row) && (row[e] == w.f.Sep || quoted && row[e] == '"') && string(row[p:e]) == string(name) {
				x.tag = g
				return e
			}
		}
	}
	e := w.cellEnd(row, p, quoted)
	if e <= p {
		return -1
	}
	id, ok := w.ids[string(row[p:e])]
	if !ok {
		return -1
	}
	if w.prev >= 0 {
		w.tags[w.prev].next = int32(id)
	}
	x.tag = id
	return e
}

func (w *Worker) plainQuality(x *plainRow, row []byte, p int, quoted bool) int {
	if l := len(w.Q.Last); l > 0 && p+l <= len(row) && string(row[p:p+l]) == string(w.Q.Last) &&
		(p+l == len(row) || row[p+l] == w.f.Sep || quoted && row[p+l] == '"') {
		x.q = w.Q.Flag
		return p + l
	}
	e := w.cellEnd(row, p, quoted)
	if e < 0 {
		return -1
	}
	known := false
	if x.q, known = w.Q.Seen[string(row[p:e])]; !known {
		return -1 // met for the first time: noted when the row is accepted
	}
	w.Q.Last, w.Q.Flag = append(w.Q.Last[:0], row[p:e]...), x.q
	w.metQuality(row[p:e], x.q)
	return e
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
