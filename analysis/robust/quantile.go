// Package robust holds the statistics that bad readings cannot drag: medians, quantiles,
// the median absolute deviation, running medians, robust regression, and the cumulative
// sum that meets small lasting shifts.
package robust

import (
	"math"
	"slices"
)

// Published constants of robust statistics.
const (
	// MADScale turns a median absolute deviation into a standard deviation of
	// a normal distribution: 1/Φ⁻¹(3/4) = 1/(√2 erf⁻¹(1/2)).
	MADScale = 1.482602218505602
	// HuberK and BisquareC give 95 % efficiency on normal data.
	HuberK    = 1.345
	BisquareC = 4.685
)

// Median gives the middle of the numbers in v, leaving NaN out; NaN if there is
// none. v is not changed.
func Median(v []float64) float64 { return Quantile(v, 0.5) }

// Quantile gives the q-quantile (linear between order statistics) of the
// numbers in v, leaving NaN out; NaN if there is none.
func Quantile(v []float64, q float64) float64 {
	w := make([]float64, 0, len(v))
	for _, x := range v {
		if x == x {
			w = append(w, x)
		}
	}
	n := len(w)
	if n == 0 {
		return math.NaN()
	}
	p := q * float64(n-1)
	i := int(p)
	if i >= n-1 {
		return slices.Max(w)
	}
	a := selectNth(w, i)
	f := p - float64(i)
	if f == 0 {
		return a // keeps an infinite neighbour out
	}
	return a*(1-f) + slices.Min(w[i+1:])*f
}

// selectNth puts the k-th smallest of w at place k, none larger before it and none
// smaller after, and gives it (Hoare's selection, middle of three as pivot).
func selectNth(w []float64, k int) float64 {
	lo, hi := 0, len(w)-1
	for lo < hi {
		m := lo + (hi-lo)/2
		if w[m] < w[lo] {
			w[m], w[lo] = w[lo], w[m]
		}
		if w[hi] < w[lo] {
			w[hi], w[lo] = w[lo], w[hi]
		}
		if w[hi] < w[m] {
			w[hi], w[m] = w[m], w[hi]
		}
		p := w[m]
		i, j := lo, hi
		for i <= j {
			for w[i] < p {
				i++
			}
			for w[j] > p {
				j--
			}
			if i <= j {
				w[i], w[j] = w[j], w[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return w[k]
		}
	}
	return w[k]
}

// Numbers gives the numbers of v without NaN, sorted.
func Numbers(v []float64) []float64 {
	w := make([]float64, 0, len(v))
	for _, x := range v {
		if !math.IsNaN(x) {
			w = append(w, x)
		}
	}
	slices.Sort(w)
	return w
}

// QuantileSorted is Quantile of a sorted slice without NaN.
func QuantileSorted(w []float64, q float64) float64 {
	if len(w) == 0 {
		return math.NaN()
	}
	p := q * float64(len(w)-1)
	i := int(p)
	if i >= len(w)-1 {
		return w[len(w)-1]
	}
	f := p - float64(i)
	if f == 0 {
		return w[i] // keeps an infinite neighbour out
	}
	return w[i]*(1-f) + w[i+1]*f
}

// MAD gives the scaled median absolute deviation of v about its median.
func MAD(v []float64) float64 {
	m := Median(v)
	w := make([]float64, 0, len(v))
	for _, x := range v {
		if !math.IsNaN(x) {
			w = append(w, math.Abs(x-m))
		}
	}
	return MADScale * Median(w)
}

// ShortestHalf gives the middle and the width of the shortest interval that
// holds half of the numbers: where most of the data sit, whatever the other half
// does (breakdown point one half).
func ShortestHalf(v []float64) (mid, width float64) {
	w := Numbers(v)
	n := len(w)
	if n == 0 {
		return math.NaN(), math.NaN()
	}
	h := n/2 + 1
	if h > n {
		h = n
	}
	best := 0
	for i := 0; i+h <= n; i++ {
		if w[i+h-1]-w[i] < w[best+h-1]-w[best] {
			best = i
		}
	}
	return Median(w[best : best+h]), w[best+h-1] - w[best]
}

// Centre is where the readings mostly sit: the middle of the shortest half,
// which a fault that fills less than half of the record cannot drag, or the
// median where both agree within a fifth of the spread.
func Centre(v []float64) float64 {
	mid, width := ShortestHalf(v)
	med := Median(v)
	if math.Abs(mid-med) < 0.1*width {
		return med
	}
	return mid
}

// MedianInPlace sorts a short scratch slice in place and gives its median.
func MedianInPlace(w []float64) float64 {
	n := len(w)
	if n == 0 {
		return math.NaN()
	}
	slices.Sort(w)
	if n%2 == 1 {
		return w[n/2]
	}
	return (w[n/2-1] + w[n/2]) / 2
}

// TrailingMedian gives at each place the median of the last n values (itself
// included), NaN where fewer than least are known. Its cost per step is that of
// one insertion in a sorted window.
func TrailingMedian(v []float64, n, least int) []float64 {
	return windowMedian(v, n, least, n-1)
}

// CentredMedian is TrailingMedian with the window about its place.
func CentredMedian(v []float64, n, least int) []float64 {
	return windowMedian(v, n, least, n/2)
}

// windowMedian: the window at i is [i-back, i-back+n).
func windowMedian(v []float64, n, least, back int) []float64 {
	out := make([]float64, len(v))
	win := make([]float64, 0, n+1)
	add := func(x float64) {
		if !math.IsNaN(x) {
			k, _ := slices.BinarySearch(win, x)
			win = slices.Insert(win, k, x)
		}
	}
	drop := func(x float64) {
		if !math.IsNaN(x) {
			k, _ := slices.BinarySearch(win, x)
			win = slices.Delete(win, k, k+1)
		}
	}
	hi := 0 // first place not yet added
	lo := 0 // first place not yet dropped
	for i := range v {
		for hi < len(v) && hi < i-back+n {
			add(v[hi])
			hi++
		}
		for lo < i-back {
			drop(v[lo])
			lo++
		}
		if k := len(win); k < least || k == 0 {
			out[i] = math.NaN()
		} else if k%2 == 1 {
			out[i] = win[k/2]
		} else {
			out[i] = (win[k/2-1] + win[k/2]) / 2
		}
	}
	return out
}
