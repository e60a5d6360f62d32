package export

import (
	"bytes"
	"encoding/binary"
	"strings"

	"weirbook/analysis/series"
)

// slow reads a row of any shape.
func (w *worker) slow(row []byte, off int) {
	b := w.b
	if len(trim(row)) == 0 {
		b.blanks++
		return
	}
	comment := w.f.comment != 0 && row[0] == w.f.comment
	if w.otherTag(row) || comment && w.f.follow && statesZone(row, w.f.sepBytes) && !w.f.noTable[string(row)] {
		b.turn = string(row)
		return
	}
	if comment {
		b.comment++
		return
	}
	b.rows++
	switch {
	case len(row) > maxRecord, isBinary(row):
		w.loose(row, off, Damaged)
		return
	}
	w.split(row)
	n := len(w.fields)
	blank := true
	for _, f := range w.fields {
		if len(trim(f)) > 0 {
			blank = false
			break
		}
	}
	if blank { // separators only
		b.rows--
		b.blanks++
		return
	}
	if n > len(w.f.cols) {
		for n > len(w.f.cols) && len(trim(w.fields[n-1])) == 0 {
			n--
		}
		w.fields = w.fields[:n]
	}
	if w.f.closed {
		w.loose(row, off, NotARow)
		return
	}
	ms, st := w.rowTime()
	if st > timeTwice && w.nextTable(row) {
		b.rows--
		b.turn = string(row)
		return
	}
	if w.f.own != nil && w.ownRow(row, off) {
		return
	}
	if n < w.f.need {
		if n > 1 && w.timeLike() && len(w.join) > 0 {
			w.whole(row, off, CutShort)
		} else {
			w.loose(row, off, NotARow)
		}
		return
	}
	if n > len(w.f.cols) {
		if st > timeTwice {
			w.loose(row, off, NotARow)
			return
		}
		w.whole(row, off, TooManyFields)
		return
	}
	if st > timeTwice {
		switch st {
		case timeNever:
			w.whole(row, off, NoSuchTime)
		case timeUnsure:
			w.whole(row, off, DateOrder)
		default:
			if w.likeARow() {
				w.whole(row, off, BadTime)
			} else {
				w.loose(row, off, NotARow)
			}
		}
		return
	}
	if w.f.layout == long {
		w.longRow(row, ms, st, off)
		return
	}
	held := w.cells()
	for i := range held {
		w.wideCell(&held[i], ms, st, off)
	}
}

// isBinary tells rows with bytes that no text holds.
func isBinary(row []byte) bool {
	n := 0
	for len(row) > 0 {
		// Eight bytes of ' ' and above at once.
		if len(row) >= 8 {
			x := binary.LittleEndian.Uint64(row)
			if (x-0x2020202020202020)&^x&0x8080808080808080 == 0 {
				row = row[8:]
				continue
			}
		}
		c := row[0]
		row = row[1:]
		if c == 0 {
			return true
		}
		if c < ' ' && c != '\t' && c != '\r' && c != '\n' && c != 0x0b && c != 0x0c {
			n++
		}
	}
	return n > 2
}

// loose sets aside a row that belongs to no tag.
func (w *worker) loose(row []byte, off int, why Reason) {
	w.b.loose[why]++
	w.b.setAside(off, -1, why, row)
}

// whole sets aside a row whose columns are known: in a wide file every cell of
// it, in a long file the row of its tag.
func (w *worker) whole(row []byte, off int, why Reason) {
	if w.f.layout == long {
		tag := w.rowTag()
		if tag < 0 {
			w.loose(row, off, why)
			return
		}
		s := w.b.seg(tag)
		s.rows++
		s.aside[why]++
		w.b.setAside(off, tag, why, row)
		return
	}
	for i := range w.f.cols {
		if c := &w.f.cols[i]; c.role == roleValue {
			s := w.b.seg(c.tag)
			s.rows++
			s.aside[why]++
		}
	}
	w.b.setAside(off, -1, why, row)
}

// likeARow says whether a row without a time looks like a reading all the same:
// enough fields, and a number or a blank where values stand.
func (w *worker) likeARow() bool {
	if len(w.fields) < w.f.need || !w.timeLike() {
		return false
	}
	good, all := 0, 0
	for k := range w.f.cols {
		if w.f.cols[k].role == roleValue && k < len(w.fields) {
			all++
			if c := readValue(w.fields[k], w.f.dec); c.kind == cellNumber || c.kind == cellBadWord {
				good++
			}
		}
	}
	return good > 0 && good*2 >= all
}

