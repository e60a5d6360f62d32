package robust

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// worstCondition is how far the normal equations may be from regular: beyond it a
// solution has no digit left.
const worstCondition = 1e14

// normal gives the factorised normal equations of k·Σ w (y − x·c)² + Σ ((c − prior)/sd)²
// and their right side; ok is false where they are singular to working precision.
func normal(x [][]float64, y, w []float64, k float64, prior, sd []float64) (f mat.Cholesky, b *mat.VecDense, ok bool) {
	p := len(x[0])
	a := make([]float64, p*p)
	right := make([]float64, p)
	for i := range x {
		wi := w[i] * k
		if wi == 0 {
			continue
		}
		for j := range p {
			t := wi * x[i][j]
			for l := j; l < p; l++ {
				a[j*p+l] += t * x[i][l]
			}
			if y != nil {
				right[j] += t * y[i]
			}
		}
	}
	for j := range p {
		if sd != nil && sd[j] > 0 && !math.IsInf(sd[j], 1) {
			q := 1 / (sd[j] * sd[j])
			a[j*p+j] += q
			if prior != nil {
				right[j] += q * prior[j]
			}
		}
	}
	ok = f.Factorize(mat.NewSymDense(p, a)) && f.Cond() < worstCondition
	return f, mat.NewVecDense(p, right), ok
}

// solveWeighted gives the coefficients; nil where the regressors do not tell them.
func solveWeighted(x [][]float64, y, w []float64, k float64, prior, sd []float64) []float64 {
	f, b, ok := normal(x, y, w, k, prior, sd)
	if !ok {
		return nil
	}
	var z mat.VecDense
	if f.SolveVecTo(&z, b) != nil {
		return nil
	}
	return z.RawVector().Data
}

// standardErrors are the roots of the diagonal of the inverse; NaN where there is none.
func standardErrors(x [][]float64, w []float64, k float64, sd []float64, p int) []float64 {
	out := make([]float64, p)
	for j := range out {
		out[j] = math.NaN()
	}
	f, _, ok := normal(x, nil, w, k, nil, sd)
	var inverse mat.SymDense
	if !ok || f.InverseTo(&inverse) != nil {
		return out
	}
	for j := range out {
		out[j] = math.Sqrt(math.Max(0, inverse.At(j, j)))
	}
	return out
}
