package align

import (
	"math"

	"weirbook/analysis/series"
)

// MinuteCover is the share of a minute that must be covered for the minute to
// have a mean in a minute column.
const MinuteCover = 0.5

// Minutes gives the time-weighted mean of each minute of g, NaN where less than
// MinuteCover of the minute is covered, and everywhere for grabs, composites
// and counters.
func Minutes(s *series.Series, r Rule, g Grid) []float64 {
	out := make([]float64, g.N)
	w := walk(s, r)
	t1 := g.Start * 1000
	w.seek(t1)
	for i := 0; i < len(out); i++ {
		t0 := t1
		t1 += minute
		if !w.done && w.cur.t0 == t0 && w.cur.t1 == t1 {
			if n := onTheMinute(&w, out[i:], t0); n > 0 {
				i += n - 1
				t1 += int64(n-1) * minute
				continue
			}
		}
		var area float64
		var covered int64
		for !w.done && w.cur.t0 < t1 {
			p := &w.cur
			if p.t0 >= t0 && p.t1 < t1 { // one of several in this minute
				sum := total{area: area, covered: covered}
				if to := sum.run(&w, t1); to > w.from {
					area, covered = sum.area, sum.covered
					w.goOn(to)
					continue
				}
			}
			if a, b := max(p.t0, t0), min(p.t1, t1); b > a {
				area += trapezoid(p.at(a), p.at(b), b-a)
				covered += b - a
			}
			if p.t1 > t1 {
				break
			}
			w.next()
		}
		if float64(covered) >= MinuteCover*minute {
			out[i] = area / float64(covered)
		} else {
			out[i] = math.NaN()
		}
	}
	return out
}

const minute = 60_000 // ms

// onTheMinute fills out from the minute t0 on, where the piece of w is just that
// minute, as long as usable readings stand on every whole minute. It gives how
// many minutes it filled.
func onTheMinute(w *walker, out []float64, t0 int64) int {
	t, v, f := w.s.T[w.from:], w.s.V[w.from:], w.s.F[w.from:]
	t = t[:min(len(t), len(out)+1)]
	v, f, out = v[:len(t)], f[:len(t)], out[:len(t)-1]
	v0 := v[0]
	n := 0
	for n < len(out) {
		t0 += minute
		v1 := v[n+1]
		if t[n+1] != t0 || f[n+1]&w.mask != 0 || v1-v1 != 0 {
			break
		}
		e1 := v1
		if w.hold {
			e1 = v0
		}
		out[n] = (0 + trapezoid(v0, e1, minute)) / minute // 0 + takes the sign off a zero
		v0 = v1
		n++
	}
	if n > 0 {
		w.goOn(w.from + n)
	}
	return n
}

// Fold gives the statistics of a minute column over each window. A minute that
// is NaN is not covered; a minute that straddles an edge counts by the part
// inside. Min and Max are those of the minute means; N is the covered minutes.
// A column shorter than the grid counts as not covered beyond its end.
func Fold(col []float64, g Grid, ws []Window) []Stat {
	out := make([]Stat, len(ws))
	for k, win := range ws {
		st := Stat{Mean: math.NaN(), Min: math.NaN(), Max: math.NaN()}
		lo := max(g.Index(win.Start), 0)
		hi := min(g.Index(win.End-1)+1, g.N, len(col))
		var sum, covered float64
		first := true
		for i := lo; i < hi; i++ {
			v := col[i]
			if v != v {
				continue
			}
			m := g.Milli(i)
			d := float64(min(m+minute, win.End) - max(m, win.Start))
			sum += v * d
			covered += d
			if first {
				st.Min, st.Max, first = v, v, false
			}
			st.Min, st.Max = min(st.Min, v), max(st.Max, v)
			st.N++
		}
		if covered > 0 {
			st.Mean = min(max(sum/covered, st.Min), st.Max)
			st.Cover = covered / float64(win.End-win.Start)
		}
		out[k] = st
	}
	return out
}
