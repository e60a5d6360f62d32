package align_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/series"
)

// What follows says once more, slowly and for the whole series at a time, what
// Over, Product and Minutes say quickly. The sums are written in the same order
// and every product is rounded before it is added, so that the answers must
// agree to the last bit, the sign of a zero included.

// part is a span over which a signal is known.
type part struct {
	t0, t1             int64
	v0, v1             float64
	uncertain, bridged bool
}

// parts lists all spans of s in time order, by the words of Rule and AtBad.
func parts(s *series.Series, r align.Rule) []part {
	holds := r.Reading == series.OnChange || r.Reading == series.State
	if !holds && r.Reading != series.Continuous {
		return nil
	}
	stops := r.AtBad == align.Stop || r.AtBad == align.ByReading && holds
	gap := r.MaxGap.Milliseconds()
	var out []part
	for i := range s.T {
		if !used(s, r, i) {
			continue
		}
		next := i + 1 // the next reading that is used
		for next < len(s.T) && !used(s, r, next) {
			next++
		}
		unsure := s.F[i]&series.Uncertain != 0
		p := part{t0: s.T[i], v0: s.V[i], v1: s.V[i], uncertain: unsure}
		switch badNext := next > i+1; {
		case holds:
			p.t1 = s.T[i] + gap
			p.bridged = badNext && !stops
			switch {
			case stops && i+1 < len(s.T):
				p.t1 = min(p.t1, s.T[i+1])
			case next < len(s.T):
				p.t1 = min(p.t1, s.T[next])
			default:
				p.bridged = badNext && !(stops && i+1 < len(s.T))
			}
		case stops && badNext:
			p.t1, p.bridged = s.T[i+1], true
		case next < len(s.T):
			p.t1, p.v1, p.bridged = s.T[next], s.V[next], badNext
			p.uncertain = unsure || s.F[next]&series.Uncertain != 0
		default:
			continue
		}
		if p.t1 > p.t0 && p.t1-p.t0 <= gap {
			out = append(out, p)
		}
	}
	return out
}

func used(s *series.Series, r align.Rule, i int) bool {
	if r.UncertainAsBad && s.F[i]&series.Uncertain != 0 {
		return false
	}
	return s.F[i]&series.Unusable == 0 && !math.IsNaN(s.V[i]) && !math.IsInf(s.V[i], 0)
}

// value is that of p at t; a span between equal values has the first of them.
func (p part) value(t int64) float64 {
	if t == p.t0 || p.v0 == p.v1 {
		return p.v0
	}
	if t == p.t1 {
		return p.v1
	}
	return p.v0 + float64((p.v1-p.v0)*(float64(t-p.t0)/float64(p.t1-p.t0)))
}

func slowOver(s *series.Series, r align.Rule, ps []part, w align.Window) align.Stat {
	st := align.Stat{Mean: math.NaN(), Min: math.NaN(), Max: math.NaN()}
	var area, sum float64
	var covered, unsure, bridged int64
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range ps {
		a, b := max(p.t0, w.Start), min(p.t1, w.End)
		if b <= a {
			continue
		}
		va, vb := p.value(a), p.value(b)
		area += float64((va + vb) / 2 * float64(b-a))
		covered += b - a
		if p.uncertain {
			unsure += b - a
		}
		if p.bridged {
			bridged += b - a
		}
		lo, hi = math.Min(lo, math.Min(va, vb)), math.Max(hi, math.Max(va, vb))
	}
	slo, shi := math.Inf(1), math.Inf(-1)
	for i, t := range s.T {
		switch {
		case t < w.Start || t >= w.End:
		case used(s, r, i):
			st.N++
			sum += s.V[i]
			slo, shi = math.Min(slo, s.V[i]), math.Max(shi, s.V[i])
		default:
			st.Unusable++
		}
	}
	length := float64(w.End - w.Start)
	switch {
	case r.Reading == series.Grab || r.Reading == series.Composite || r.Reading == series.Counter:
		if st.N > 0 {
			st.Min, st.Max = slo, shi
			st.Mean = math.Min(math.Max(sum/float64(st.N), slo), shi)
		}
	case covered > 0:
		st.Min, st.Max = lo, hi
		st.Mean = math.Min(math.Max(area/float64(covered), lo), hi)
		st.Cover, st.Uncertain, st.Bridged = float64(covered)/length, float64(unsure)/length, float64(bridged)/length
	}
	return st
}

// within leaves out what does not touch w.
func within(ps []part, w align.Window) []part {
	var out []part
	for _, p := range ps {
		if p.t0 < w.End && p.t1 > w.Start {
			out = append(out, p)
		}
	}
	return out
}

