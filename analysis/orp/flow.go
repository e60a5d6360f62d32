package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// flowRatio compares the flow meter with the influent meter: ln(flow/influent)
// with the influent delayed and damped as the plant between them does. The delay
// and the damping are those that leave the least scatter.
func (w *work) flowRatio() []float64 {
	if !signal.Enough(w.flow) || !signal.Enough(w.influent) {
		return nil
	}
	best := math.Inf(1)
	var out []float64
	for _, tanks := range []int{1, 3} {
		for _, tau := range []float64{0, 2, 4, 7, 12, 20, 36} { // bins per tank
			v := w.influent
			if tau > 0 {
				for k := 0; k < tanks; k++ {
					v = damped(v, tau)
				}
			} else if tanks > 1 {
				continue
			}
			q := signal.Unknown(w.Bins)
			for i := range q {
				if w.flow[i] > 0 && v[i] > 0 {
					q[i] = math.Log(w.flow[i] / v[i])
				}
			}
			if s := robust.MAD(q); s < best {
				best, out = s, q
			}
		}
	}
	return out
}

// damped passes v through a stirred tank with time constant tau (bins); a gap
// longer than a tank's memory starts anew.
func damped(v []float64, tau float64) []float64 {
	a := 1 - math.Exp(-1/tau)
	out := signal.Unknown(len(v))
	y := math.NaN()
	gap := 0
	for i, x := range v {
		switch {
		case math.IsNaN(x):
			gap++
			if float64(gap) > 2*tau {
				y = math.NaN()
			}
			continue
		case math.IsNaN(y):
			y = x
		default:
			y += a * (x - y)
		}
		gap = 0
		out[i] = y
	}
	return out
}
