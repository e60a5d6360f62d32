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
	var sum shared
	for !wa.done && !wb.done && wa.cur.t0 < win.End && wb.cur.t0 < win.End {
		p, q := &wa.cur, &wb.cur
		t0, t1 := max(p.t0, q.t0, win.Start), min(p.t1, q.t1, win.End)
		if p.t0 == t0 && q.t0 == t0 {
			if n := sum.pairs(wa, wb, win.End); n > 0 {
				wa.goOn(wa.from + n)
				wb.goOn(wb.from + n)
				continue
			}
		}
		if p.t0 == t0 && q.v0 == q.v1 {
			if n := sum.firstBeside(wa, q.v0, min(q.t1, win.End)); n > 0 {
				wa.goOn(wa.from + n)
				continue
			}
		}
		if q.t0 == t0 && p.v0 == p.v1 {
			if n := sum.secondBeside(p.v0, wb, min(p.t1, win.End)); n > 0 {
				wb.goOn(wb.from + n)
				continue
			}
		}
		if t1 > t0 {
			sum.add(p.at(t0), p.at(t1), q.at(t0), q.at(t1), t1-t0)
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
	return sum.joint(float64(win.End - win.Start))
}

// shared is what the spans in which both tags are known add up to.
type shared struct {
	area, a, b float64 // product, first and second tag, each x ms
	covered    int64   // ms
}

// add adds a span of d milliseconds over which one tag goes straight from a0 to
// a1 and the other from b0 to b1.
func (s *shared) add(a0, a1, b0, b1 float64, d int64) {
	ms := float64(d)
	s.area += product(a0, a1, b0, b1, ms)
	s.a += float64(ms * (a0 + a1) / 2)
	s.b += float64(ms * (b0 + b1) / 2)
	s.covered += d
}

// product is the integral of two lines multiplied. Each of its products is
// rounded as it stands, as in trapezoid.
func product(a0, a1, b0, b1, d float64) float64 {
	return float64(d * ((float64(a0*b0)+float64(a1*b1))/3 + (float64(a0*b1)+float64(a1*b0))/6))
}

func (s *shared) joint(length float64) Joint {
	if s.covered == 0 || length <= 0 {
		return Joint{Mean: math.NaN(), A: math.NaN(), B: math.NaN()}
	}
	c := float64(s.covered)
	return Joint{Mean: s.area / c, A: s.a / c, B: s.b / c, Cover: c / length}
}
