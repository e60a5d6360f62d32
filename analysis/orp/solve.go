package orp

import (
	"errors"
	"math"
	"slices"
)

func normal(x [][]float64, y, w []float64, k float64, prior, sd []float64) ([][]float64, []float64) {
	p := len(x[0])
	a := make([][]float64, p)
	b := make([]float64, p)
	for j := range a {
		a[j] = make([]float64, p)
	}
	for i := range x {
		wi := w[i] * k
		if wi == 0 {
			continue
		}
		for j := 0; j < p; j++ {
			t := wi * x[i][j]
			for l := 0; l <= j; l++ {
				a[j][l] += t * x[i][l]
			}
			if y != nil {
				b[j] += t * y[i]
			}
		}
	}
	for j := 0; j < p; j++ {
		for l := 0; l < j; l++ {
			a[l][j] = a[j][l]
		}
		if sd != nil && sd[j] > 0 && !math.IsInf(sd[j], 1) {
			q := 1 / (sd[j] * sd[j])
			a[j][j] += q
			if prior != nil {
				b[j] += q * prior[j]
			}
		}
	}
	return a, b
}

func solveWeighted(x [][]float64, y, w []float64, k float64, prior, sd []float64) []float64 {
	a, b := normal(x, y, w, k, prior, sd)
	if !eliminate(a, [][]float64{b}) {
		return nil
	}
	return b
}

// eliminate solves a·z = b for each b in place (Gauss with row pivoting);
// false when a is singular to working precision.
func eliminate(a [][]float64, bs [][]float64) bool {
	p := len(a)
	big := 0.0
	for i := range a {
		big = math.Max(big, math.Abs(a[i][i]))
	}
	for i := 0; i < p; i++ {
		m := i
		for j := i + 1; j < p; j++ {
			if math.Abs(a[j][i]) > math.Abs(a[m][i]) {
				m = j
			}
		}
		if !(math.Abs(a[m][i]) > 1e-13*big) {
			return false
		}
		a[i], a[m] = a[m], a[i]
		for _, b := range bs {
			b[i], b[m] = b[m], b[i]
		}
		for j := i + 1; j < p; j++ {
			f := a[j][i] / a[i][i]
			if f == 0 {
				continue
			}
			for l := i; l < p; l++ {
				a[j][l] -= f * a[i][l]
			}
			for _, b := range bs {
				b[j] -= f * b[i]
			}
		}
	}
	for i := p - 1; i >= 0; i-- {
		for _, b := range bs {
			for l := i + 1; l < p; l++ {
				b[i] -= a[i][l] * b[l]
			}
			b[i] /= a[i][i]
		}
	}
	return true
}

func standardErrors(x [][]float64, w []float64, k float64, sd []float64, p int) []float64 {
	a, _ := normal(x, nil, w, k, nil, sd)
	out := make([]float64, p)
	unit := make([][]float64, p)
	for j := range unit {
		unit[j] = make([]float64, p)
		unit[j][j] = 1
	}
	if !eliminate(a, unit) {
		for j := range out {
			out[j] = math.NaN()
		}
		return out
	}
	for j := range out {
		out[j] = math.Sqrt(math.Max(0, unit[j][j]))
	}
	return out
}

// leastTrimmed gives the least trimmed squares fit over half of the readings:
// many small subsets, each improved by refitting to its better half (Rousseeuw
// and Van Driessen's concentration step), the best taken. The subsets come from
// a fixed sequence, so the same readings give the same fit.
func leastTrimmed(x [][]float64, y []float64) (coef []float64, scale float64, err error) {
	n, p := len(y), len(x[0])
	h := (n + p + 1) / 2
	type try struct {
		c   []float64
		sum float64
	}
	seed := uint64(0x9E3779B97F4A7C15)
	next := func(k int) int {
		seed ^= seed << 13
		seed ^= seed >> 7
		seed ^= seed << 17
		return int(seed % uint64(k))
	}
	r := make([]float64, n)
	sq := make([]float64, n)
	w := make([]float64, n)
	concentrate := func(c []float64) ([]float64, float64) {
		residuals(x, y, c, r)
		for i, v := range r {
			sq[i] = v * v
		}
		cut := slices.Clone(sq)
		slices.Sort(cut)
		limit := cut[h-1]
		sum := 0.0
		for i, v := range sq {
			w[i] = 0
			if v <= limit {
				w[i] = 1
			}
		}
		for i := 0; i < h; i++ {
			sum += cut[i]
		}
		return solveWeighted(x, y, w, 1, nil, nil), sum
	}
	var best []try
	for t := 0; t < 200; t++ {
		for i := range w {
			w[i] = 0
		}
		for got := 0; got < p; {
			i := next(n)
			if w[i] == 0 {
				w[i] = 1
				got++
			}
		}
		c := solveWeighted(x, y, w, 1, nil, nil)
		if c == nil {
			continue
		}
		c2, sum := concentrate(c)
		if c2 != nil {
			c3, s3 := concentrate(c2)
			if c3 != nil {
				c2, sum = c3, s3
			}
			best = append(best, try{c2, sum})
		}
	}
	if len(best) == 0 {
		return nil, math.NaN(), errors.New("the regressors do not differ enough to fit")
	}
	slices.SortStableFunc(best, func(a, b try) int {
		switch {
		case a.sum < b.sum:
			return -1
		case a.sum > b.sum:
			return 1
		}
		return 0
	})
	if len(best) > 5 {
		best = best[:5]
	}
	for k := range best {
		for it := 0; it < 50; it++ {
			c, sum := concentrate(best[k].c)
			if c == nil || sum >= best[k].sum*(1-1e-12) && it > 0 {
				break
			}
			best[k].c, best[k].sum = c, sum
		}
	}
	win := 0
	for k := range best {
		if best[k].sum < best[win].sum {
			win = k
		}
	}
	residuals(x, y, best[win].c, r)
	return best[win].c, medianAbs(r) / 0.6744897501960817, nil
}
