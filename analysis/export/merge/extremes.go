package merge

import (
	"math"

	"weirbook/analysis/series"
)

// Extreme is the least or the greatest of values, how often it stands among them, and
// the next one, which is infinite where there is none.
type Extreme struct {
	V, Next float64
	N       int
}

// Counted takes a run's usable values into account.
func (e Extreme) Counted(r *Run) Extreme {
	for i, x := range r.v {
		switch {
		case r.flag(i)&unusableRead != 0:
		case x == e.V:
			e.N++
		case r.flag(i)&series.Condensed != 0: // a mean may lie between
		case math.Abs(e.V-x) < math.Abs(e.V-e.Next):
			e.Next = x
		}
	}
	return e
}

// Range gives the least and the greatest of the usable values, infinite where there is
// none.
func (r *Run) Range() (lo, hi float64) {
	if !r.ranged {
		return math.Inf(1), math.Inf(-1)
	}
	return r.least, r.greatest
}

// reach has the range hold lo to hi.
func (r *Run) reach(lo, hi float64) {
	if !r.ranged {
		r.least, r.greatest, r.ranged = lo, hi, true
		return
	}
	if lo < r.least {
		r.least = lo
	}
	if hi > r.greatest {
		r.greatest = hi
	}
}

// reachAll has the range hold usable values.
func (r *Run) reachAll(vs []float64) {
	if len(vs) == 0 {
		return
	}
	r.reach(vs[0], vs[0])
	from, span := r.within()
	for _, x := range vs {
		if math.Float64bits(x)-from > span {
			r.reach(x, x)
			from, span = r.within()
		}
	}
}

// within tells in one comparison of words whether a number lies in the range: the words
// of numbers from zero up rise as they do. Nothing lies so in
// a range that begins below zero, or in none.
func (r *Run) within() (from, span uint64) {
	if !r.ranged || r.least < 0 || r.least == 0 && math.Signbit(r.least) {
		return 1, 0
	}
	from = math.Float64bits(r.least)
	return from, math.Float64bits(r.greatest) - from
}

// Sample appends every step-th of the usable values.
func (r *Run) Sample(out []float64, step int) []float64 {
	for i := 0; i < len(r.v); i += step {
		if !math.IsNaN(r.v[i]) && r.flag(i)&unusableRead == 0 {
			out = append(out, r.v[i])
		}
	}
	return out
}

// Flagged gives the values that bear a flag.
func (r *Run) Flagged(f series.Flag) (out []float64) {
	for i, x := range r.f {
		if x&f != 0 {
			out = append(out, r.v[i])
		}
	}
	return out
}

// AllRuns are all readings that the track has taken so far; those that are still under way
// stand in a run of their own, and of a minute with several of them none.
func (t *Track) AllRuns() []*Run {
	open := &Run{}
	add := func(x reading) {
		open.v, open.f = append(open.v, x.v), append(open.f, x.f)
		if x.usable() {
			open.reach(x.v, x.v)
		}
	}
	if t.has {
		add(t.pend.reading)
	}
	if t.back != nil && len(t.back.open) == 1 {
		add(t.back.open[0])
	}
	if t.back == nil && t.cond.n == 1 {
		add(t.cond.first[0])
	}
	for _, p := range t.late {
		add(p.reading)
	}
	return append([]*Run{&t.Main, open}, t.Runs...)
}
