package stat

import "math"

// Definition is a definition of a sample percentile, numbered as by Hyndman and
// Fan, "Sample quantiles in statistical packages", Am. Statistician 50 (1996) 361.
type Definition int

// The definitions in use. Type6 is what spreadsheets call "exclusive", Type7
// "inclusive".
const (
	Type5 Definition = 5 // h = np + 1/2
	Type6 Definition = 6 // h = (n+1)p
	Type7 Definition = 7 // h = (n-1)p + 1
	Type8 Definition = 8 // h = (n+1/3)p + 1/3
)

// Quantile is the quantile p (0…1) of ascending values: x at place h, between
// neighbours in proportion, h held within 1 and n. NaN without values.
func Quantile(sorted []float64, p float64, d Definition) float64 {
	n := float64(len(sorted))
	if n == 0 || math.IsNaN(p) {
		return math.NaN()
	}
	var h float64
	switch d {
	case Type5:
		h = n*p + 0.5
	case Type6:
		h = (n + 1) * p
	case Type8:
		h = (n+1.0/3)*p + 1.0/3
	default:
		h = (n-1)*p + 1
	}
	h = math.Max(1, math.Min(n, h))
	lo := math.Floor(h)
	v := sorted[int(lo)-1]
	if h > lo {
		v += (h - lo) * (sorted[int(lo)] - v)
	}
	return v
}

// Supported says that n values reach as far as the quantile p: beyond 1/(n+1) and
// n/(n+1), Type6 can only answer with the extreme value.
func Supported(n int, p float64) bool {
	e := 1 / float64(n+1)
	return n > 0 && p >= e-1e-12 && p <= 1-e+1e-12
}

// Plotting positions p = (i - a)/(n + 1 - 2a), by their a.
const (
	Weibull    = 0.0
	Blom       = 0.375 // chosen for normal plots: Looney and Gulledge, Am. Statistician 39 (1985) 75
	Cunnane    = 0.4
	Gringorten = 0.44
	Hazen      = 0.5
)

// Position is the plotting position of value i (1…n) of n.
func Position(i, n int, a float64) float64 {
	return (float64(i) - a) / (float64(n) + 1 - 2*a)
}

// PPCC is the correlation of ascending values with the normal quantiles of their
// plotting positions: 1 where the values are normal. (Filliben, Technometrics 17
// (1975) 111, with his own positions; here with those of a.)
func PPCC(sorted []float64, a float64) float64 {
	n := len(sorted)
	if n < 3 {
		return math.NaN()
	}
	z := make([]float64, n)
	for i := range z {
		z[i] = Z(Position(i+1, n, a))
	}
	return Correlation(z, sorted)
}
