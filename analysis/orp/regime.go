package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// findRegimes tells them apart where free and total are both measured and free
// chlorine is absent for a twentieth of the time or more. nil: one law will do.
func (w *work) findRegimes() []byte {
	if !w.onFree || !signal.Enough(w.total) {
		return nil
	}
	raw := make([]byte, w.bins)
	n, bound := 0, 0
	last := byte(regimeBetween)
	for i := range raw {
		raw[i] = last
		f, t := w.free[i], w.total[i]
		if math.IsNaN(f) || math.IsNaN(t) {
			continue
		}
		n++
		switch {
		case f > 0.25 && f > 0.2*t:
			raw[i] = regimeFree
		case f < 0.12 || f < 0.08*t:
			raw[i] = regimeCombined
			bound++
		default:
			raw[i] = regimeBetween
		}
		last = raw[i]
	}
	if bound*20 < n {
		return nil
	}
	out := make([]byte, w.bins)
	const about = 60 / signal.BinMin
	same := 0
	for i := range raw {
		if i > 0 && raw[i] == raw[i-1] {
			same++
		} else {
			same = 0
		}
		out[i] = raw[i]
		if same < about {
			out[i] = regimeBetween
		}
	}
	// an hour before a change as well
	for i := len(raw) - 2; i >= 0; i-- {
		if raw[i] != raw[i+1] {
			for k := max(0, i-about/2); k <= i; k++ {
				out[k] = regimeBetween
			}
		}
	}
	return out
}

// bound gives how far ammonia binds the chlorine, 0 (free) to 1 (combined),
// from the chlorine that was fed for each part of ammonia nitrogen: 5:1 by weight
// is the crest of the breakpoint curve, about 7.6:1 its trough.
func (w *work) bound() []float64 {
	if w.parcelN == nil || w.onFree {
		return nil
	}
	dose := w.parcelDose
	out := signal.Unknown(w.bins)
	for i := range out {
		d := math.NaN()
		if dose != nil {
			d = 0.75 * dose[i]
		} else if w.total != nil {
			d = 1.3 * w.total[i]
		}
		n := math.Max(w.parcelN[i], 0.01)
		if d > 0 {
			out[i] = 1 / (1 + math.Exp((math.Log10(d/n)-math.Log10(7))/0.07))
		}
	}
	if robust.Quantile(out, 0.98)-robust.Quantile(out, 0.02) < 0.05 {
		return nil // always the same: nothing to learn
	}
	return out
}

// turns says whether free chlorine comes and goes in a plant whose law stands on total
// chlorine: by the free analyser, or by the chlorine fed for each part of ammonia.
func (w *work) turns() bool {
	if w.onFree {
		return false
	}
	if signal.Enough(w.free) && signal.Enough(w.total) {
		n, free := 0, 0
		for i, f := range w.free {
			if t := w.total[i]; signal.Known(f) && signal.Known(t) {
				n++
				if f > 0.25 && f > 0.2*t {
					free++
				}
			}
		}
		return free*30 >= n
	}
	g := w.bound()
	return g != nil && robust.Quantile(g, 0.95)-robust.Quantile(g, 0.05) > 0.4
}

// overTurning is what the evidence must come to where free chlorine comes and goes.
// No law follows that well: it must be much, or two grabs must say the same, which
// need no law.
func (w *work) overTurning(e *episode) float64 {
	if e.h.cause == causeAnalyser {
		for k, g := range e.grabSizes {
			if g.ok && g.n >= 2 && w.grabs[k].free == e.h.free && math.Abs(g.size-e.theta) < 0.5*math.Abs(e.theta) {
				return w.s.OverWitnessed
			}
		}
	}
	return w.s.OverTurning
}
