package health

import (
	"weirbook/analysis/orp/signal"

	"math"
)

// Trouble is a span of minutes in which one signal is not sound by itself.
type Trouble struct {
	signal.Span
	Kind  Kind
	Alarm int      // minute at which a one-sided rule spoke
	Size  float64  // in the unit of the kind
	Usual float64  // the signal's own, where the kind has one
	Tags  []string // of a link: those that stopped
}

// movement gives per minute the absolute change from the minute before; NaN
// where either is unknown.
func movement(c *signal.Column) []float64 {
	d := signal.Unknown(len(c.V))
	for i := 1; i < len(c.V); i++ {
		if c.Usable(i) && c.Usable(i-1) {
			d[i] = math.Abs(c.V[i] - c.V[i-1])
		}
	}
	return d
}

// rollingRMS gives the root mean square of the last n values of d; NaN where
// fewer than half are known.
func rollingRMS(d []float64, n int) []float64 {
	out := signal.Unknown(len(d))
	sq := make([]float64, len(d)+1)
	kn := make([]int, len(d)+1)
	for i, v := range d {
		sq[i+1], kn[i+1] = sq[i], kn[i]
		if signal.Known(v) {
			sq[i+1] += v * v
			kn[i+1]++
		}
	}
	for i := range d {
		lo := max(0, i+1-n)
		if k := kn[i+1] - kn[lo]; k*2 >= n {
			out[i] = math.Sqrt(math.Max(0, sq[i+1]-sq[lo]) / float64(k))
		}
	}
	return out
}

// resolution is the smallest step that the tag's readings come in.
func resolution(c *signal.Column) float64 {
	best := math.Inf(1)
	n := 0
	for i := 1; i < len(c.V) && n < 3000; i++ {
		if d := math.Abs(c.V[i] - c.V[i-1]); d > 1e-9 {
			n++
			if d < best {
				best = d
			}
		}
	}
	if math.IsInf(best, 1) {
		return 0
	}
	return best
}
