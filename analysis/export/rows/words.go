package rows

import (
	"math"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/series"
)

// sign takes a cell of signs on for the value that it belongs to. A word that is
// not known is told with those of quality, and makes the value uncertain.
func (w *Worker) sign(c *layout.Column, field []byte) {
	field = lex.Trim(field)
	if c.Detects {
		if yes, known := cell.Detected(record.DecodeText(field)); known && !yes {
			w.signed |= series.LessThan
			if w.signText == nil {
				w.signText = []byte("ND")
			}
		}
		return
	}
	f, known := cell.SignOf(record.DecodeText(field), c.Less)
	if !known {
		if f = w.Q.Parse(field); f == 0 {
			f = series.Uncertain
		}
	}
	w.signed |= f
	if len(field) > 0 && string(field) != "=" {
		w.signText = field
	}
}

// signFlags gives the flags of the signs met since the last value, and the last
// of their cells.
func (w *Worker) signFlags() (series.Flag, []byte) {
	f, text := w.signed, w.signText
	w.signed, w.signText = 0, nil
	return f, text
}

// state takes a word of a state tag. One that says neither on nor off is a
// reading without a number: what held before it does not hold on.
func (w *Worker) state(s *Seg, tag int, spec *cell.TagSpec, ms int64, st stamp.TimeStatus, text []byte, q series.Flag, off int) {
	text = lex.Trim(text)
	m, ok := w.states[string(text)]
	if !ok {
		m = w.StateWords.Meaning(record.Shown(text))
		if w.states == nil {
			w.states = map[string]cell.StateMeaning{}
		}
		if len(w.states) < 1000 {
			w.states[string(text)] = m
		}
	}
	w.B.word(tag, record.Shown(text))
	switch m {
	case cell.StateOn:
		w.put(s, spec, ms, st, 1, q, off)
	case cell.StateOff:
		w.put(s, spec, ms, st, 0, q, off)
	case cell.StateLost:
		w.keep(s, spec, ms, st, math.NaN(), q|series.Bad, off)
	default:
		w.keep(s, spec, ms, st, math.NaN(), q|series.Uncertain, off)
	}
}
