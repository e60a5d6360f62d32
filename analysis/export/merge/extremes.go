package merge

import (
	"math"

	"weirbook/analysis/series"
)

// Extreme is the least or the greatest of values, how often it stands among them, and
// the next one. N is 0 where there is none.
type Extreme struct {
	V, Next float64
	N       int
}

// Least takes a run's usable values into account for the least one.
func (e Extreme) Least(r *Run) Extreme { return e.extreme(r, 1) }

// Greatest takes a run's usable values into account for the greatest one.
func (e Extreme) Greatest(r *Run) Extreme { return e.extreme(r, -1) }

func (e Extreme) extreme(r *Run, sign float64) Extreme {
	v, next, n := sign*e.V, sign*e.Next, e.N
	if n == 0 {
		v, next = math.Inf(1), math.Inf(1)
	}
	for i, x := range r.v {
		x *= sign
		if !(x <= v || x < next) || r.flag(i)&unusableRead != 0 {
			continue
		}
		switch {
		case x < v:
			v, next, n = x, v, 1
		case x == v:
			n++
		case r.flag(i)&series.Condensed == 0: // a mean may lie between
			next = x
		}
	}
	return Extreme{sign * v, sign * next, n}
}

// Sample gives every step-th of the usable values.
func (r *Run) Sample(step int) (out []float64) {
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
	add := func(x reading) { open.v, open.f = append(open.v, x.v), append(open.f, x.f) }
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
