package law

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// inTime moves x to the probe's place: a probe inside the basin sees the water
// that leaves later; an outlet probe sees it now.
func (w *Water) inTime(p Probe, x []float64, lag int) []float64 {
	med := w.UsualDelay
	return signal.Shifted(x, func(i int) float64 {
		d := float64(lag)
		if p.MidBasin && signal.Known(med) {
			f := p.VolumeFraction
			if !(f > 0 && f < 1) {
				f = 0.5
			}
			k := w.Delay[i]
			if math.IsNaN(k) {
				k = med
			}
			d -= (1 - f) * k
		}
		return d
	})
}

// findLag finds by how many bins the probe follows the residual: the lag at
// which the changes of both go together best, or none when they hardly do.
func (w *Water) findLag(p Probe, e, x []float64) int {
	de := changes(e, w.Hold, 3)
	best, at := 0.0, 0
	zero := 0.0
	for lag := -3; lag <= 12; lag++ {
		dx := changes(w.inTime(p, x, lag), w.Hold, 3)
		c := sturdyCorrelation(de, dx)
		if lag == 0 {
			zero = c
		}
		if c > best {
			best, at = c, lag
		}
	}
	if best < 0.15 || best < zero+0.03 {
		return 0
	}
	return at
}

// changes gives v less what it was k bins before.
func changes(v []float64, hold []bool, k int) []float64 {
	out := signal.Unknown(len(v))
	for i := k; i < len(v); i++ {
		if !hold[i] && !hold[i-k] {
			out[i] = v[i] - v[i-k]
		}
	}
	return out
}

// every gives each k-th value: enough for a scale.
func every(v []float64, k int) []float64 {
	out := make([]float64, 0, len(v)/k+1)
	for i := 0; i < len(v); i += k {
		out = append(out, v[i])
	}
	return out
}

// sturdyCorrelation is the correlation of a and b, each cut off at three robust
// standard deviations.
func sturdyCorrelation(a, b []float64) float64 {
	sa, sb := 3*robust.MAD(every(a, 4)), 3*robust.MAD(every(b, 4))
	if !(sa > 0) || !(sb > 0) {
		return 0
	}
	n, xx, yy, xy := 0, 0.0, 0.0, 0.0
	for i := range a {
		if !signal.Known(a[i]) || !signal.Known(b[i]) {
			continue
		}
		x, y := signal.Clamp(a[i], -sa, sa), signal.Clamp(b[i], -sb, sb)
		xx += x * x
		yy += y * y
		xy += x * y
		n++
	}
	if n < 100 || xx == 0 || yy == 0 {
		return 0
	}
	return xy / math.Sqrt(xx*yy)
}
