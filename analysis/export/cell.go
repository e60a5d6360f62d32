package export

import (
	"math"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// cellOf is a value cell and what belongs to it.
type cellOf struct {
	col     *column
	text    []byte
	v       float64
	number  bool
	missing bool // the row ends before it
	quality []byte
	hasQ    bool
	unit    []byte
	hasUnit bool
	signs   []signCell
}

type signCell struct {
	col  *column
	text []byte
}

// attach takes on what stands behind the value.
func (c *cellOf) attach(col *column, text []byte) {
	switch col.role {
	case roleQuality:
		c.quality, c.hasQ = text, true
	case roleUnit:
		c.unit, c.hasUnit = text, true
	}
}

// wideCell takes one value cell of a wide row, with its quality and unit.
func (w *worker) wideCell(c *cellOf, ms int64, st timeStatus, off int) {
	s := w.b.seg(c.col.tag)
	s.rows++
	var q series.Flag
	if c.hasQ {
		if q = w.q.read(c.quality); q == 0 && w.f.step == 2 && (w.goodWord.n == 0 || w.goodText != string(c.quality)) {
			w.goodText = string(c.quality)
			w.goodWord = makeWord(append([]byte{w.f.sep}, c.quality...))
		}
	}
	for _, x := range c.signs {
		w.sign(x.col, x.text)
	}
	spec := w.specs[c.col.tag]
	if c.hasUnit {
		if c.unit = trim(c.unit); len(trim(c.text)) > 0 {
			w.meetUnit(c.col.tag, c.unit)
		}
	}
	if c.number && len(c.unit) == 0 && !spec.unitAsked {
		w.put(s, spec, ms, st, c.v, q, off)
		return
	}
	w.cell(s, c.col.tag, spec, ms, st, c.text, q, c.hasQ, c.unit, off)
}

// cell takes one value cell of any kind. unit is that of its own unit column.
func (w *worker) cell(s *seg, tag int, spec *tagSpec, ms int64, st timeStatus, text []byte, q series.Flag, hasQ bool, unit []byte, off int) {
	if !w.f.decSure {
		w.marks.add(tag, text)
	}
	c := readValue(text, w.f.dec)
	if sign := w.takeSign(); sign != 0 {
		q |= sign &^ (series.LessThan | series.GreaterThan)
		if c.flag |= sign & (series.LessThan | series.GreaterThan); c.flag != 0 && c.kind == cellBlank { // ND, and no limit beside it
			c, text = cellValue{kind: cellText}, w.signText
		}
	}
	if spec.words && isStateWord(c, text) {
		w.state(s, tag, spec, ms, st, text, q, off)
		return
	}
	switch c.kind {
	case cellBlank:
		if hasQ && q&series.Bad != 0 {
			w.keep(s, spec, ms, st, math.NaN(), q, off)
			return
		}
		s.aside[BlankValue]++
		s.hole(ms, st, off)
		return
	case cellBadWord:
		w.b.word(tag, shown(trim(text)))
		w.keep(s, spec, ms, st, math.NaN(), q|series.Bad, off)
		return
	case cellOverflow:
		s.aside[BadNumber]++
		w.b.setAside(off, tag, BadNumber, text)
		return
	case cellText:
		w.b.word(tag, shown(trim(text)))
		switch {
		case !spec.ruled:
			s.aside[NotInTags]++
		case len(c.unit) > 0:
			s.aside[UnitUnknown]++
			w.b.setAside(off, tag, UnitUnknown, text)
		case hasQ && q&series.Bad != 0: // the text says the same as the quality
			w.keep(s, spec, ms, st, math.NaN(), q, off)
		default:
			s.aside[TextValue]++
			w.b.setAside(off, tag, TextValue, text)
			s.hole(ms, st, off)
		}
		return
	}
	if c.state {
		w.b.word(tag, shown(trim(text)))
		if spec.ruled && spec.kind != quantity.Other {
			s.aside[TextValue]++
			w.b.setAside(off, tag, TextValue, text)
			return
		}
	}
	if c.flag&(series.LessThan|series.GreaterThan) != 0 {
		s.limits++
	}
	if c.flag&series.Uncertain != 0 {
		w.starred++
	}
	own, asWrote := c.unit, text
	if len(own) == 0 && spec.rowUnit && len(trim(unit)) > 0 {
		own = unit
		asWrote = append(append(append([]byte(nil), text...), ' '), own...)
	}
	if len(own) == 0 && spec.unitAsked {
		s.aside[UnitUnknown]++
		w.b.setAside(off, tag, UnitUnknown, text)
		return
	}
	if len(own) > 0 && spec.ruled {
		u := w.unit(own)
		if !u.ok {
			s.aside[UnitUnknown]++
			w.b.setAside(off, tag, UnitUnknown, asWrote)
			return
		}
		if u.u != spec.unit && spec.kind != quantity.Other {
			x, ok := spec.convert(c.v, u.u)
			if !ok {
				s.aside[UnitUnknown]++
				w.b.setAside(off, tag, UnitUnknown, asWrote)
				return
			}
			s.numbers++
			g := q | c.flag | spec.screen(c.v, x)
			if w.looks {
				asTag := c.v
				if v, err := quantity.Convert(c.v, u.u, spec.unit); err == nil {
					asTag = v
				}
				s.look(asTag, g&(series.Bad|series.SuspectFill) == 0)
			}
			w.keep(s, spec, ms, st, x, g, off)
			return
		}
	}
	w.put(s, spec, ms, st, c.v, q|c.flag, off)
}

type unitOf struct {
	u  quantity.Unit
	ok bool
}

func (w *worker) unit(b []byte) unitOf {
	u, ok := w.parsed[string(b)]
	if !ok {
		x, err := quantity.ParseUnit(cleanName(b))
		u = unitOf{x, err == nil}
		if len(w.parsed) < 1000 {
			w.parsed[string(b)] = u
		}
	}
	return u
}

// hole notes a row of a repeated hour that has no value for the tag: it helps to
// tell the two passes apart.
func (s *seg) hole(ms int64, st timeStatus, off int) {
	if st == timeTwice {
		s.twice = true
		s.holes++
		s.recs = append(s.recs, rec{ms, math.NaN(), uint32(off), fTwice | fHole})
	}
}
