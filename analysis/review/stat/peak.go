package stat

import (
	"math"
	"sort"
)

// Running gives the mean of each n values that end at a place, where at least
// least of them are known; NaN elsewhere. Fewer than n lets a gap raise or lower a peak:
// callers state the least they took.
func Running(v []float64, n, least int) []float64 {
	out := make([]float64, len(v))
	sum, known := 0.0, 0
	for i := range v {
		if !math.IsNaN(v[i]) {
			sum, known = sum+v[i], known+1
		}
		if i >= n && !math.IsNaN(v[i-n]) {
			sum, known = sum-v[i-n], known-1
		}
		out[i] = math.NaN()
		if i >= n-1 && known >= least && known > 0 {
			out[i] = sum / float64(known)
		}
	}
	return out
}

// Extreme finds the highest (or lowest) known value and its place; -1: none.
func Extreme(v []float64, lowest bool) (float64, int) {
	best, at := math.NaN(), -1
	for i, x := range v {
		if math.IsNaN(x) {
			continue
		}
		if at < 0 || (x > best) != lowest && x != best {
			best, at = x, i
		}
	}
	return best, at
}

// Exceedance gives the values in descending order with the share of time, in
// percent, that each is reached or exceeded: 100·rank/(n+1).
func Exceedance(v []float64) (values, percent []float64) {
	values = Sorted(v)
	sort.Sort(sort.Reverse(sort.Float64Slice(values)))
	percent = make([]float64, len(values))
	for i := range percent {
		percent[i] = 100 * float64(i+1) / float64(len(values)+1)
	}
	return values, percent
}

// ExceededPercent is the share of values, in percent, above a level.
func ExceededPercent(v []float64, level float64) float64 {
	n, k := 0, 0
	for _, x := range v {
		if !math.IsNaN(x) {
			n++
			if x > level {
				k++
			}
		}
	}
	if n == 0 {
		return math.NaN()
	}
	return 100 * float64(k) / float64(n)
}

// PopulationPeak is the design factor of peak hour to average flow for a
// population in thousands, (18+√P)/(4+√P): a plausibility line only. (10 CSR
// 20-8.110, equation 110-1.)
func PopulationPeak(thousands float64) float64 {
	s := math.Sqrt(thousands)
	return (18 + s) / (4 + s)
}
