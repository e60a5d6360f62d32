package orp

import (
	"math"
	"slices"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// The search asks at every bin, with what was known up to it: has something
// begun some time ago, and is it still so? Each question is a cell: an end, a length,
// a step or a ramp, answered for each hypothesis by its likelihood ratio.

var (
	fastLengths = [...]int{6, 12, 24, 48}                                // five-minute bins
	slowLengths = [...]int{8, 12, 16, 24, 32, 48, 72, 96, 144, 192, 288} // half hours
)

// stride is how far apart (half hours) the ends of cells of length n lie: a
// forty-eighth of it is near enough, what is met is refined anyway.
func stride(n int) int { return max(1, n/48) }

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
	buf, edge  []float64
	cells      []kindCells
	parts      [][]part // by hypothesis
	sums       []grabSums
	grabAlarms []grabAlarm
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
	}
	signal.Each(n, func(s int) { q.refresh(s, 0, len(w.streams[s].fast.e)) })
	q.lay()
	return q
}

func tables(n, size int) []table {
	out := make([]table, n)
	all := make([]float64, 2*n*size)
	for i := range out {
		out[i] = table{all[2*i*size : (2*i+1)*size], all[(2*i+1)*size : (2*i+2)*size]}
	}
	return out
}

// refresh recomputes the cells of stream s that see fast bins [from, to).
func (q *search) refresh(s, from, to int) {
	st := q.w.streams[s]
	for i, n := range fastLengths {
		fillTable(&st.fast, q.fast[s].g, n, 1, 1, q.tf[s][i], from, to+n)
	}
	for i, n := range slowLengths {
		lo, hi := from/signal.SlowBins, to/signal.SlowBins+n+1
		fillTable(&st.slow, q.slow[s].g, n, stride(n), 1, q.ts[s][i], lo, hi)
		if n >= rampFrom {
			fillTable(&st.slow, q.slow[s].sum, n, stride(n), 1/float64(n), q.tr[s][i], lo, hi)
		}
	}
}

// fillTable asks about the g's first n bins at every step-th end in [from, to).
func fillTable(c *clock, g []float64, n, step int, scale float64, t table, from, to int) {
	inv := 1 / c.w.s
	g = g[:n]
	for end := upTo(max(from, n-1), step); end < min(to, len(c.e)); end += step {
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

// upTo is the first multiple of step from n on.
func upTo(n, step int) int { return (n + step - 1) / step * step }

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

// answer is the best explanation of one cell.
type answer struct {
	h     int8 // index of the hypothesis, -1 none
	ratio float32
	theta float32
}

// kindCells are the cells of one clock, length and shape, by end.
type kindCells struct {
	fast, ramp bool
	i, n       int
	enter      float64
	t          [][]table
	best       []answer
}

// part is one stream's share in a hypothesis, for the inner loop.
type part struct {
	s    int
	u, q float64 // unit effect and its square
}

func (q *search) lay() {
	w := q.w
	for i, n := range fastLengths {
		q.cells = append(q.cells, kindCells{true, false, i, n, w.s.EnterFast, q.tf, make([]answer, w.Bins)})
	}
	for i, n := range slowLengths {
		q.cells = append(q.cells, kindCells{false, false, i, n, w.s.EnterSlow, q.ts, make([]answer, w.Bins/signal.SlowBins)})
		if n >= rampFrom {
			q.cells = append(q.cells, kindCells{false, true, i, n, w.s.EnterSlow, q.tr, make([]answer, w.Bins/signal.SlowBins)})
		}
	}
	for _, h := range w.hyps {
		var ps []part
		for s, u := range h.unit {
			if u != 0 {
				ps = append(ps, part{s, u, u * u})
			}
		}
		q.parts = append(q.parts, ps)
	}
	q.sums = q.sumGrabs()
	q.watchGrabs()
	q.ask(0, w.Bins)
	q.lamFast = make([]float64, w.Bins)
	q.lamSlow = make([]float64, w.Bins/signal.SlowBins)
	for k := range q.cells {
		c := &q.cells[k]
		for end, a := range c.best {
			if a.h < 0 {
				continue
			}
			if c.fast {
				q.lamFast[end] = math.Max(q.lamFast[end], float64(a.ratio))
			} else {
				q.lamSlow[end] = math.Max(q.lamSlow[end], float64(a.ratio))
			}
		}
	}
}

// ask answers again every cell that sees fast bins [from, to).
func (q *search) ask(from, to int) {
	for k := range q.cells {
		c := &q.cells[k]
		lo, hi, step := from, to+c.n, 1
		if !c.fast {
			lo, hi, step = from/signal.SlowBins, to/signal.SlowBins+c.n+1, stride(c.n)
		}
		for end := upTo(max(lo, 0), step); end < min(hi, len(c.best)); end += step {
			c.best[end] = q.answer(c, end)
		}
	}
}

func (q *search) answer(c *kindCells, end int) answer {
	best := answer{h: -1}
	if end < c.n-1 {
		return best
	}
	a, b := end-c.n+1, end+1
	if !c.fast {
		a, b = a*signal.SlowBins, b*signal.SlowBins
	}
	for k, h := range q.w.hyps {
		num, den := 0.0, 0.0
		for _, p := range q.parts[k] {
			t := &c.t[p.s][c.i]
			num += p.u * t.score[end]
			den += p.q * t.info[end]
		}
		if h.cause == causeAnalyser {
			for g := range q.sums {
				if q.sums[g].free == h.free {
					s, in := q.sums[g].cell(a, b, c.ramp)
					num += s
					den += in
				}
			}
		}
		if den <= 0 || h.positive && num < 0 {
			continue
		}
		lam := num*num/(2*den) - h.penalty
		if lam < c.enter || float32(lam) <= best.ratio {
			continue
		}
		theta := num / den
		if c.fast && !q.stands(h, end, c.n, theta) {
			continue
		}
		best = answer{int8(k), float32(lam), float32(theta)}
	}
	return best
}

// sweep finds the best cell of all.
func (q *search) sweep() (best cell) {
	for k := range q.cells {
		c := &q.cells[k]
		for end, a := range c.best {
			if a.h >= 0 && float64(a.ratio) > best.ratio {
				best = cell{fast: c.fast, ramp: c.ramp, i: c.i, end: end, h: q.w.hyps[a.h], ratio: float64(a.ratio), theta: float64(a.theta)}
			}
		}
	}
	return best
}

// stands reports whether the supposed error is still there at the end of the
// cell: a spike that has gone again leaves an edge in the innovations and nothing
// in the level.
func (q *search) stands(h *hypothesis, end, n int, theta float64) bool {
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
	from := end + 1 - n
	var v [8]float64
	late := append(v[:0], y[max(from, end-4):end+1]...)
	late = slices.DeleteFunc(late, func(x float64) bool { return x != x })
	if len(late) == 0 {
		return false
	}
	before := 0.0
	var v2 [8]float64
	was := append(v2[:0], y[max(0, from-6):from]...)
	was = slices.DeleteFunc(was, func(x float64) bool { return x != x })
	if len(was) > 0 {
		before = robust.MedianInPlace(was)
	}
	now := robust.MedianInPlace(late)
	// either moved from where it was, or stands away from its usual
	d := now - before
	if size < 0 {
		d, now = -d, -now
	}
	return d > 0.5*math.Abs(size) || now > 0.7*math.Abs(size)
}
