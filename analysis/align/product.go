package align

import (
	"math"

	"weirbook/analysis/series"
)

// Joint describes two tags together over one window, such as a flow and a
// concentration. All means are over the time in which both are known.
type Joint struct {
	Mean  float64 // time mean of the product a·b; NaN when nothing is covered
	A, B  float64 // time means of a and of b over the same time
	Cover float64 // share of the window in which both are known, 0…1
}

// At gives the mean of the product where the coverage is enough, else NaN.
func (j Joint) At(minCover float64) float64 {
	if j.Cover+1e-9 < minCover {
		return math.NaN()
	}
	return j.Mean
}

// Weighted is the mean of b weighted by a: for flow and concentration the
// flow-weighted mean. NaN where a is zero throughout.
func (j Joint) Weighted() float64 {
	if j.A == 0 {
		return math.NaN()
	}
	return j.Mean / j.A
}

// Product integrates the product of two signals exactly over each window. It is
// the mean of the product, which is what a load needs; the product of the means
// is another number whenever both move together.
//
// Source: load = K ∫ Q(t) C(t) dt (Cohn, Reviews of Geophysics supplement,
// 1995). On a span where both are straight lines the integral is exact:
// d·((a0 b0 + a1 b1)/3 + (a0 b1 + a1 b0)/6).
func Product(a, b *series.Series, ra, rb Rule, ws []Window) []Joint {
	out := make([]Joint, len(ws))
	startA, startB := walk(a, ra), walk(b, rb)
	wa, wb, last := startA, startB, int64(math.MinInt64)
	for k, win := range ws {
		if win.Start < last { // not in order, or overlapping the one before
			wa, wb = startA, startB
		}
		wa.seek(win.Start)
		wb.seek(win.Start)
		last = max(win.Start, win.End)
		out[k] = productOne(&wa, &wb, win)
	}
	return out
}

func productOne(wa, wb *walker, win Window) Joint {
	var area, areaA, areaB float64
	var covered int64
	for !wa.done && !wb.done && wa.cur.t0 < win.End && wb.cur.t0 < win.End {
		p, q := &wa.cur, &wb.cur
		t0 := max(p.t0, q.t0, win.Start)
		t1 := min(p.t1, q.t1, win.End)
		if t1 > t0 {
			a0, a1, b0, b1 := p.at(t0), p.at(t1), q.at(t0), q.at(t1)
			d := float64(t1 - t0)
			area += d * ((a0*b0+a1*b1)/3 + (a0*b1+a1*b0)/6)
			areaA += d * (a0 + a1) / 2
			areaB += d * (b0 + b1) / 2
			covered += t1 - t0
		}
		// The piece that ends first is done with; one that reaches beyond the
		// window is kept for the next window.
		if p.t1 > win.End && q.t1 > win.End {
			break
		}
		if p.t1 <= q.t1 {
			wa.next()
		} else {
			wb.next()
		}
	}
	length := float64(win.End - win.Start)
	if covered == 0 || length <= 0 {
		return Joint{Mean: math.NaN(), A: math.NaN(), B: math.NaN()}
	}
	c := float64(covered)
	return Joint{Mean: area / c, A: areaA / c, B: areaB / c, Cover: c / length}
}
