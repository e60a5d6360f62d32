package orp

import (
	"math"
	"slices"
)

// The search asks at every bin, with what was known up to it: has something
// begun some time ago, and is it still so? Each question is a cell: an end, a length,
// a step or a ramp, answered for each hypothesis by its likelihood ratio.

var (
	fastLengths = [...]int{6, 12, 24, 48}                                // five-minute bins
	slowLengths = [...]int{8, 12, 16, 24, 32, 48, 72, 96, 144, 192, 288} // half hours
)

const rampFrom = 24 // half hours: shorter ramps are steps

// table holds, for one stream, clock and length, score and information by end.
type table struct{ score, info []float64 }

// search is the state of the search.
type search struct {
	w          *work
	fast, slow []response // by stream
	// by stream, then length
	tf, ts, tr [][]table
	lamFast    []float64 // largest causal likelihood ratio by fast bin, before anything was explained
	lamSlow    []float64
	buf        []float64
}

func newSearch(w *work) *search {
	n := len(w.streams)
	q := &search{w: w, fast: make([]response, n), slow: make([]response, n),
		tf: make([][]table, n), ts: make([][]table, n), tr: make([][]table, n)}
	for s, st := range w.streams {
		q.fast[s] = newResponse(&st.fast.w, 2000)
		q.slow[s] = newResponse(&st.slow.w, 700)
		q.tf[s] = tables(len(fastLengths), len(st.fast.e))
		q.ts[s] = tables(len(slowLengths), len(st.slow.e))
		q.tr[s] = tables(len(slowLengths), len(st.slow.e))
		q.refresh(s, 0, len(st.fast.e))
	}
	return q
}

func tables(n, size int) []table {
	out := make([]table, n)
	for i := range out {
		out[i] = table{make([]float64, size), make([]float64, size)}
	}
	return out
}

// refresh recomputes the cells of stream s that see fast bins [from, to).
func (q *search) refresh(s, from, to int) {
	st := q.w.streams[s]
	for i, n := range fastLengths {
		fillTable(&st.fast, q.fast[s].g, n, 1, q.tf[s][i], from, to+n)
	}
	for i, n := range slowLengths {
		lo, hi := from/slowBins, to/slowBins+n+1
		fillTable(&st.slow, q.slow[s].g, n, 1, q.ts[s][i], lo, hi)
		if n >= rampFrom {
			fillTable(&st.slow, q.slow[s].sum, n, 1/float64(n), q.tr[s][i], lo, hi)
		}
	}
}

func fillTable(c *clock, g []float64, n int, scale float64, t table, from, to int) {
	inv := 1 / c.w.s
	g = g[:n]
	for end := max(from, n-1); end < min(to, len(c.e)); end++ {
		score, info := 0.0, 0.0
		known := 0
		at := end - n + 1
		e := c.e[at : end+1]
		if c.k == nil {
			for k, v := range e {
				if v == v {
					score += g[k] * v
					info += g[k] * g[k]
					known++
				}
			}
		} else {
			u := c.k[at : end+1]
			for k, v := range e {
				if v == v {
					a := u[k] * g[k]
					score += a * v
					info += a * g[k]
					known++
				}
			}
		}
		if known*2 < n {
			score, info = 0, 0
		}
		t.score[end] = score * scale * inv
		t.info[end] = info * scale * scale * inv
	}
}

// cell is one answered question.
type cell struct {
	fast  bool
	ramp  bool
	i     int // index of the length
	end   int // bin of its clock
	h     *hypothesis
	ratio float64
	theta float64
}

func (c cell) length() int {
	if c.fast {
		return fastLengths[c.i]
	}
	return slowLengths[c.i]
}

// form gives the cell's form on the fast clock.
func (c cell) form() form {
	n := c.length()
	f := form{c.end - n + 1, c.end + 1, 1}
	if c.ramp {
		f.rise = n
	}
	if !c.fast {
		f = f.fast()
		if !c.ramp {
			f.rise = 1
		}
	}
	return f
}

// grabSums are running sums over fast bins of the grabs of one line: count,
// ratio, and both weighted by time, so that a cell costs nothing.
type grabSums struct {
	free              bool
	n, v, nt, vt, ntt []float64
	inv               float64
}

func (q *search) sumGrabs() []grabSums {
	var out []grabSums
	for _, l := range q.w.grabs {
		g := grabSums{free: l.free, inv: 1 / (l.sd * l.sd)}
		m := q.w.bins + 1
		g.n, g.v, g.nt, g.vt, g.ntt = make([]float64, m), make([]float64, m), make([]float64, m), make([]float64, m), make([]float64, m)
		for _, p := range l.points {
			v := clamp(p.v, -4.5*l.sd, 4.5*l.sd)
			t := float64(p.bin)
			g.n[p.bin+1]++
			g.v[p.bin+1] += v
			g.nt[p.bin+1] += t
			g.vt[p.bin+1] += v * t
			g.ntt[p.bin+1] += t * t
		}
		for i := 1; i < m; i++ {
			g.n[i] += g.n[i-1]
			g.v[i] += g.v[i-1]
			g.nt[i] += g.nt[i-1]
			g.vt[i] += g.vt[i-1]
			g.ntt[i] += g.ntt[i-1]
		}
		out = append(out, g)
	}
	return out
}