func slowProduct(as, bs []part, w align.Window) align.Joint {
	var area, areaA, areaB float64
	var covered int64
	bs = within(bs, w)
	for _, p := range within(as, w) {
		for _, q := range bs {
			t0, t1 := max(p.t0, q.t0, w.Start), min(p.t1, q.t1, w.End)
			if t1 <= t0 {
				continue
			}
			a0, a1, b0, b1 := p.value(t0), p.value(t1), q.value(t0), q.value(t1)
			d := float64(t1 - t0)
			straight, cross := float64(a0*b0)+float64(a1*b1), float64(a0*b1)+float64(a1*b0)
			area += float64(d * (straight/3 + cross/6))
			areaA += float64(d * (a0 + a1) / 2)
			areaB += float64(d * (b0 + b1) / 2)
			covered += t1 - t0
		}
	}
	if covered == 0 {
		return align.Joint{Mean: math.NaN(), A: math.NaN(), B: math.NaN()}
	}
	c := float64(covered)
	return align.Joint{Mean: area / c, A: areaA / c, B: areaB / c, Cover: c / float64(w.End-w.Start)}
}

// slowMinute gives the area of a minute over its covered time, without holding
// it to the extremes as a window's mean is.
func slowMinute(ps []part, t0 int64) float64 {
	var area float64
	var covered int64
	for _, p := range ps {
		if a, b := max(p.t0, t0), min(p.t1, t0+minute); b > a {
			area += float64((p.value(a) + p.value(b)) / 2 * float64(b-a))
			covered += b - a
		}
	}
	if covered < minute/2 {
		return math.NaN()
	}
	return area / float64(covered)
}

func sameNumber(t *testing.T, want, got float64, what string) {
	if math.IsNaN(want) && math.IsNaN(got) {
		return
	}
	if math.Float64bits(want) != math.Float64bits(got) {
		require.FailNow(t, "not the same to the last bit", "%s: want %v, got %v", what, want, got)
	}
}

func sameStat(t *testing.T, want, got align.Stat, what string) {
	for _, x := range []struct {
		name      string
		want, got float64
	}{
		{"mean", want.Mean, got.Mean}, {"cover", want.Cover, got.Cover},
		{"min", want.Min, got.Min}, {"max", want.Max, got.Max},
		{"uncertain", want.Uncertain, got.Uncertain}, {"bridged", want.Bridged, got.Bridged},
		{"readings", float64(want.N), float64(got.N)}, {"unusable", float64(want.Unusable), float64(got.Unusable)},
	} {
		sameNumber(t, x.want, x.got, x.name+" "+what)
	}
}

func sameJoint(t *testing.T, want, got align.Joint, what string) {
	sameNumber(t, want.Mean, got.Mean, "product "+what)
	sameNumber(t, want.A, got.A, "first "+what)
	sameNumber(t, want.B, got.B, "second "+what)
	sameNumber(t, want.Cover, got.Cover, "cover "+what)
}

// moody makes a series that changes its habits: regular and clean for a while,
// then restless, silent, unusable, uncertain, resting at zero …, from about
// start for n readings. One in three is scanned on the whole minute throughout.
func moody(r *rand.Rand, start int64, n int, gap int64) *series.Series {
	s := &series.Series{Tag: "moody"}
	at := start + int64(r.IntN(int(3*minute)))
	steady := r.IntN(3) == 0
	if steady || r.IntN(2) == 0 {
		at = start
	}
	for s.Len() < n {
		step := []int64{minute, minute, 1000, 1, gap, 7001}[r.IntN(6)]
		values, habit := r.IntN(6), r.IntN(8)
		if steady {
			step = minute
			if at%minute != 0 {
				at += minute - at%minute
			}
		}
		for range 1 + r.IntN(90) {
			v, f := 5+r.NormFloat64(), series.Flag(0)
			switch values {
			case 0:
				v = 4.2
			case 1:
				v = []float64{0, math.Copysign(0, -1), 1, -1, 0}[r.IntN(5)]
			case 2:
				v = math.Copysign(0, -1)
			case 3:
				v = float64(s.Len() % 7)
			}
			switch habit {
			case 0: // anything goes
				f = []series.Flag{0, 0, series.Bad, series.Uncertain, series.Spike, series.Uncertain | series.Bad, series.Frozen}[r.IntN(7)]
				v = []float64{v, v, v, math.NaN(), math.Inf(1), 1.7e308, -1.7e308, 5e-324}[r.IntN(8)]
			case 1:
				f = series.Uncertain
			case 2:
				f = []series.Flag{series.Bad, series.Invalid}[r.IntN(2)]
			case 3: // one lost now and then
				if r.IntN(10) == 0 {
					f = series.Bad
				}
			}
			s.Append(at, v, f)
			at += step
			if habit == 4 && !steady {
				at += int64(r.IntN(90_000))
			}
		}
		switch r.IntN(4) {
		case 0:
			at = s.T[s.Len()-1] + gap + int64(r.IntN(5)) - 2 // just within the gap, or just beyond
		case 1:
			at += int64(r.IntN(int(5 * gap)))
		case 2:
			at += minute - at%minute
		}
	}
	return s
}

// companion makes a second tag beside s: scanned together with it, a little
// later, or by a clock of its own.
func companion(r *rand.Rand, s *series.Series, gap int64) *series.Series {
	o := moody(r, s.T[0], s.Len(), gap)
	n := min(o.Len(), s.Len())
	o.T, o.V, o.F = o.T[:n], o.V[:n], o.F[:n]
	switch r.IntN(4) {
	case 0, 1:
		copy(o.T, s.T)
		if k := r.IntN(n); r.IntN(2) == 0 { // one reading was not written
			o.T, o.V, o.F = append(o.T[:k], o.T[k+1:]...), append(o.V[:k], o.V[k+1:]...), append(o.F[:k], o.F[k+1:]...)
		}
	case 2:
		for i := range o.T {
			o.T[i] = s.T[i] + 1
		}
	}
	return o
}

