package plants

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
)

// stream gives the random numbers of one named part of a record.
func stream(seed uint64, name string) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(name))
	return rand.New(rand.NewPCG(seed, h.Sum64()))
}

// walk is a random walk that is pulled back to zero: standard deviation sd,
// memory of tau minutes (Ornstein and Uhlenbeck, 1930).
type walk struct {
	r               *rand.Rand
	now, keep, kick float64
}

func newWalk(r *rand.Rand, sd, tau float64) *walk {
	keep := math.Exp(-1 / tau)
	return &walk{r: r, now: sd * r.NormFloat64(), keep: keep, kick: sd * math.Sqrt(1-keep*keep)}
}

func (w *walk) step() float64 {
	w.now = w.now*w.keep + w.kick*w.r.NormFloat64()
	return w.now
}

// toward moves *y to x with the time constant tau, in minutes; the first call
// sets it.
func toward(y *float64, x, tau float64) float64 {
	if math.IsNaN(*y) {
		*y = x
	}
	*y += (x - *y) * (1 - math.Exp(-1/math.Max(tau, 0.05)))
	return *y
}

func clamp(x, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, x)) }

func between(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
