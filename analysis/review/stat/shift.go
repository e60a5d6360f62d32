package stat

import (
	"math"
	"sort"

	gonum "gonum.org/v1/gonum/stat"
)

// Shift is how much one set of values lies above another. (Hollander and Wolfe,
// "Nonparametric Statistical Methods"; Helsel et al., USGS TM4-A3, chapter 5.)
type Shift struct {
	N1, N2 int
	U      float64 // Mann-Whitney: pairs in which the second is above the first's, ties half
	P      float64 // two-sided: exact for small sets without ties, else normal with ties and continuity
	By     float64 // Hodges-Lehmann: median of all differences, second less first
	Limits Interval
	Exact  bool
}

// exactPairs is the largest n1·n2 for which the exact distribution of U is used.
const exactPairs = 2500

// HodgesLehmann compares after with before, limits at the given confidence.
// inflate (1: none) widens the limits and the test by the square root of values
// per independent value.
func HodgesLehmann(before, after []float64, confidence, inflate float64) Shift {
	n1, n2 := len(before), len(after)
	out := Shift{N1: n1, N2: n2, U: math.NaN(), P: math.NaN(), By: math.NaN(), Limits: Interval{math.NaN(), math.NaN()}}
	if n1 < 3 || n2 < 3 {
		return out
	}
	d := make([]float64, 0, n1*n2)
	out.U = 0
	for _, a := range after {
		for _, b := range before {
			d = append(d, a-b)
			out.U += (1 + sign(a-b)) / 2
		}
	}
	sort.Float64s(d)
	out.By = Quantile(d, 0.5, Type7)
	m := float64(n1 * n2)
	mean, sd := m/2, RankSD(before, after)
	tied := len(ties(append(append([]float64(nil), before...), after...))) < n1+n2
	alpha := 1 - confidence
	if !tied && n1*n2 <= exactPairs && inflate <= 1 {
		out.Exact = true
		p := uDistribution(n1, n2)
		below := 0.0
		low := math.Min(out.U, m-out.U)
		for u := 0; u <= int(low); u++ {
			below += p[u]
		}
		out.P = math.Min(1, 2*below)
		// The limits are the differences at rank k and m+1-k: k the least count
		// that the distribution of U passes at alpha/2.
		k, sum := 0, 0.0
		for ; k < len(p); k++ {
			sum += p[k]
			if sum > alpha/2 {
				break
			}
		}
		if k >= 1 {
			out.Limits = Interval{d[k-1], d[len(d)-k]}
		}
		return out
	}
	if !(sd > 0) {
		return out
	}
	out.P = TwoSided((out.U - mean - 0.5*sign(out.U-mean)) / (sd * inflate))
	k := mean + 1 - Z(1-alpha/2)*sd*inflate
	out.Limits = Interval{atRank(d, math.Floor(k)), atRank(d, m+1-math.Floor(k))}
	return out
}

// RankSD is the standard deviation of U under no difference, ties corrected.
func RankSD(a, b []float64) float64 {
	n1, n2 := float64(len(a)), float64(len(b))
	n := n1 + n2
	t3 := 0.0
	for _, t := range ties(append(append([]float64(nil), a...), b...)) {
		t3 += t*t*t - t
	}
	return math.Sqrt(n1 * n2 / 12 * (n + 1 - t3/(n*(n-1))))
}

// uDistribution is the probability of each U (0…n1·n2) where nothing differs.
func uDistribution(n1, n2 int) []float64 {
	// Counts of subsets of ranks by their sum: a polynomial product, as shares.
	p := make([]float64, n1*n2+1)
	p[0] = 1
	for i := 1; i <= n2; i++ {
		// times (1 - q^(n1+i)) / (1 - q^i), of which the quotient is a polynomial
		for u := len(p) - 1; u >= n1+i; u-- {
			p[u] -= p[u-n1-i]
		}
		for u := i; u < len(p); u++ {
			p[u] += p[u-i]
		}
	}
	total := 0.0
	for _, v := range p {
		total += v
	}
	for i := range p {
		p[i] /= total
	}
	return p
}

// Lag1 is the correlation of values in time with those one step before.
func Lag1(v []float64) float64 { return lagged(v, 1) }

func lagged(v []float64, k int) float64 {
	if len(v) < k+3 {
		return math.NaN()
	}
	m := Mean(v)
	num, den := 0.0, 0.0
	for i := range v {
		den += (v[i] - m) * (v[i] - m)
		if i >= k {
			num += (v[i] - m) * (v[i-k] - m)
		}
	}
	if den == 0 {
		return math.NaN()
	}
	return num / den
}

// EffectiveN is how many independent values n serially dependent ones are worth:
// n(1-r)/(1+r), never more than n. (Bayley and Hammersley's result for lag one;
// from memory.)
func EffectiveN(n int, r float64) float64 {
	if math.IsNaN(r) || r <= 0 {
		return float64(n)
	}
	return math.Max(1, float64(n)*(1-r)/(1+r))
}

// BlockSE is the standard error of a mean of dependent values: the variance of
// means of overlapping blocks of l, by which the moving-block bootstrap (Künsch
// 1989) is known exactly.
func BlockSE(v []float64, l int) float64 {
	n := len(v)
	if l < 1 || n < 2*l {
		return math.NaN()
	}
	means := make([]float64, 0, n-l+1)
	for i := 0; i+l <= n; i++ {
		means = append(means, Mean(v[i:i+l]))
	}
	return math.Sqrt(gonum.PopVariance(means, nil) * float64(l) / float64(n))
}

// Correlation is the product-moment correlation.
func Correlation(x, y []float64) float64 { return gonum.Correlation(x, y, nil) }

// Line is a least-squares line with the uncertainty of its slope.
type Line struct {
	N                int
	Intercept, Slope float64
	SlopeSE, R2, SD  float64 // SD of what is left, n - 2
}

// Fit fits y on x; NaN for fewer than three pairs.
func Fit(x, y []float64) Line {
	n := len(x)
	out := Line{N: n, Intercept: math.NaN(), Slope: math.NaN(), SlopeSE: math.NaN(), R2: math.NaN(), SD: math.NaN()}
	if n < 3 || n != len(y) {
		return out
	}
	v := gonum.Variance(x, nil)
	if !(v > 0) {
		return out
	}
	out.Intercept, out.Slope = gonum.LinearRegression(x, y, nil, false)
	ss := 0.0
	for i := range x {
		e := y[i] - out.Intercept - out.Slope*x[i]
		ss += e * e
	}
	out.SD = math.Sqrt(ss / float64(n-2))
	out.SlopeSE = out.SD / math.Sqrt(v*float64(n-1))
	out.R2 = 1 - ss/(gonum.Variance(y, nil)*float64(n-1))
	return out
}

// SenSlope is the median of the slopes of all pairs.
func SenSlope(x, y []float64) float64 {
	s := pairSlopes(nil, x, y)
	sort.Float64s(s)
	return Quantile(s, 0.5, Type7)
}
