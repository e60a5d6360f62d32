package robust

import (
	"errors"
	"math"
	"slices"
)

// Loss names how much a far reading may pull at a fit.
type Loss int

// Losses.
const (
	Huber    Loss = iota // pull grows to HuberK standard deviations and stays
	Bisquare             // pull returns to nothing at BisquareC standard deviations
)

// Weight gives psi(u)/u of the loss.
func (l Loss) Weight(u float64) float64 {
	a := math.Abs(u)
	if l == Huber {
		if a <= HuberK {
			return 1
		}
		return HuberK / a
	}
	if a >= BisquareC {
		return 0
	}
	q := u / BisquareC
	return (1 - q*q) * (1 - q*q)
}

// Options say how Regress works.
type Options struct {
	Loss Loss
	// Prior pulls coefficient j to Prior[j] as one reading of standard deviation
	// PriorSD[j] would; an infinite deviation does not pull. See Regress.
	Prior, PriorSD []float64
	// Effective is the share of independent readings, 0…1; 0 means 1. It
	// lets correlated readings count for fewer against the prior.
	Effective float64
	MaxIter   int
	Tol       float64
}

// Regression is a fitted line y = X·Coef.
type Regression struct {
	Coef  []float64
	SD    []float64 // standard errors, honest about Effective
	Scale float64   // robust residual standard deviation
	Iter  int
}

var errTooFew = errors.New("too few readings to fit")

// Regress fits y = X·c by iteratively reweighted least squares. Rows of X hold
// the regressors (a column of ones for a constant).
//
// With a prior, the minimised sum is Effective/scale²·Σ w r² + Σ ((c−prior)/sd)².
//
// Source of the iteration: Huber, Robust Statistics (1981), section 7.8, with
// the scale median|r|/0.6745.
func Regress(x [][]float64, y []float64, o Options) (Regression, error) {
	n := len(y)
	if n == 0 || len(x) != n {
		return Regression{}, errTooFew
	}
	p := len(x[0])
	if o.MaxIter == 0 {
		o.MaxIter = 100
	}
	if o.Tol == 0 {
		o.Tol = 1e-9
	}
	eff := o.Effective
	if eff <= 0 || eff > 1 {
		eff = 1
	}
	if n < p+1 && o.PriorSD == nil {
		return Regression{}, errTooFew
	}
	w := make([]float64, n)
	for i := range w {
		w[i] = 1
	}
	r := make([]float64, n)
	scale := math.NaN()
	c := solveWeighted(x, y, w, 1, nil, nil)
	if c == nil {
		if o.PriorSD == nil {
			return Regression{}, errors.New("the regressors do not differ enough to fit")
		}
		c = slices.Clone(o.Prior)
	}
	residuals(x, y, c, r)
	iter := 0
	for ; iter < o.MaxIter; iter++ {
		scale = medianAbs(r) / 0.6744897501960817
		if !(scale > 1e-12) {
			scale = 1e-12
		}
		for i := range w {
			w[i] = o.Loss.Weight(r[i] / scale)
		}
		c2 := solveWeighted(x, y, w, eff/(scale*scale), o.Prior, o.PriorSD)
		if c2 == nil {
			break
		}
		d := 0.0
		for j := range c {
			d = math.Max(d, math.Abs(c2[j]-c[j])/(1e-9+math.Abs(c[j])))
		}
		c = c2
		residuals(x, y, c, r)
		if d < o.Tol {
			break
		}
	}
	reg := Regression{Coef: c, Scale: scale, Iter: iter}
	reg.SD = standardErrors(x, w, eff/(scale*scale), o.PriorSD, p)
	return reg, nil
}

func residuals(x [][]float64, y, c, r []float64) {
	for i := range y {
		s := y[i]
		for j, b := range c {
			s -= b * x[i][j]
		}
		r[i] = s
	}
}

func medianAbs(r []float64) float64 {
	w := make([]float64, len(r))
	for i, v := range r {
		w[i] = math.Abs(v)
	}
	return Median(w)
}
