package orp

import "math"

// refine finds the form that explains most under hypothesis h, starting from f.
func (q *search) refine(h *hypothesis, f form) (form, float64) {
	w := q.w
	long := f.t1 - f.t0
	slow := long > 16*12 || f.rise > 1
	var buf []float64
	value := func(f form) float64 {
		if f.t0 < 0 || f.t1 > w.bins || f.t1-f.t0 < 4 || f.rise < 1 {
			return -1
		}
		g := f
		if slow {
			g = f.slow()
		}
		num, den := 0.0, 0.0
		for s, u := range h.unit {
			if u == 0 {
				continue
			}
			c, r := &w.streams[s].fast, &q.fast[s]
			if slow {
				c, r = &w.streams[s].slow, &q.slow[s]
			}
			tail := 24
			if g.t1 >= len(c.e) {
				tail = 0
			}
			buf = r.fill(g, tail, buf)
			sc, in := c.score(buf, g.t0)
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
	best := value(f)
	try := func(g form) bool {
		if v := value(g); v > best+1e-9 {
			best, f = v, g
			return true
		}
		return false
	}
	// first the end: it may lie far ahead
	unit := 1
	if slow {
		unit = slowBins
	}
	start := f
	for step := unit; start.t1+step <= w.bins && step <= 10*288; step += max(unit, step/6/unit*unit) {
		g := start
		g.t1 = start.t1 + step
		try(g)
		if start.rise > 1 {
			g.rise = g.t1 - g.t0
			try(g)
		}
	}
	for round := 0; round < 3; round++ {
		for step := max(unit, (f.t1-f.t0)/4/unit*unit); ; step = max(unit, step/2/unit*unit) {
			for moved, n := true, 0; moved && n < 40; n++ {
				moved = false
				ramp := f.rise >= f.t1-f.t0
				for _, d := range [...]int{-step, step} {
					g := f
					g.t0 += d
					if ramp && f.rise > 1 {
						g.rise = g.t1 - g.t0
					}
					moved = try(g) || moved
					g = f
					g.t1 += d
					if ramp && f.rise > 1 {
						g.rise = g.t1 - g.t0
					}
					moved = try(g) || moved
				}
			}
			if step == unit {
				break
			}
		}
		if long := f.t1 - f.t0; slow || long > 4*12 {
			for _, part := range [...]float64{0, 0.1, 0.25, 0.5, 0.75, 1} {
				g := f
				g.rise = max(1, int(part*float64(long)))
				try(g)
			}
		}
	}
	if slow && f.rise == 1 {
		// sharpen both edges on the fast clock
		slow = false
		best = value(f)
		for _, step := range [...]int{6, 3, 1} {
			for moved, n := true, 0; moved && n < 12; n++ {
				moved = false
				for _, d := range [...]int{-step, step} {
					g := f
					g.t0 += d
					moved = try(g) || moved
					g = f
					g.t1 += d
					moved = try(g) || moved
				}
			}
		}
	}
	return f, best
}

// score gives the shape's match with the innovations, before the variance.
func (c *clock) score(shape []float64, at int) (score, info float64) {
	for k, g := range shape {
		i := at + k
		if i < 0 || i >= len(c.e) {
			continue
		}
		e := c.e[i]
		if e != e {
			continue
		}
		if c.k != nil {
			u := c.k[i]
			score += u * g * e
			info += u * g * g
		} else {
			score += g * e
			info += g * g
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
		score += g * clamp(p.v, -4.5*l.sd, 4.5*l.sd)
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
	margin    float64 // over the best explanation of another party
	share     float64 // posterior share of the winner's party
	rivals    []rival
	sizes     []amount // by stream
	grabSizes []amount // by grab line
	alarm     int      // fast bin
	decidedBy string
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
	slow := f.t1-f.t0 > 16*12
	g := f
	if slow {
		g = f.slow()
	}
	var buf []float64
	for s, st := range w.streams {
		c, r := &st.fast, &q.fast[s]
		if slow {
			c, r = &st.slow, &q.slow[s]
		}
		tail := 24
		if g.t1 >= len(c.e) {
			tail = 0
		}
		buf = r.fill(g, tail, buf)
		a, sd, ok := c.amplitude(buf, g.t0)
		sizes = append(sizes, amount{a, sd, 0, ok})
	}
	for k := range w.grabs {
		a, sd, n := w.grabs[k].amplitude(f.t0, f.t1, f.at)
		grabs = append(grabs, amount{a, sd, n, n > 0})
	}
	return sizes, grabs
}

// explainAway takes what was found off the streams, so that what is left can be
// searched again.
func (q *search) explainAway(e *episode) {
	w := q.w
	for s, st := range w.streams {
		a := e.sizes[s]
		if !a.ok || math.Abs(a.size) < 2*a.sd && e.h.unit[s] == 0 {
			continue
		}
		for i := max(0, e.t0); i < min(e.t1, len(st.fast.y)); i++ {
			st.fast.y[i] -= a.size * e.at(i)
		}
		g := e.form.slow()
		for i := max(0, g.t0); i < min(g.t1, len(st.slow.y)); i++ {
			// mean height over the slow bin
			h := 0.0
			for j := i * slowBins; j < (i+1)*slowBins; j++ {
				h += e.at(j)
			}
			st.slow.y[i] -= a.size * h / slowBins
		}
		st.filter()
		q.refresh(s, max(0, e.t0-slowBins), min(w.bins, e.t1+288))
	}
	for k := range w.grabs {
		a := e.grabSizes[k]
		if !a.ok || math.Abs(a.size) < 2*a.sd {
			continue
		}
		ps := w.grabs[k].points
		for i := range ps {
			ps[i].v -= a.size * e.at(ps[i].bin)
		}
	}
}