// windowsOver are those that are asked for, and others that could be.
func windowsOver(r *rand.Rand, s *series.Series, loc *time.Location) map[string][]align.Window {
	from, to := s.T[0], s.T[s.Len()-1]
	ws := map[string][]align.Window{
		"hours": align.Hours(from, to+2*60*minute, loc),
		"days":  align.Days(from-24*60*minute, to+24*60*minute, loc),
	}
	var odd, rolling, edges []align.Window
	for range 40 {
		a := from - 30*minute + r.Int64N(to-from+60*minute)
		odd = append(odd, align.Window{Start: a, End: a + r.Int64N(90*minute)})
	}
	odd = append(odd, align.Window{Start: from, End: from}, align.Window{Start: from - 5*minute, End: from},
		align.Window{Start: to - minute, End: from}, align.Window{Start: from + 9*minute, End: to})
	for a := from - 10*minute; a < to && len(rolling) < 60; a += 13 * minute {
		rolling = append(rolling, align.Window{Start: a, End: a + 40*minute})
	}
	for range 40 {
		i := r.IntN(s.Len())
		j := min(i+r.IntN(70), s.Len()-1)
		edges = append(edges, align.Window{Start: s.T[i], End: s.T[j] + int64(r.IntN(3)) - 1})
	}
	ws["odd"], ws["rolling"], ws["edges on readings"] = odd, rolling, edges
	ws["one"] = odd[:1]
	return ws
}

func TestQuickIsSlowToTheLastBit(t *testing.T) {
	loc, err := time.LoadLocation("America/New_York")
	require.NoError(t, err)
	rounds := 40
	if testing.Short() {
		rounds = 6
	}
	seen := map[string]int{}
	for seed := range rounds {
		r := rand.New(rand.NewPCG(uint64(seed), 77))
		// The middle of the night in which clocks change, now and then.
		day := []string{"2026-03-08", "2026-11-01", "2026-06-01"}[seed%3]
		d, err := time.ParseInLocation("2006-01-02", day, loc)
		require.NoError(t, err)
		gap := []int64{5 * minute, 15 * minute, minute, 61_000, 25_000}[r.IntN(5)]
		s := moody(r, d.UnixMilli(), 900, gap)
		o := companion(r, s, gap)
		require.NoError(t, s.Check())
		require.NoError(t, o.Check())
		var rules []align.Rule
		for _, k := range []series.Reading{series.Continuous, series.OnChange, series.State, series.Grab} {
			for _, bad := range []align.AtBad{align.ByReading, align.Bridge, align.Stop} {
				rules = append(rules, align.Rule{Reading: k, MaxGap: time.Duration(gap) * time.Millisecond, AtBad: bad, UncertainAsBad: r.IntN(3) == 0})
			}
		}
		for _, rule := range rules {
			ps := parts(s, rule)
			other := rules[r.IntN(len(rules))]
			other.MaxGap = other.MaxGap * time.Duration(1+r.IntN(3)) / 2
			os := parts(o, other)
			for name, ws := range windowsOver(r, s, loc) {
				got, joint := align.Over(s, rule, ws), align.Product(s, o, rule, other, ws)
				back := align.Product(o, s, other, rule, ws)
				for k, w := range ws {
					what := fmt.Sprintf("seed %d %+v %s %d", seed, rule, name, k)
					sameStat(t, slowOver(s, rule, ps, w), got[k], what)
					sameJoint(t, slowProduct(ps, os, w), joint[k], what)
					sameJoint(t, slowProduct(os, ps, w), back[k], what+" the other way round")
					tally(seen, got[k], joint[k])
				}
			}
			for range 4 {
				g := align.Grid{Start: (s.T[r.IntN(s.Len())]/minute - 3) * 60, N: 60}
				for i, v := range align.Minutes(s, rule, g) {
					sameNumber(t, slowMinute(ps, g.Milli(i)), v, fmt.Sprintf("seed %d %+v minute %d", seed, rule, i))
				}
			}
		}
	}
	// The comparison is worth something only where there is something to compare.
	t.Log(seen)
	for _, want := range []string{"covered", "not covered", "uncertain", "bridged", "left out", "joint", "zero", "whole"} {
		require.Greater(t, seen[want], 50, want)
	}
}

func tally(seen map[string]int, st align.Stat, j align.Joint) {
	for what, is := range map[string]bool{
		"covered": st.Cover > 0, "not covered": st.Cover == 0, "uncertain": st.Uncertain > 0, "bridged": st.Bridged > 0,
		"left out": st.Unusable > 0, "joint": j.Cover > 0, "zero": st.Min == 0 || st.Max == 0, "whole": st.Cover == 1 && st.Unusable == 0 && st.N > 5,
	} {
		if is {
			seen[what]++
		}
	}
}
