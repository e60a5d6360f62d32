package law

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// FindRegimes tells them apart where free and total are both measured and free
// chlorine is absent for a twentieth of the time or more. nil: one law will do.
func (w *Water) FindRegimes() []byte {
	if !w.OnFree || !signal.Enough(w.Total) {
		return nil
	}
	raw := make([]byte, w.Bins)
	n, bound := 0, 0
	last := byte(regimeBetween)
	for i := range raw {
		raw[i] = last
		f, t := w.Free[i], w.Total[i]
		if math.IsNaN(f) || math.IsNaN(t) {
			continue
		}
		n++
		switch {
		case f > 0.25 && f > 0.2*t:
			raw[i] = RegimeFree
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
	out := make([]byte, w.Bins)
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
func (w *Water) bound() []float64 {
	if w.ParcelN == nil || w.OnFree {
		return nil
	}
	dose := w.ParcelDose
	out := signal.Unknown(w.Bins)
	for i := range out {
		d := math.NaN()
		if dose != nil {
			d = 0.75 * dose[i]
		} else if w.Total != nil {
			d = 1.3 * w.Total[i]
		}
		n := math.Max(w.ParcelN[i], 0.01)
		if d > 0 {
			out[i] = 1 / (1 + math.Exp((math.Log10(d/n)-math.Log10(7))/0.07))
		}
	}
	if robust.Quantile(out, 0.98)-robust.Quantile(out, 0.02) < 0.05 {
		return nil // always the same: nothing to learn
	}
	return out
}

// Turns says whether free chlorine comes and goes in a plant whose law stands on total
// chlorine: by the free analyser, or by the chlorine fed for each part of ammonia.
func (w *Water) Turns() bool {
	if w.OnFree {
		return false
	}
	if signal.Enough(w.Free) && signal.Enough(w.Total) {
		n, free := 0, 0
		for i, f := range w.Free {
			if t := w.Total[i]; signal.Known(f) && signal.Known(t) {
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
