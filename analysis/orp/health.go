package orp

import (
	"math"
)

// span is a run of minutes or bins, [from, to).
type span struct{ from, to int }

func (a span) len() int { return a.to - a.from }

func (a span) overlap(b span) int { return max(0, min(a.to, b.to)-max(a.from, b.from)) }

// trouble is a span of minutes in which one signal is not sound by itself.
type trouble struct {
	span
	kind  string // frozen, dither, noise, clip, service, blank
	alarm int    // minute at which a one-sided rule spoke
	size  float64
	usual float64
}

// movement gives per minute the absolute change from the minute before; NaN
// where either is unknown.
func movement(c *Column) []float64 {
	d := nanColumn(len(c.V))
	for i := 1; i < len(c.V); i++ {
		if c.usable(i) && c.usable(i-1) {
			d[i] = math.Abs(c.V[i] - c.V[i-1])
		}
	}
	return d
}

// rollingRMS gives the root mean square of the last n values of d; NaN where
// fewer than half are known.
func rollingRMS(d []float64, n int) []float64 {
	out := nanColumn(len(d))
	sq := make([]float64, len(d)+1)
	kn := make([]int, len(d)+1)
	for i, v := range d {
		sq[i+1], kn[i+1] = sq[i], kn[i]
		if known(v) {
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
func resolution(c *Column) float64 {
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
