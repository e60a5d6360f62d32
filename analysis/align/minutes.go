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
	start := g.Start * 1000
	w.seek(start)
	const minute = 60_000
	t0 := start
	for i := range out {
		t1 := t0 + minute
		var area float64
		var covered int64
		for !w.done && w.cur.t0 < t1 {
			p := &w.cur
			a, b := max(p.t0, t0), min(p.t1, t1)
			if b > a {
				area += (p.at(a) + p.at(b)) / 2 * float64(b-a)
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
		t0 = t1
	}
	return out
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
			d := float64(min(m+60_000, win.End) - max(m, win.Start))
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