// cell gives score and information of the grabs in fast bins [a, b).
func (g *grabSums) cell(a, b int, ramp bool) (score, info float64) {
	b = min(b, len(g.n)-1)
	if a >= b || g.n[b] == g.n[a] {
		return 0, 0
	}
	n := g.n[b] - g.n[a]
	if !ramp {
		score, info = g.v[b]-g.v[a], n
	} else {
		l := float64(b - a)
		t0 := float64(a)
		score = (g.vt[b] - g.vt[a] - t0*(g.v[b]-g.v[a])) / l
		info = (g.ntt[b] - g.ntt[a] - 2*t0*(g.nt[b]-g.nt[a]) + t0*t0*n) / (l * l)
	}
	cut := 1 / (1 + 0.09*n)
	return score * g.inv * cut, info * g.inv * cut
}

// sweep finds the best cell of all; first also records the causal ratios.
func (q *search) sweep(first bool) (best cell) {
	w := q.w
	sums := q.sumGrabs()
	if first {
		q.lamFast = make([]float64, w.bins)
		q.lamSlow = make([]float64, w.bins/slowBins)
	}
	for i := range fastLengths {
		n := fastLengths[i]
		for end := n - 1; end < w.bins; end++ {
			q.ask(&best, cell{fast: true, i: i, end: end}, q.tf, sums, end-n+1, end+1, first)
		}
	}
	for i := range slowLengths {
		n := slowLengths[i]
		for end := n - 1; end < w.bins/slowBins; end++ {
			q.ask(&best, cell{i: i, end: end}, q.ts, sums, (end-n+1)*slowBins, (end+1)*slowBins, first)
			if n >= rampFrom {
				q.ask(&best, cell{ramp: true, i: i, end: end}, q.tr, sums, (end-n+1)*slowBins, (end+1)*slowBins, first)
			}
		}
	}
	return best
}

func (q *search) ask(best *cell, c cell, t [][]table, sums []grabSums, a, b int, first bool) {
	enter := q.w.s.EnterSlow
	if c.fast {
		enter = q.w.s.EnterFast
	}
	for _, h := range q.w.hyps {
		num, den := 0.0, 0.0
		for s, u := range h.unit {
			if u != 0 {
				num += u * t[s][c.i].score[c.end]
				den += u * u * t[s][c.i].info[c.end]
			}
		}
		if h.cause == causeAnalyser {
			for k := range sums {
				if sums[k].free == h.free {
					s, in := sums[k].cell(a, b, c.ramp)
					num += s
					den += in
				}
			}
		}
		if den <= 0 || h.positive && num < 0 || h.negative && num > 0 {
			continue
		}
		lam := num*num/(2*den) - h.penalty
		if lam < enter*0.5 {
			continue
		}
		over := lam - enter
		if over < 0 && !first {
			continue
		}
		theta := num / den
		if !q.stands(h, c, theta) {
			continue
		}
		if first {
			if c.fast {
				q.lamFast[c.end] = math.Max(q.lamFast[c.end], lam)
			} else {
				q.lamSlow[c.end] = math.Max(q.lamSlow[c.end], lam)
			}
		}
		if over >= 0 && lam > best.ratio {
			c.h, c.ratio, c.theta = h, lam, theta
			*best = c
		}
	}
}

// stands reports whether the supposed error is still there at the end of the
// cell: a spike that has gone again leaves an edge in the innovations and nothing
// in the level.
func (q *search) stands(h *hypothesis, c cell, theta float64) bool {
	if !c.fast {
		return true
	}
	main, big := -1, 0.0
	for s, u := range h.unit {
		if u == 0 {
			continue
		}
		if z := math.Abs(u) / q.w.streams[s].fast.w.sd; z > big {
			main, big = s, z
		}
	}
	if main < 0 {
		return true
	}
	y := q.w.streams[main].fast.y
	size := theta * h.unit[main]
	n := c.length()
	from := c.end + 1 - n
	var v [8]float64
	late := append(v[:0], y[max(from, c.end-4):c.end+1]...)
	late = slices.DeleteFunc(late, func(x float64) bool { return x != x })
	if len(late) == 0 {
		return false
	}
	before := 0.0
	var v2 [8]float64
	was := append(v2[:0], y[max(0, from-6):from]...)
	was = slices.DeleteFunc(was, func(x float64) bool { return x != x })
	if len(was) > 0 {
		before = smallMedian(was)
	}
	now := smallMedian(late)
	// either moved from where it was, or stands away from its usual
	d := now - before
	if size < 0 {
		d, now = -d, -now
	}
	return d > 0.5*math.Abs(size) || now > 0.7*math.Abs(size)
}
