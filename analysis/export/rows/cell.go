package rows

import (
	"math"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/lab"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// cellOf is a value cell and what belongs to it.
type cellOf struct {
	col     *layout.Column
	text    []byte
	v       float64
	number  bool
	missing bool // the row ends before it
	quality []byte
	hasQ    bool
	unit    []byte
	hasUnit bool
	signs   []signCell
	limit   []byte // its own reporting or detection limit
}

type signCell struct {
	col  *layout.Column
	text []byte
}

// attach takes on what stands behind the value.
func (c *cellOf) attach(col *layout.Column, text []byte) {
	switch col.Role {
	case layout.RoleQuality:
		c.quality, c.hasQ = text, true
	case layout.RoleUnit:
		c.unit, c.hasUnit = text, true
	}
}

// wideCell takes one value cell of a wide row, with its quality and unit.
func (w *Worker) wideCell(c *cellOf, ms int64, st stamp.TimeStatus, off int) {
	s := w.B.seg(c.col.Tag)
	s.Rows++
	var q series.Flag
	if c.hasQ {
		if q = w.quality(c.col.Tag, c.quality); q == 0 && w.f.Step == 2 && (w.goodWord.N == 0 || w.goodText != string(c.quality)) {
			w.goodText = string(c.quality)
			w.goodWord = lex.MakeWord(append([]byte{w.f.Sep}, c.quality...))
		}
	}
	for _, x := range c.signs {
		w.sign(x.col, x.text)
	}
	w.limit = append(w.limit[:0], lex.Trim(c.limit)...)
	spec := w.specs[c.col.Tag]
	if c.hasUnit {
		if c.unit = lex.Trim(c.unit); len(lex.Trim(c.text)) > 0 {
			w.meetUnit(c.col.Tag, c.unit)
		}
	}
	if c.number && len(c.unit) == 0 && !spec.UnitAsked {
		w.put(s, spec, ms, st, c.v, q, off)
		return
	}
	w.cell(s, c.col.Tag, spec, ms, st, c.text, q, c.hasQ, c.unit, off)
}

// cell takes one value cell of any kind. unit is that of its own unit column.
func (w *Worker) cell(s *Seg, tag int, spec *cell.TagSpec, ms int64, st stamp.TimeStatus, text []byte, q series.Flag, hasQ bool, unit []byte, off int) {
	if !w.f.DecSure {
		w.Marks.Add(tag, text)
	}
	if w.f.DecAsk && cell.EitherWay(text) {
		s.Aside[ledger.DecimalMark]++
		w.B.setAside(off, tag, ledger.DecimalMark, text)
		return
	}
	c := cell.ReadValue(text, w.f.Dec)
	sign, qualifier := w.signFlags()
	q |= sign &^ (series.LessThan | series.GreaterThan)
	if spec.Sampled() {
		c = cell.LabValue(c, text, w.f.Dec)
	}
	if len(qualifier) > 0 {
		if c.Flag |= sign & (series.LessThan | series.GreaterThan); c.Kind == cell.CellBlank { // ND or NS, and no number beside it
			c = cell.CellValue{Kind: cell.CellText}
			if len(lex.Trim(text)) == 0 {
				text, qualifier = qualifier, nil
			}
		}
	}
	if spec.Sampled() && c.Kind == cell.CellText && len(w.limit) > 0 {
		c, text = cell.BelowLimit(c, text, w.limit, w.f.Dec)
	}
	if spec.Sampled() {
		if w.endOfDay { // a sample's 24:00 ends its own date
			ms--
		}
		defer w.labCell(s, tag, spec, ms, c, text, qualifier, unit, c.Flag|q != 0, off)()
	}
	if spec.Words && cell.IsStateWord(c, text) {
		w.state(s, tag, spec, ms, st, text, q, off)
		return
	}
	if c.Kind != cell.CellNumber {
		w.noNumber(s, tag, spec, ms, st, c, text, q, hasQ, off)
		return
	}
	if c.State {
		w.B.word(tag, record.Shown(lex.Trim(text)))
		if spec.Ruled && spec.Kind != quantity.Other {
			s.Aside[ledger.TextValue]++
			w.B.setAside(off, tag, ledger.TextValue, text)
			return
		}
	}
	if c.Flag&(series.LessThan|series.GreaterThan) != 0 {
		s.Limits++
	}
	if c.Flag&series.Uncertain != 0 {
		w.Starred++
	}
	w.inUnit(s, tag, spec, ms, st, c, text, q, unit, off)
}

// noNumber takes a cell that holds no number: it is set aside, or a bad reading without a
// number where its quality or its words say so.
func (w *Worker) noNumber(s *Seg, tag int, spec *cell.TagSpec, ms int64, st stamp.TimeStatus, c cell.CellValue, text []byte, q series.Flag, hasQ bool, off int) {
	switch c.Kind {
	case cell.CellBlank:
		if hasQ && q&series.Bad != 0 {
			w.keep(s, spec, ms, st, math.NaN(), q, off)
			return
		}
		s.Aside[ledger.BlankValue]++
		s.hole(ms, st, off)
	case cell.CellBadWord:
		w.B.word(tag, record.Shown(lex.Trim(text)))
		w.keep(s, spec, ms, st, math.NaN(), q|series.Bad, off)
	case cell.CellOverflow:
		s.Aside[ledger.BadNumber]++
		w.B.setAside(off, tag, ledger.BadNumber, text)
	case cell.CellText:
		w.B.word(tag, record.Shown(lex.Trim(text)))
		switch {
		case !spec.Ruled:
			s.Aside[ledger.NotInTags]++
		case len(c.Unit) > 0:
			s.Aside[ledger.UnitUnknown]++
			w.B.setAside(off, tag, ledger.UnitUnknown, text)
		case hasQ && q&series.Bad != 0: // the text says the same as the quality
			w.keep(s, spec, ms, st, math.NaN(), q, off)
		default:
			s.Aside[ledger.TextValue]++
			w.B.setAside(off, tag, ledger.TextValue, text)
			s.hole(ms, st, off)
		}
	}
}

// inUnit takes a number in the unit of its cell or row, else in the tag's.
func (w *Worker) inUnit(s *Seg, tag int, spec *cell.TagSpec, ms int64, st stamp.TimeStatus, c cell.CellValue, text []byte, q series.Flag, unit []byte, off int) {
	own, asWrote := c.Unit, text
	if len(own) == 0 && spec.RowUnit && len(lex.Trim(unit)) > 0 {
		own = unit
		asWrote = append(append(append([]byte(nil), text...), ' '), own...)
	}
	if len(own) == 0 && spec.UnitAsked {
		s.Aside[ledger.UnitUnknown]++
		w.B.setAside(off, tag, ledger.UnitUnknown, text)
		return
	}
	if len(own) > 0 && spec.Ruled {
		s.InCells = true
		u := w.unit(own)
		if !u.ok {
			s.Aside[ledger.UnitUnknown]++
			w.B.setAside(off, tag, ledger.UnitUnknown, asWrote)
			return
		}
		if u.u != spec.Unit && spec.Kind != quantity.Other {
			x, ok := spec.Convert(c.V, u.u)
			if !ok {
				s.Aside[ledger.UnitUnknown]++
				w.B.setAside(off, tag, ledger.UnitUnknown, asWrote)
				return
			}
			s.Numbers++
			g := q | c.Flag | spec.Screen(c.V, x)
			if w.Looks {
				asTag := c.V
				if v, err := quantity.Convert(c.V, u.u, spec.Unit); err == nil {
					asTag = v
				}
				s.look(asTag, g&(series.Bad|series.SuspectFill) == 0)
			}
			w.keep(s, spec, ms, st, x, g, off)
			return
		}
	}
	w.put(s, spec, ms, st, c.V, q|c.Flag, off)
}

// labCell keeps a cell of a sampled tag that holds more than a plain number. What is
// returned is called when the cell was taken: it adds the number taken from it, and
// keeps a plain one whose unit could not be read.
func (w *Worker) labCell(s *Seg, tag int, spec *cell.TagSpec, ms int64, c cell.CellValue, text, qualifier, unit []byte, flagged bool, off int) func() {
	x := lab.Cell{T: ms, Text: record.Shown(lex.Trim(text)), Qualifier: record.Shown(qualifier)}
	at, had, units := -1, len(s.Recs), s.Aside[ledger.UnitUnknown]
	if (c.Kind != cell.CellNumber || flagged || len(qualifier) > 0) && len(text)+len(qualifier) > 0 {
		if lead, rest, ok := cell.Leading(text, w.f.Dec); ok && c.Kind == cell.CellText && lead.Flag == 0 {
			if v, ok := w.working(spec, lead.V, unit); ok {
				x.Value, x.Beside = v, record.Shown(rest)
			}
		}
		at = len(w.B.Lab)
		w.B.Lab = append(w.B.Lab, LabRow{uint32(off), tag, x})
	}
	return func() {
		switch {
		case c.Kind != cell.CellNumber || c.State:
		case s.Aside[ledger.UnitUnknown] > units:
			if at < 0 {
				at = len(w.B.Lab)
				w.B.Lab = append(w.B.Lab, LabRow{uint32(off), tag, x})
			}
			if unit = lex.Trim(unit); len(unit) == 0 {
				unit = []byte("none")
			}
			w.B.Lab[at].Cell.BadUnit = record.Shown(unit)
		case at >= 0 && len(s.Recs) > had:
			w.B.Lab[at].Cell.Number, w.B.Lab[at].Cell.Value = true, s.Recs[had].V
		}
	}
}

// working is a number of a row in its tag's working unit; false where the row states a
// unit that cannot be converted.
func (w *Worker) working(spec *cell.TagSpec, v float64, unit []byte) (float64, bool) {
	if unit = lex.Trim(unit); len(unit) > 0 && spec.RowUnit {
		u := w.unit(unit)
		if !u.ok {
			return 0, false
		}
		if u.u != spec.Unit {
			return spec.Convert(v, u.u)
		}
	}
	x, _ := spec.Finish(v, 0)
	return x, true
}

type unitOf struct {
	u  quantity.Unit
	ok bool
}

func (w *Worker) unit(b []byte) unitOf {
	u, ok := w.parsed[string(b)]
	if !ok {
		x, err := quantity.ParseUnit(record.CleanName(b))
		u = unitOf{x, err == nil}
		if len(w.parsed) < 1000 {
			w.parsed[string(b)] = u
		}
	}
	return u
}

// control sets aside a row of a blank, a spike or a duplicate; of a sampled tag its
// result is kept among what its sheet holds.
func (w *Worker) control(s *Seg, tag int, ms int64, text []byte, off int) bool {
	k := w.f.KindCol
	if k < 0 || k >= len(w.fields) {
		return false
	}
	kind := record.Shown(lex.Trim(w.fields[k]))
	if control, _ := lab.SampleKind(kind, true); !control {
		return false
	}
	_, sign := w.signFlags()
	s.Aside[ledger.ControlSample]++
	w.B.setAside(off, tag, ledger.ControlSample, text)
	if w.specs[tag].Sampled() {
		w.B.Lab = append(w.B.Lab, LabRow{uint32(off), tag, lab.Cell{T: ms, Text: record.Shown(lex.Trim(text)), Qualifier: record.Shown(sign), Kind: kind}})
	}
	return true
}

// hole notes a row of a repeated hour that has no value for the tag: it helps to
// tell the two passes apart.
func (s *Seg) hole(ms int64, st stamp.TimeStatus, off int) {
	if st == stamp.TimeTwice {
		s.Twice = true
		s.Holes++
		s.Recs = append(s.Recs, Rec{ms, math.NaN(), uint32(off), FTwice | FHole})
	}
}

// meetUnit notes a unit that stands in a column beside a wide file's values.
func (w *Worker) meetUnit(tag int, unit []byte) {
	for len(w.unitsMet) <= tag {
		w.unitsMet = append(w.unitsMet, nil)
	}
	if w.unitsMet[tag][string(unit)] {
		return
	}
	if w.unitsMet[tag] == nil {
		w.unitsMet[tag] = map[string]bool{}
	}
	if len(w.unitsMet[tag]) < 100 {
		w.unitsMet[tag][record.CleanName(unit)] = true
	}
}

// MetUnits gathers what the workers met.
func MetUnits(ws []*Worker) map[int]map[string]bool {
	out := map[int]map[string]bool{}
	for _, w := range ws {
		for tag, m := range w.unitsMet {
			if len(m) > 0 && out[tag] == nil {
				out[tag] = map[string]bool{}
			}
			for u := range m {
				out[tag][u] = true
			}
		}
	}
	return out
}
