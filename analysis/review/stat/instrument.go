package stat

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/stat/distuv"
)

// MeanTime is a mean time between failures with its interval.
type MeanTime struct {
	Hours    float64
	Failures int
	Mean     float64 // hours / failures; +Inf without failures
	Limits   Interval
}

// BetweenFailures is hours of operation over failures, for a constant rate:
// limits 2T/χ²(1-a/2, 2r+2) and 2T/χ²(a/2, 2r); without failures the one-sided
// lower limit T/(-ln a). (NIST/SEMATECH e-Handbook 8.4.5.1.)
func BetweenFailures(hours float64, failures int, confidence float64) MeanTime {
	out := MeanTime{Hours: hours, Failures: failures, Mean: math.Inf(1), Limits: Interval{math.NaN(), math.Inf(1)}}
	a := 1 - confidence
	if !(hours > 0) {
		out.Mean, out.Limits.High = math.NaN(), math.NaN()
		return out
	}
	if failures == 0 {
		out.Limits.Low = hours / -math.Log(a)
		return out
	}
	r := float64(failures)
	out.Mean = hours / r
	out.Limits = Interval{2 * hours / distuv.ChiSquared{K: 2*r + 2}.Quantile(1-a/2), 2 * hours / distuv.ChiSquared{K: 2 * r}.Quantile(a/2)}
	return out
}

// Seen is a time to failure known to lie in (After, By]; By is +Inf where none was
// seen before the end.
type Seen struct{ After, By float64 }

// Survival is Turnbull's estimate of the share still good after each time: (J. R.
// Stat. Soc. B 38 (1976) 290). Times are the ends of the intervals that hold mass.
type Survival struct {
	Time []float64
	Good []float64
}

// Turnbull estimates survival from interval-censored times.
func Turnbull(seen []Seen) Survival {
	if len(seen) == 0 {
		return Survival{}
	}
	type edge struct {
		at   float64
		open bool // a left end: mass lies after it
	}
	var es []edge
	for _, s := range seen {
		es = append(es, edge{s.After, true}, edge{s.By, false})
	}
	sort.Slice(es, func(i, j int) bool {
		if es[i].at != es[j].at {
			return es[i].at < es[j].at
		}
		return !es[i].open && es[j].open
	})
	// The mass lies where a left end is followed at once by a right end.
	var lo, hi []float64
	for i := 0; i+1 < len(es); i++ {
		if es[i].open && !es[i+1].open {
			lo, hi = append(lo, es[i].at), append(hi, es[i+1].at)
		}
	}
	m := len(lo)
	p := make([]float64, m)
	for i := range p {
		p[i] = 1 / float64(m)
	}
	for it := 0; it < 5000; it++ {
		next := make([]float64, m)
		for _, s := range seen {
			sum := 0.0
			for j := range p {
				if lo[j] >= s.After && hi[j] <= s.By {
					sum += p[j]
				}
			}
			for j := range p {
				if lo[j] >= s.After && hi[j] <= s.By && sum > 0 {
					next[j] += p[j] / sum / float64(len(seen))
				}
			}
		}
		worst := 0.0
		for j := range p {
			worst = math.Max(worst, math.Abs(next[j]-p[j]))
		}
		p = next
		if worst < 1e-10 {
			break
		}
	}
	out := Survival{}
	good := 1.0
	for j := range p {
		good -= p[j]
		if p[j] > 1e-9 {
			out.Time = append(out.Time, hi[j])
			out.Good = append(out.Good, math.Max(0, good))
		}
	}
	return out
}

// Life is a Weibull life fitted to interval-censored times by maximum likelihood.
type Life struct {
	Shape, Scale, LogLikelihood float64
}

// Quantile is the time by which the share p has failed.
func (l Life) Quantile(p float64) float64 {
	return l.Scale * math.Pow(-math.Log1p(-p), 1/l.Shape)
}

// FitLife fits a Weibull life; ok is false for fewer than three failures.
func FitLife(seen []Seen) (Life, bool) {
	failed, typical := 0, 0.0
	for _, s := range seen {
		if !math.IsInf(s.By, 1) {
			failed++
			typical += (s.After + s.By) / 2
		}
	}
	if failed < 3 {
		return Life{}, false
	}
	typical /= float64(failed)
	f := func(x []float64) float64 { return -lifeLogLikelihood(seen, math.Exp(x[0]), math.Exp(x[1])) }
	res, err := optimize.Minimize(optimize.Problem{Func: f}, []float64{0.3, math.Log(typical)},
		&optimize.Settings{Converger: &optimize.FunctionConverge{Absolute: 1e-13, Iterations: 200}, MajorIterations: 5000}, &optimize.NelderMead{})
	if res == nil || err != nil && math.IsNaN(res.F) {
		return Life{}, false
	}
	return Life{math.Exp(res.X[0]), math.Exp(res.X[1]), -res.F}, true
}

func lifeLogLikelihood(seen []Seen, shape, scale float64) float64 {
	good := func(t float64) float64 {
		if math.IsInf(t, 1) {
			return 0
		}
		return math.Exp(-math.Pow(t/scale, shape))
	}
	sum := 0.0
	for _, s := range seen {
		sum += math.Log(math.Max(1e-300, good(s.After)-good(s.By)))
	}
	return sum
}

// Agreement is how one way of measuring compares with another, by the difference
// plot of Bland and Altman, Lancet 1 (1986) 307 (from memory): bias and the limits
// bias ± 1.96 SD within which 95 of 100 differences lie if they are normal.
type Agreement struct {
	N              int
	Bias, SD       float64
	Limits         Interval
	BiasInt        Interval // 95 % of the bias, n taken as independent
	Slope, SlopeSE float64  // of the difference on the mean of both
}

// Agree compares two ways of measuring the same.
func Agree(a, b []float64) Agreement {
	n := len(a)
	nan := math.NaN()
	out := Agreement{N: n, Bias: nan, SD: nan, Limits: Interval{nan, nan}, BiasInt: Interval{nan, nan}, Slope: nan, SlopeSE: nan}
	if n < 3 || n != len(b) {
		return out
	}
	d, m := make([]float64, n), make([]float64, n)
	for i := range a {
		d[i], m[i] = a[i]-b[i], (a[i]+b[i])/2
	}
	out.Bias, out.SD = Mean(d), SD(d)
	out.Limits = Interval{out.Bias - 1.96*out.SD, out.Bias + 1.96*out.SD}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(n - 1)}.Quantile(0.975) * out.SD / math.Sqrt(float64(n))
	out.BiasInt = Interval{out.Bias - t, out.Bias + t}
	l := Fit(m, d)
	out.Slope, out.SlopeSE = l.Slope, l.SlopeSE
	return out
}
