package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
)

// The search only looks back. When it meets an edge, the edge may be the
// beginning of a fault or the end of one of the other sign; both are tried, with the
// ends that the streams themselves suggest, and the form that explains more is kept.

// value is how much form f explains under hypothesis h (log-likelihood ratio at
// its best size); negative when the form makes no sense.
func (q *search) value(h *hypothesis, f form) float64 {
	w := q.w
	if f.t0 < 0 || f.t1 > w.Bins || f.t1-f.t0 < 4 || f.rise < 1 {
		return -1
	}
	num, den := 0.0, 0.0
	for s, u := range h.unit {
		if u == 0 {
			continue
		}
		c, r := &w.streams[s].fast, &q.fast[s]
		tail := tailBins
		if f.t1 >= len(c.e) {
			tail = 0
		}
		q.buf = r.fill(f, tail, q.buf)
		sc, in := c.score(q.buf, f.t0)
		num += u * sc / c.w.s
		den += u * u * in / c.w.s
	}
	if h.cause == causeAnalyser {
		for k := range w.grabs {
			if l := &w.grabs[k]; l.free == h.free {
				sc, in := l.score(f)
				num += sc
				den += in
			}
		}
	}
	if den <= 0 || h.positive && num < 0 {
		return -1
	}
	return num * num / (2 * den)
}

// tailBins is how far past its end a form's edge is looked at: two hours.
const tailBins = 24

// slowFrom is the length (fast bins) from which a rise that takes time is tried:
// half a day.
const slowFrom = 144

// edges gives the fast bins in [from, to) at which hypothesis h's streams jump most
// in the direction of sign, at most n, half an hour apart.
func (q *search) edges(h *hypothesis, sign float64, from, to, n int) []int {
	const k = 1 // two hours ahead of the edge count
	long := fastLengths[k]
	from = max(0, from)
	z := q.edge[:0]
	for t := from; t < min(to, q.w.Bins-long); t++ {
		num, den := 0.0, 0.0
		for s, u := range h.unit {
			if u != 0 {
				num += u * q.tf[s][k].score[t+long-1]
				den += u * u * q.tf[s][k].info[t+long-1]
			}
		}
		v := 0.0
		if den > 0 && num*sign > 0 {
			v = num * sign / math.Sqrt(den)
		}
		z = append(z, v)
	}
	q.edge = z
	var out []int
	for len(out) < n {
		best := -1
		for k, v := range z {
			if v > 0 && (best < 0 || v > z[best]) {
				best = k
			}
		}
		if best < 0 {
			break
		}
		out = append(out, from+best)
		for k := max(0, best-5); k < min(len(z), best+6); k++ {
			z[k] = 0
		}
	}
	return out
}

// reach is how far a fault is followed, in fast bins: twelve days.
const reach = 12 * 288

// refine finds the form that explains most under hypothesis h, starting from a
// cell's form and the sign of its size.
func (q *search) refine(h *hypothesis, f form, sign float64) (form, float64) {
	best, at := q.value(h, f), f
	tried := map[form]bool{f: true}
	try := func(g form) bool {
		g.rise = max(1, min(g.rise, g.t1-g.t0))
		if tried[g] {
			return false
		}
		tried[g] = true
		if v := q.value(h, g); v > best+1e-9 {
			best, at = v, g
			return true
		}
		return false
	}
	rises := func(t0, t1 int) {
		long := t1 - t0
		try(form{t0, t1, 1})
		if long >= slowFrom {
			try(form{t0, t1, long / 2})
			try(form{t0, t1, long})
		}
	}
	// as a beginning
	starts := append([]int{f.t0}, q.edges(h, sign, f.t0-30, f.t0+30, 2)...)
	ends := append([]int{f.t1, q.w.Bins}, q.edges(h, -sign, f.t0+6, f.t0+reach, 8)...)
	for _, t0 := range starts {
		for _, t1 := range ends {
			rises(t0, t1)
		}
	}
	// as the end of the opposite
	for _, t1 := range append([]int{f.t0}, q.edges(h, sign, f.t0-6, f.t0+6, 1)...) {
		for _, t0 := range q.edges(h, -sign, f.t0-reach, f.t0-6, 8) {
			try(form{t0, t1, 1})
		}
		for _, hours := range [...]int{12, 24, 36, 48, 72, 96, 120, 144, 168} {
			rises(t1-hours*12, t1)
		}
	}
	q.polish(&at, try)
	return at, best
}

