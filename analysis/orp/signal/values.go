package signal

import (
	"weirbook/analysis/robust"

	"math"
)

// Unknown is a column of n values of which none is known.
func Unknown(n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = math.NaN()
	}
	return v
}

// Known says that x is a number.
func Known(x float64) bool { return !math.IsNaN(x) }

// Clamp holds x between lo and hi.
func Clamp(x, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, x)) }

// CountKnown counts the numbers of v.
func CountKnown(v []float64) int {
	n := 0
	for _, x := range v {
		if !math.IsNaN(x) {
			n++
		}
	}
	return n
}

// Enough says whether there is enough of a column to work with: a day.
func Enough(v []float64) bool { return CountKnown(v) >= 24*60/BinMin }

// Shifted gives v as it was d bins before each bin (d may differ from bin to
// bin and be negative); NaN outside.
func Shifted(v []float64, d func(i int) float64) []float64 {
	out := Unknown(len(v))
	for i := range v {
		k := d(i)
		if math.IsNaN(k) {
			continue
		}
		j := i - int(math.Round(k))
		if j >= 0 && j < len(v) {
			out[i] = v[j]
		}
	}
	return out
}

// Masked gives v where keep says so, NaN elsewhere.
func Masked(v []float64, keep []bool) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		if keep[i] {
			out[i] = v[i]
		} else {
			out[i] = math.NaN()
		}
	}
	return out
}

// Not turns a mask about.
func Not(v []bool) []bool {
	out := make([]bool, len(v))
	for i := range v {
		out[i] = !v[i]
	}
	return out
}

// Thin turns fast bins into slow ones: the median of at least half of them.
func Thin(y, weight []float64) (ys, ks []float64) {
	n := len(y) / SlowBins
	ys = make([]float64, n)
	ks = make([]float64, n)
	var w [SlowBins]float64
	for i := range ys {
		m := 0
		k := 0.0
		for j := i * SlowBins; j < (i+1)*SlowBins; j++ {
			if Known(y[j]) {
				w[m] = y[j]
				m++
				if weight == nil {
					k++
				} else {
					k += weight[j]
				}
			}
		}
		if m*2 < SlowBins {
			ys[i] = math.NaN()
			continue
		}
		ys[i] = robust.MedianInPlace(w[:m])
		ks[i] = k / float64(m)
	}
	return ys, ks
}

// Abs of whole numbers.
func Abs(x int) int {
	if x < 0 {
		return -x
	}
	return x
}