// timeLike says whether what stands for the time is empty or begins as times
// do.
func (w *worker) timeLike() bool {
	t := unwrapped(trim(w.join))
	if len(t) == 0 || t[0]-'0' <= 9 || len(t) < 6 && blankWords[strings.ToLower(string(t))] {
		return true
	}
	if i := skipWeekday(t); i > 0 && i < len(t) {
		return true
	}
	m, _ := monthName(t)
	return m > 0 && bytes.ContainsAny(t, "0123456789")
}

// split cuts a row into fields, undoing quotes.
func (w *worker) split(row []byte) {
	w.fields, w.arena = splitRow(row, w.f.sep, w.fields[:0], w.arena[:0])
}

func splitRow(row []byte, sep byte, fields [][]byte, arena []byte) ([][]byte, []byte) {
	if cap(arena) < len(row) && bytes.IndexByte(row, '"') >= 0 {
		arena = make([]byte, 0, len(row)+256) // cells keep pointing into it
	}
	if fields == nil {
		fields = make([][]byte, 0, bytes.Count(row, []byte{sep})+1)
	}
	for i := 0; ; {
		if i < len(row) && row[i] == '"' {
			start := len(arena)
			j := i + 1
			closed := false
			for j < len(row) {
				if row[j] == '"' {
					if j+1 < len(row) && row[j+1] == '"' {
						j++
					} else {
						closed = true
						j++
						break
					}
				}
				arena = append(arena, row[j])
				j++
			}
			if closed {
				for j < len(row) && row[j] != sep { // text behind the closing quote
					arena = append(arena, row[j])
					j++
				}
				fields = append(fields, arena[start:len(arena):len(arena)])
				if j == len(row) {
					return fields, arena
				}
				i = j + 1
				continue
			}
			arena = arena[:start]
		}
		n := bytes.IndexByte(row[i:], sep)
		if n < 0 {
			return append(fields, row[i:]), arena
		}
		fields = append(fields, row[i:i+n])
		i += n + 1
	}
}

// rowTag finds the tag of a long row, -1 if it names none.
func (w *worker) rowTag() int {
	f := w.f
	if f.tagCol < 0 || f.tagCol >= len(w.fields) {
		return -1
	}
	cell := w.fields[f.tagCol]
	if f.placeCol >= 0 && f.placeCol < len(w.fields) {
		if p := trim(w.fields[f.placeCol]); len(p) > 0 && len(trim(cell)) > 0 {
			cell = append(append(append(make([]byte, 0, 64), p...), ' '), trim(cell)...)
		}
	}
	var unit []byte
	key := cell
	if f.unitCol >= 0 {
		// Also for a row that ends before its unit: else it would take the unit
		// that this worker happened to meet last.
		if f.unitCol < len(w.fields) {
			unit = w.fields[f.unitCol]
		}
		key = append(append(append(make([]byte, 0, 64), cell...), 0), unit...)
	}
	if id, ok := w.ids[string(key)]; ok {
		return id
	}
	name := cleanName(cell)
	if name == "" {
		return -1
	}
	id, spec := w.tab.id(name, cleanName(unit))
	w.learn(id, spec, cell, unit)
	if len(w.ids) < 1<<16 {
		w.ids[string(key)] = id
		w.ids[string(cell)] = id // where longFast looks; it checks the unit
	}
	return id
}

func (w *worker) longRow(row []byte, ms int64, st timeStatus, off int) {
	f := w.f
	tag := w.rowTag()
	if tag < 0 {
		w.loose(row, off, NoTag)
		return
	}
	if w.prev >= 0 {
		w.tags[w.prev].next = int32(tag)
	}
	w.prev = tag
	s := w.b.seg(tag)
	s.rows++
	var q series.Flag
	hasQ := f.qualityCol >= 0 && f.qualityCol < len(w.fields)
	if hasQ {
		q = w.q.read(w.fields[f.qualityCol])
		w.metQuality(w.fields[f.qualityCol], q)
	} else if f.qualityCol < 0 {
		w.metQuality(nil, 0)
	}
	var unit, v []byte
	if f.unitCol >= 0 && f.unitCol < len(w.fields) {
		unit = w.fields[f.unitCol]
	}
	if f.valueCol < len(w.fields) {
		v = w.fields[f.valueCol]
	}
	if f.signed {
		for k := range w.fields {
			if k < len(f.cols) && f.cols[k].role == roleSign {
				w.sign(&f.cols[k], w.fields[k])
			}
		}
	}
	w.cell(s, tag, w.specs[tag], ms, st, v, q, hasQ, unit, off)
}
