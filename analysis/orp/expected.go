package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
)

// bandSigmas is the half-width of the expected band in standard deviations: about
// 99 % of sound readings lie inside.
const bandSigmas = 2.6

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
		m := Model{Tag: pr.Tag, Place: pr.Place, Slope: l.coef[1], SlopeSD: l.sd[1], Intercept: l.coef[0] - l.coef[1]*l.xMid,
			Scale: l.scale, Effective: l.eff, LagMin: float64(l.lag * signal.BinMin), Used: l.used}
		m.Identified = l.sd[1] < 0.7*w.s.PriorSlopeSD
		m.Law, m.OnFree = l.describe(w, w.onFree, m.Identified), w.onFree
		if !m.Identified {
			m.Note = "the residual moves too little to tell the slope; the prior is used and the band is wider"
		}
		if m.Identified && m.Slope < 15 {
			m.Note = "this probe hardly follows the residual; it can tell little about the analyser"
		}
		expected, lo, hi, res := signal.Unknown(w.bins), signal.Unknown(w.bins), signal.Unknown(w.bins), signal.Unknown(w.bins)
		raw := l.rawExpected()
		usual := w.usualOf(p, l, raw)
		for i := range expected {
			e := l.coef[0] + raw[i] + usual[i]
			if math.IsNaN(e) {
				continue
			}
			expected[i] = e
			half := bandSigmas * math.Hypot(l.sdMV, l.doubt[i])
			lo[i], hi[i] = e-half, e+half
			res[i] = w.probe[p][i] - e
		}
		m.Expected, m.Lo, m.Hi, m.Residual = signal.Spread(expected, n), signal.Spread(lo, n), signal.Spread(hi, n), signal.Spread(res, n)
		out = append(out, m)
	}
	return out
}

// usualOf is what the evidence stream takes off besides the law: the usual day
// and ordinary ageing.
func (w *work) usualOf(p int, l *law, raw []float64) []float64 {
	r := signal.Unknown(w.bins)
	for i := range r {
		r[i] = w.probe[p][i] - l.coef[0] - raw[i]
	}
	u := usualDay(r, w.hour, w.hold)
	base := make([]float64, 0, len(r))
	for i, v := range r {
		if signal.Known(v) && !w.hold[i] {
			base = append(base, v-u.at(w.hour[i]))
		}
	}
	mid := centre(base)
	if math.IsNaN(mid) {
		mid = 0
	}
	out := make([]float64, len(r))
	for i := range out {
		out[i] = u.at(w.hour[i]) + mid + 0.7*l.age[i]
	}
	return out
}
