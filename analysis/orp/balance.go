package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// LbPerMGDMgL is the trade's factor in lb/d = MGD x mg/L x 8.34.
const LbPerMGDMgL = 8.34

// balance works out dose, delay, and the demand of the water that leaves: the
// dose it got when it passed the feed point less the residual it leaves with.
func (w *work) balance() {
	n := w.Bins
	w.Delay = signal.Unknown(n)
	switch {
	case w.in.Delay != nil:
		d := signal.BinnedValues(w.in.Delay)
		for i := range w.Delay {
			w.Delay[i] = d[i] / signal.BinMin
		}
	case w.in.BasinGal > 0 && w.flow != nil:
		w.Delay = parcelDelay(w.flow, w.in.BasinGal)
	}
	if w.in.Dose != nil {
		w.dose = signal.BinnedValues(w.in.Dose)
	} else if w.feed != nil && w.flow != nil {
		w.dose = signal.Unknown(n)
		for i := range w.dose {
			if w.flow[i] > 0 {
				w.dose[i] = w.feed[i] / (LbPerMGDMgL * w.flow[i])
			}
		}
	}
	med := robust.Median(w.Delay)
	w.UsualDelay = med
	back := func(i int) float64 {
		if d := w.Delay[i]; signal.Known(d) {
			return d
		}
		return med
	}
	if w.ammonia != nil {
		w.ParcelN = w.ammonia
		if signal.Known(med) {
			w.ParcelN = smear(w.ammonia, back)
		}
	}
	if w.dose == nil {
		return
	}
	w.usualDose = robust.Median(w.dose)
	if !signal.Known(med) {
		w.note("Without basin volume or transport delay the dose could not be followed through the basin.")
		return
	}
	w.ParcelDose = smear(w.dose, back)
	c := w.residual()
	if c == nil {
		return
	}
	w.demand = signal.Unknown(n)
	for i := range w.demand {
		w.demand[i] = w.ParcelDose[i] - c[i]
		if w.atLeast(w.Total == nil, i) {
			w.demand[i] = math.NaN() // at most so much
		}
	}
}

// known leaves out of the balance what its own tags already tell: while the feed
// stands still, and while a storm passes, dose less residual is mixing, not demand.
func (w *work) setAsideKnown() {
	w.known = append(w.lostFeeds(), w.storms()...)
	wait := 12
	if d := w.UsualDelay; signal.Known(d) {
		wait += int(3 * d)
	}
	for _, e := range w.known {
		after := wait
		if e.kind == storm {
			after = 2 * wait
		}
		for b := max(0, e.From/signal.BinMin-1); b < min(w.Bins, e.To/signal.BinMin+after); b++ {
			w.Hold[b] = true
			if w.demand != nil {
				w.demand[b] = math.NaN()
			}
			if e.kind != storm {
				w.starved[b] = true
			}
		}
	}
}

// smear gives v as it was a delay ago, averaged over the spread of ages that a
// contact basin gives its water (from 0.7 to 1.3 of the delay, as in a basin of
// some ten tanks in series).
func smear(v []float64, back func(int) float64) []float64 {
	out := signal.Unknown(len(v))
	for i := range v {
		d := back(i)
		if math.IsNaN(d) {
			continue
		}
		lo := i - int(math.Round(1.3*d))
		hi := i - int(math.Round(0.7*d))
		sum, k := 0.0, 0
		for j := max(lo, 0); j <= hi && j < len(v); j++ {
			if signal.Known(v[j]) {
				sum += v[j]
				k++
			}
		}
		if k*2 > hi-lo {
			out[i] = sum / float64(k)
		}
	}
	return out
}

// parcelDelay gives for each bin how many bins ago the leaving water came in:
// the time in which the flow since then fills the volume.
func parcelDelay(flowMGD []float64, gal float64) []float64 {
	out := signal.Unknown(len(flowMGD))
	perBin := 1e6 * signal.BinMin / (24 * 60)
	usual := robust.Median(flowMGD)
	cum := make([]float64, len(flowMGD)+1)
	for i, q := range flowMGD {
		if math.IsNaN(q) {
			q = usual
		}
		cum[i+1] = cum[i] + math.Max(q, 0.02*usual)*perBin
	}
	j := 0
	for i := range out {
		for j < i && cum[i+1]-cum[j+1] >= gal {
			j++
		}
		if cum[i+1]-cum[j] >= gal {
			out[i] = float64(i-j) + 0.5
		}
	}
	return out
}

func (w *work) note(s string) {
	for _, n := range w.notes {
		if n == s {
			return
		}
	}
	w.notes = append(w.notes, s)
}