// polish climbs from form f in ever smaller steps.
func (q *search) polish(f *form, try func(form) bool) {
	for round := 0; round < 2; round++ {
		for step := max(1, (f.t1-f.t0)/4); ; step = max(1, step/2) {
			for moved, n := true, 0; moved && n < 6; n++ {
				moved = false
				full := f.rise > 1 && f.rise >= f.t1-f.t0
				for _, d := range [...]int{-step, step} {
					for edge := 0; edge < 2; edge++ {
						g := *f
						if edge == 0 {
							g.t0 += d
						} else {
							g.t1 += d
						}
						if full {
							g.rise = g.t1 - g.t0
						}
						moved = try(g) || moved
					}
				}
			}
			if step == 1 || f.t1-f.t0 > slowFrom && step <= signal.SlowBins/2 {
				break
			}
		}
		if long := f.t1 - f.t0; long > 4*12 {
			for _, part := range [...]float64{0, 0.1, 0.25, 0.5, 0.75, 1} {
				g := *f
				g.rise = max(1, int(part*float64(long)))
				try(g)
			}
		}
	}
}

// score gives the shape's match with the innovations, before the variance.
func (c *clock) score(shape []float64, at int) (score, info float64) {
	lo, hi := max(0, -at), min(len(shape), len(c.e)-at)
	if lo >= hi {
		return 0, 0
	}
	e := c.e[at+lo : at+hi]
	g := shape[lo:hi][:len(e)]
	if c.k == nil {
		for i, v := range e {
			if v == v {
				score += g[i] * v
				info += g[i] * g[i]
			}
		}
		return score, info
	}
	u := c.k[at+lo : at+hi][:len(e)]
	for i, v := range e {
		if v == v {
			a := u[i] * g[i]
			score += a * v
			info += a * g[i]
		}
	}
	return score, info
}

// score of a form on the grabs, variance included; the day after the form counts
// against it where the grabs still disagree.
func (l *grabLine) score(f form) (score, info float64) {
	n := 0.0
	for _, p := range l.points {
		if p.bin < f.t0 || p.bin >= f.t1 {
			continue
		}
		g := f.at(p.bin)
		score += g * signal.Clamp(p.v, -4.5*l.sd, 4.5*l.sd)
		info += g * g
		n++
	}
	cut := 1 / (l.sd * l.sd * (1 + 0.09*n))
	return score * cut, info * cut
}

// episode is a stretch that one explanation accounts for.
type episode struct {
	form
	h         *hypothesis
	theta     float64
	ratio     float64 // likelihood ratio of the winner against all well
	over      float64 // the same with every usual known only so well
	misfit    float64 // largest miss of the winner on one stream, standard deviations
	margin    float64 // over the best explanation of another party
	share     float64 // posterior share of the winner's party
	rivals    []rival
	sizes     []amount // by stream
	grabSizes []amount // by grab line
	alarm     int      // fast bin
}

type rival struct {
	h     *hypothesis
	theta float64
	ll    float64
}

// amount is a stream's own estimate of the size.
type amount struct {
	size, sd float64
	n        int
	ok       bool
}

// measure takes every stream's own estimate of the form's size.
func (q *search) measure(f form) (sizes, grabs []amount) {
	w := q.w
	for s, st := range w.streams {
		c, r := &st.fast, &q.fast[s]
		tail := tailBins
		if f.t1 >= len(c.e) {
			tail = 0
		}
		q.buf = r.fill(f, tail, q.buf)
		a, sd, ok := c.amplitude(q.buf, f.t0)
		sizes = append(sizes, amount{a, sd, 0, ok})
	}
	for k := range w.grabs {
		a, sd, n := w.grabs[k].amplitude(f.t0, f.t1, f.at)
		grabs = append(grabs, amount{a, sd, n, n > 0})
	}
	return sizes, grabs
}

// explainAway takes the bins of what was found out of every stream that the cause
// makes worthless: a second fault of the same instrument inside the first would be
// told as one event anyway.
func (q *search) explainAway(e *episode) {
	w := q.w
	t0, t1 := e.t0-1, e.t1+2
	if e.h.cause == causeAnalyser {
		for k := range w.grabs {
			if w.grabs[k].free != e.h.free {
				continue
			}
			ps := w.grabs[k].points[:0]
			for _, p := range w.grabs[k].points {
				if p.bin < t0 || p.bin >= t1 {
					ps = append(ps, p)
				}
			}
			w.grabs[k].points = ps
		}
		q.sums = q.sumGrabs()
	}
	q.blank(e.h, t0, t1)
}
