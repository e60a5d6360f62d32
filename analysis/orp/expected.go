package orp

import (
	"weirbook/analysis/orp/signal"
)

// results turns the fitted laws into models on the minute grid.
func (w *work) results() []Model {
	var out []Model
	n := w.in.Grid.N
	for p := range w.in.Probes {
		pr := &w.in.Probes[p]
		switch {
		case pr.Place == Final:
			out = append(out, emptyModel(pr, n, "after dechlorination: held against the final residual, not against a law"))
			continue
		case w.rAt[p] < 0:
			out = append(out, emptyModel(pr, n, "too few readings of probe and residual together to learn what it should read"))
			continue
		}
		l := &w.laws[p]
		m := Model{Tag: pr.Tag, Place: pr.Place, Slope: l.Coef[1], SlopeSD: l.SD[1], Intercept: l.Coef[0] - l.Coef[1]*l.XMid,
			Scale: l.Scale, Effective: l.Effective, LagMin: float64(l.Lag * signal.BinMin), Used: l.Used}
		m.Identified = l.SD[1] < 0.7*w.s.Law.PriorSlopeSD
		m.Law, m.OnFree = l.Describe(w.OnFree, m.Identified), w.OnFree
		if !m.Identified {
			m.Note = "the residual moves too little to tell the slope; the prior is used and the band is wider"
		}
		if m.Identified && m.Slope < 15 {
			m.Note = "this probe hardly follows the residual; it can tell little about the analyser"
		}
		expected, lo, hi := l.Expected(w.probe[p], w.hour, w.Hold)
		res := signal.Unknown(w.Bins)
		for i := range res {
			res[i] = w.probe[p][i] - expected[i]
		}
		m.Expected, m.Lo, m.Hi, m.Residual = signal.Spread(expected, n), signal.Spread(lo, n), signal.Spread(hi, n), signal.Spread(res, n)
		out = append(out, m)
	}
	return out
}
