package screen

import (
	"math"
	"slices"
)

// sampled is how many values a quantile is taken from at most, evenly picked: a
// year of minutes has the same quantiles as every hundredth minute of it.
const sampled = 4096

// every is the distance of the values picked from n.
func every(n int) int { return n/sampled + 1 }

// rankOf is the place of the p-quantile among n sorted values.
func rankOf(p float64, n int) int { return int(math.Round(p * float64(n-1))) }

// sample is what evenly picked values of the columns tell.
type sample struct {
	known       bool
	x           []float64 // in the order they were picked
	least, most float64
	levels
}

// moves is what evenly picked changes from reading to reading tell, without sign.
type moves struct {
	known         bool
	step          int // distance of those picked
	x             []float64
	p50, p90, p99 float64
	small         float64 // a hundredth of those that are not zero are smaller; 0 where all are
}

// picked gives the sample of the values, its quantiles NaN for none. It is taken
// once for all checks that ask, until readings are dropped.
func (b *scratch) picked() *sample {
	s := &b.values
	if s.known {
		return s
	}
	*s = sample{known: true, x: s.x[:0]}
	for i := 0; i < len(b.v); i += every(len(b.v)) {
		s.x = append(s.x, b.v[i])
	}
	n := len(s.x)
	q := b.ranks(s.x, 0, rankOf(0.01, n), rankOf(0.05, n), rankOf(0.5, n), rankOf(0.95, n), rankOf(0.99, n), n-1)
	s.least, s.most = q[0], q[6]
	s.levels = levels{q[1], q[2], q[3], q[4], q[5]}
	return s
}

// changes gives the sample of the changes, every step readings.
func (b *scratch) changes(step int) *moves {
	s := &b.change
	if s.known && s.step == step {
		return s
	}
	*s = moves{known: true, step: step, x: s.x[:0]}
	zeros := 0
	for i := 0; i+1 < len(b.v); i += step {
		d := math.Abs(b.v[i+1] - b.v[i])
		if d == 0 {
			zeros++
		}
		s.x = append(s.x, d)
	}
	n := len(s.x)
	q := b.ranks(s.x, rankOf(0.5, n), rankOf(0.9, n), rankOf(0.99, n), min(zeros+(n-zeros)/100, n-1)) // zeros come first
	s.p50, s.p90, s.p99 = q[0], q[1], q[2]
	if zeros < n {
		s.small = q[3]
	}
	return s
}

// quantile gives the p-quantile of evenly picked values of x, NaN for none.
func (b *scratch) quantile(x []float64, p float64) float64 {
	step := every(len(x))
	b.sorted = b.sorted[:0]
	for i := 0; i < len(x); i += step {
		b.sorted = append(b.sorted, x[i])
	}
	if len(x) == 0 {
		return math.NaN()
	}
	slices.Sort(b.sorted)
	return b.sorted[rankOf(p, len(b.sorted))]
}

// ranks gives the values that would stand at the given places if x were sorted,
// NaN before all numbers; all NaN when x is empty. x stays as it is.
func (b *scratch) ranks(x []float64, at ...int) []float64 {
	b.sorted = append(b.sorted[:0], x...)
	slices.Sort(b.sorted)
	out := make([]float64, len(at))
	for i, k := range at {
		out[i] = math.NaN()
		if len(x) > 0 {
			out[i] = b.sorted[k]
		}
	}
	return out
}
