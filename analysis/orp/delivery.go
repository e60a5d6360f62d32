package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// A weak load of chlorine shows nothing in a residual that a loop holds: the feed simply
// gives more of it, from one delivery to the next. So days of a dose that stepped up and
// stepped back, at a residual that stayed, are told.

// weakLoads finds them.
func (w *work) weakLoads() []event {
	c := w.residual()
	if c == nil || w.ParcelDose == nil || !signal.Enough(w.ParcelDose) || w.Turning {
		return nil
	}
	dose, left := signal.Unknown(w.Bins), signal.Unknown(w.Bins)
	for i := range dose {
		if w.ParcelDose[i] > 0 && !w.starved[i] && !w.atLeast(w.Total == nil, i) {
			dose[i], left[i] = math.Log(w.ParcelDose[i]), math.Log(math.Max(c[i], 0.02))
		}
	}
	for _, e := range w.known { // a storm thins the dose
		for b := e.From / signal.BinMin; b < min(w.Bins, e.To/signal.BinMin); b++ {
			dose[b] = math.NaN()
		}
	}
	dose = lessDay(dose, w.hour)
	step := w.steps(dose)
	size := signal.Unknown(w.Bins)
	for i, x := range step {
		size[i] = math.Abs(x)
	}
	limit := math.Max(w.s.LoadStep, ofDays(size).Over(w.s.LoadScales))
	var edges []int
	for i := 0; i < w.Bins; i++ {
		if !(size[i] > 0.6*limit) {
			continue
		}
		top := i
		for j := i; j < min(w.Bins, i+12*hourBins); j++ {
			if size[j] > size[top] && step[j]*step[i] > 0 {
				top = j
			}
		}
		edges = append(edges, top)
		i = top + 6*hourBins
	}
	var out []event
	for k, a := range edges {
		if !(step[a] > limit) {
			continue
		}
		for _, b := range edges[k+1:] {
			if b-a > w.s.DemandMaxH*hourBins {
				break
			}
			if step[b] > -0.5*step[a] || step[b] < -2*step[a] {
				continue
			}
			middle := func(v []float64, from, to int) float64 { return robust.Median(v[max(0, from):min(len(v), to)]) }
			around := func(v []float64) float64 {
				return middle(v, a, b) - (middle(v, a-binsADay, a)+middle(v, b, b+binsADay))/2
			}
			up := around(dose)
			if up > 0.6*step[a] && math.Abs(around(left)) < 0.4*up {
				out = append(out, event{Span: signal.Between(a*signal.BinMin, b*signal.BinMin), alarm: (a + 12*hourBins) * signal.BinMin, kind: weakLoad,
					subject: "chlorine demand or feed", ratio: 20 * step[a] / limit, share: w.contrastShare(step[a] / limit), size: w.usualDose * (math.Exp(up) - 1)})
			}
			break
		}
	}
	return out
}

// steps gives at each bin the middle of the next half day less that of the half day before.
func (w *work) steps(v []float64) []float64 {
	const half = 12 * hourBins
	out := signal.Unknown(len(v))
	for i := half; i+half <= len(v); i += 3 {
		a, b := v[i-half:i], v[i:i+half]
		if signal.CountKnown(a)*2 > half && signal.CountKnown(b)*2 > half {
			out[i] = robust.Median(b) - robust.Median(a)
		}
	}
	return out
}
