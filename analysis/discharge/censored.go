package discharge

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/stat/distuv"
)

// Lognormal is a lognormal distribution fitted to results of which some are
// only known to lie below a number.
type Lognormal struct {
	Mu, Sigma float64 // of the natural logarithm
}

// Mean is exp(mu + sigma²/2).
func (l Lognormal) Mean() float64 { return math.Exp(l.Mu + l.Sigma*l.Sigma/2) }

// GeometricMean is exp(mu).
func (l Lognormal) GeometricMean() float64 { return math.Exp(l.Mu) }

// Quantile is exp(mu + z sigma), 0 < p < 1.
func (l Lognormal) Quantile(p float64) float64 {
	return math.Exp(l.Mu + distuv.UnitNormal.Quantile(p)*l.Sigma)
}

// FitLognormal gives the maximum-likelihood lognormal for results censored on
// the left. A ">" counts at its number. It needs minDetected detected values
// and two of different size, all above zero.
//
// Source: Helsel, Environmental Science & Technology 39 (2005), "More than
// obvious"; parametrised as by Olsen (Econometrica 46, 1978; from memory): with
// h = 1/sigma and t = mu/sigma the likelihood has one peak.
func FitLognormal(vs []Value, minDetected int) (Lognormal, error) {
	var det, lim []float64
	for _, v := range vs {
		if !(v.V > 0) {
			return Lognormal{}, fmt.Errorf("a result of %s has no logarithm", shortest(v.V))
		}
		if v.Sign == Less {
			lim = append(lim, math.Log(v.V))
		} else {
			det = append(det, math.Log(v.V))
		}
	}
	if len(det) < minDetected {
		return Lognormal{}, fmt.Errorf("maximum likelihood needs %d detected values; there are %d", minDetected, len(det))
	}
	if floats.Max(det) == floats.Min(det) {
		return Lognormal{}, fmt.Errorf("maximum likelihood needs detected values of different size; all %d are equal", len(det))
	}
	m := floats.Sum(det) / float64(len(det))
	var ss float64
	for _, x := range det {
		ss += (x - m) * (x - m)
	}
	s := math.Sqrt(ss / float64(len(det)))
	// Work in units of s around m, so that one tolerance fits all.
	for i := range det {
		det[i] = (det[i] - m) / s
	}
	for i := range lim {
		lim[i] = (lim[i] - m) / s
	}
	prob := optimize.Problem{
		Func: func(x []float64) float64 { f, _, _ := olsen(det, lim, x); return f },
		Grad: func(grad, x []float64) { _, grad[0], grad[1] = olsen(det, lim, x) },
	}
	res, err := optimize.Minimize(prob, []float64{0, 0}, &optimize.Settings{GradientThreshold: 1e-9, Converger: optimize.NeverTerminate{}, MajorIterations: 500}, &optimize.BFGS{})
	if res == nil || !finite(res.X[0]) || !finite(res.X[1]) {
		return Lognormal{}, fmt.Errorf("maximum likelihood found no answer: %v", err)
	}
	if _, g0, g1 := olsen(det, lim, res.X); math.Hypot(g0, g1) > 1e-5 {
		return Lognormal{}, fmt.Errorf("maximum likelihood did not settle (slope %.2g after %d steps)", math.Hypot(g0, g1), res.MajorIterations)
	}
	h := math.Exp(res.X[1])
	return Lognormal{Mu: m + s*res.X[0]/h, Sigma: s / h}, nil
}

// olsen is the negative log-likelihood and its slope at t and log h.
func olsen(det, lim, x []float64) (f, gt, gh float64) {
	t, h := x[0], math.Exp(x[1])
	for _, y := range det {
		r := h*y - t
		f += r*r/2 - x[1]
		gt -= r
		gh += r*h*y - 1
	}
	for _, y := range lim {
		z := h*y - t
		l, mills := logPhi(z)
		f -= l
		gt += mills
		gh -= mills * h * y
	}
	return f, gt, gh
}

// logPhi gives log Φ(z) and φ(z)/Φ(z).
func logPhi(z float64) (l, ratio float64) {
	if z < -30 { // Φ(z) ≈ φ(z)/(-z)·(1 - 1/z²)
		c := 1 - 1/(z*z)
		return -z*z/2 - math.Log(-z*math.Sqrt(2*math.Pi)) + math.Log(c), -z / c
	}
	p := math.Erfc(-z/math.Sqrt2) / 2
	return math.Log(p), math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / p
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// Step is one step of a Kaplan–Meier distribution: the share P of results
// that lie at X.
type Step struct{ X, P float64 }

// KaplanMeier gives the distribution of results censored on the left, largest
// first. What stays below the smallest detected value is put at the smallest
// number of all, so that the mean leans high when that is a limit. A ">"
// counts at its number.
//
// Source: Helsel 2005, as for right-censored data after turning the values
// around; a limit equal to a detected value lies below it.
func KaplanMeier(vs []Value) ([]Step, error) {
	det := 0
	for _, v := range vs {
		if v.Sign != Less {
			det++
		}
	}
	if det == 0 {
		return nil, fmt.Errorf("the Kaplan–Meier estimate needs a detected value; there is none")
	}
	s := append([]Value(nil), vs...)
	sort.SliceStable(s, func(i, j int) bool {
		if s[i].V != s[j].V {
			return s[i].V > s[j].V
		}
		return s[i].Sign != Less && s[j].Sign == Less
	})
	var out []Step
	below := 1.0 // share of results below what has been seen
	for i := 0; i < len(s); {
		if s[i].Sign == Less {
			i++
			continue
		}
		j := i
		for j < len(s) && s[j].V == s[i].V && s[j].Sign != Less {
			j++
		}
		atRisk := len(s) - i
		next := below * (1 - float64(j-i)/float64(atRisk))
		out = append(out, Step{s[i].V, below - next})
		below, i = next, j
	}
	if below > 1e-12 {
		out = append(out, Step{s[len(s)-1].V, below})
	}
	return out, nil
}

func stepsMean(st []Step, f, back func(float64) float64) float64 {
	var sum float64
	for _, s := range st {
		sum += s.P * f(s.X)
	}
	return back(sum)
}

// stepsQuantile is the smallest value with at least the share p at or below it.
func stepsQuantile(st []Step, p float64) float64 {
	sum := 0.0
	for i := len(st) - 1; i >= 0; i-- {
		sum += st[i].P
		if sum+1e-12 >= p {
			return st[i].X
		}
	}
	return st[0].X
}
