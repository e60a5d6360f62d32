package stat

import (
	"math"
	"sort"
)

// Censored is a result that may only be known to lie below its value.
type Censored struct {
	Value float64
	Below bool // less than Value
}

// CensoredPositions gives plotting positions for results with several detection
// limits, in the order of the input: detected ones spread between the shares that
// lie below each limit, others below their limit's. (Hirsch and Stedinger, Water
// Resour. Res. 23 (1987) 715, as told by Helsel and Cohn 1988.) a as in Position.
func CensoredPositions(v []Censored, a float64) []float64 {
	limits := map[float64]bool{}
	for _, x := range v {
		if x.Below {
			limits[x.Value] = true
		}
	}
	var ls []float64
	for l := range limits {
		ls = append(ls, l)
	}
	sort.Float64s(ls)
	// pe[j]: share at or above limit j; group of detects between limits j and j+1.
	// pe[0] is all.
	m := len(ls)
	edges := append([]float64{math.Inf(-1)}, ls...)
	pe := make([]float64, m+2)
	group := func(x float64) int { // detected: the highest limit at or below it
		return sort.Search(m, func(i int) bool { return ls[i] > x })
	}
	inGroup := make([][]int, m+1)
	cens := make([][]int, m+1)
	for i, x := range v {
		if x.Below {
			j := sort.SearchFloat64s(ls, x.Value) + 1
			cens[j] = append(cens[j], i)
		} else {
			g := group(x.Value)
			inGroup[g] = append(inGroup[g], i)
		}
	}
	for j := m; j >= 1; j-- {
		det := float64(len(inGroup[j]))
		below := 0.0
		for _, x := range v {
			if x.Below && x.Value <= edges[j] || !x.Below && x.Value < edges[j] {
				below++
			}
		}
		pe[j] = pe[j+1]
		if det+below > 0 {
			pe[j] += det / (det + below) * (1 - pe[j+1])
		}
	}
	pe[0] = 1
	out := make([]float64, len(v))
	for j := 0; j <= m; j++ {
		by := func(ids []int) {
			sort.SliceStable(ids, func(p, q int) bool { return v[ids[p]].Value < v[ids[q]].Value })
		}
		by(inGroup[j])
		for r, i := range inGroup[j] {
			out[i] = 1 - pe[j] + (pe[j]-pe[j+1])*Position(r+1, len(inGroup[j]), a)
		}
		for r, i := range cens[j] {
			out[i] = (1 - pe[j]) * Position(r+1, len(cens[j]), a)
		}
	}
	return out
}

// OrderStatistics is a regression of the logarithms of detected results on the
// normal quantiles of their positions, and all results with those below detection
// filled in from it ("robust" regression on order statistics; Helsel 2005). It
// needs three detected results and no more than 80 % below detection.
type OrderStatistics struct {
	MeanLog, SDLog float64   // intercept and slope
	Filled         []float64 // detected results as they are, others from the line
}

// FitOrderStatistics fits; ok is false where the results cannot bear it.
func FitOrderStatistics(v []Censored, a float64) (OrderStatistics, bool) {
	pos := CensoredPositions(v, a)
	var x, y []float64
	for i, c := range v {
		if !(c.Value > 0) {
			return OrderStatistics{}, false
		}
		if !c.Below {
			x, y = append(x, Z(pos[i])), append(y, math.Log(c.Value))
		}
	}
	if len(x) < 3 || float64(len(v)-len(x)) > 0.8*float64(len(v)) {
		return OrderStatistics{}, false
	}
	l := Fit(x, y)
	if math.IsNaN(l.Slope) {
		return OrderStatistics{}, false
	}
	out := OrderStatistics{MeanLog: l.Intercept, SDLog: l.Slope, Filled: make([]float64, len(v))}
	for i, c := range v {
		out.Filled[i] = c.Value
		if c.Below {
			out.Filled[i] = math.Exp(l.Intercept + l.Slope*Z(pos[i]))
		}
	}
	return out, true
}

// StepsQuantile is the smallest x at which a distribution of results reaches p.
// steps are (x, share at x) with x descending, as Kaplan and Meier's method gives them.
func StepsQuantile(x, share []float64, p float64) float64 {
	at := 1.0
	for i := range x {
		if at-share[i] < p-1e-12 {
			return x[i]
		}
		at -= share[i]
	}
	if len(x) == 0 {
		return math.NaN()
	}
	return x[len(x)-1]
}
