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
	signed := false // holds a zero with a sign
	for i := 0; i < len(b.v); i += every(len(b.v)) {
		s.x = append(s.x, b.v[i])
		signed = signed || b.v[i] == 0 && math.Signbit(b.v[i])
	}
	n := len(s.x)
	at := []int{0, rankOf(0.01, n), rankOf(0.05, n), rankOf(0.5, n), rankOf(0.95, n), rankOf(0.99, n), n - 1}
	q := b.ranks(s.x, at...)
	if signed {
		// Messages write the sign of a zero; which of two zeros stands first is
		// for the order of the readings to say, not for their keys.
		x := slices.Clone(s.x)
		slices.Sort(x)
		for i, k := range at {
			q[i] = x[k]
		}
	}
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
	b.keys = b.keys[:0]
	step := every(len(x))
	for i := 0; i < len(x); i += step {
		b.keys = append(b.keys, keyOf(x[i]))
	}
	if len(x) == 0 {
		return math.NaN()
	}
	k := rankOf(p, len(b.keys))
	nth(b.keys, k)
	return ofKey(b.keys[k])
}

// ranks gives the values that would stand at the given places if x were sorted,
// NaN before all numbers; all NaN when x is empty. x stays as it is.
func (b *scratch) ranks(x []float64, at ...int) []float64 {
	out := make([]float64, len(at))
	if len(x) == 0 {
		for i := range out {
			out[i] = math.NaN()
		}
		return out
	}
	b.keys = b.keys[:0]
	for _, y := range x {
		b.keys = append(b.keys, keyOf(y))
	}
	sorted := slices.Clone(at)
	slices.Sort(sorted)
	place(b.keys, 0, slices.Compact(sorted))
	for i, k := range at {
		out[i] = ofKey(b.keys[k])
	}
	return out
}

// keyOf gives numbers that sort as the values do, NaN first.
func keyOf(y float64) uint64 {
	if y != y {
		return 0
	}
	k := math.Float64bits(y)
	return k ^ (uint64(int64(k)>>63) | 1<<63)
}

func ofKey(k uint64) float64 {
	if k == 0 {
		return math.NaN()
	}
	if k>>63 == 1 {
		return math.Float64frombits(k ^ 1<<63)
	}
	return math.Float64frombits(^k)
}

// place reorders x until the keys at the places in at, less base and in
// ascending order, are those of the sorted keys.
func place(x []uint64, base int, at []int) {
	if len(at) == 0 {
		return
	}
	m := len(at) / 2
	k := at[m] - base
	nth(x, k)
	place(x[:k], base, at[:m])
	place(x[k+1:], base+k+1, at[m+1:])
}

// nth reorders x until x[k] is the key that would stand there if x were sorted,
// none before it larger and none after it smaller.
func nth(x []uint64, k int) {
	for len(x) > 16 {
		n := len(x)
		pivot := middle(middle(x[0], x[n/4], x[n/2]), x[n/3], middle(x[n/2+1], x[3*n/4], x[n-1]))
		less := 0
		for i, y := range x {
			x[i] = x[less]
			x[less] = y
			if y < pivot {
				less++
			}
		}
		if k < less {
			x = x[:less]
			continue
		}
		x, k = x[less:], k-less
		equal := 0
		for i, y := range x {
			x[i] = x[equal]
			x[equal] = y
			if y <= pivot {
				equal++
			}
		}
		if k < equal {
			return
		}
		x, k = x[equal:], k-equal
	}
	slices.Sort(x)
}

func middle(a, b, c uint64) uint64 { return max(min(a, b), min(max(a, b), c)) }
