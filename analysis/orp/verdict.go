package orp

import (
	"math"
	"sort"

	"weirbook/analysis/finding"
	"weirbook/analysis/orp/signal"
)

// Verdict by competing hypotheses: each explanation is given its best size, and
// is charged for what every witness then still cannot explain. A witness's own
// noise and the explanation's own unsureness (a law is never exact) both soften
// the charge.

// charge is the log-likelihood of a witness's estimate a ± sd when the
// explanation says mean ± unsure. Far misses are charged no more than a witness
// can be trusted (Huber-like tail): one broken witness must not decide alone.
func charge(a, sd, mean, unsure float64) float64 { return chargeTo(a, sd, mean, unsure, 5) }

// chargeGrabs charges grabs less, and never more than so much for each: one in forty
// is a blunder, and one ten times off must weigh no more than one half off.
func (w *work) chargeGrabs(g amount, mean, unsure float64) float64 {
	tail := 5.0
	if g.n == 1 {
		tail = 2
	}
	return math.Max(chargeTo(g.size, g.sd, mean, unsure, tail), -w.s.GrabCharge*float64(g.n))
}

func chargeTo(a, sd, mean, unsure, tail float64) float64 {
	v := sd*sd + unsure*unsure
	z := math.Abs(a-mean) / math.Sqrt(v)
	q := z * z / 2
	if z > tail {
		q = tail*z - tail*tail/2
	}
	return -q - 0.5*math.Log(v/(sd*sd))
}

// weigh gives every hypothesis its best size and log-likelihood ratio against
// "all well".
func (w *work) weigh(sizes, grabs []amount) []rival {
	null := 0.0
	for _, a := range sizes {
		if a.ok {
			null += charge(a.size, a.sd, 0, 0)
		}
	}
	for _, g := range grabs {
		if g.ok {
			null += w.chargeGrabs(g, 0, 0)
		}
	}
	var out []rival
	for _, h := range w.hyps {
		best := rival{h: h, ll: math.Inf(-1)}
		value := func(th float64) float64 {
			ll := -h.penalty
			for s, a := range sizes {
				if a.ok {
					m, u := h.effect(s, th)
					ll += charge(a.size, a.sd, m, u)
				}
			}
			for k, g := range grabs {
				if g.ok {
					m, u := h.grab(w.grabs[k].free, th)
					ll += w.chargeGrabs(g, m, u)
				}
			}
			return ll
		}
		steps := 80
		lo, hi := h.lo, h.hi
		for pass := 0; pass < 4; pass++ {
			d := (hi - lo) / float64(steps)
			for i := 0; i <= steps; i++ {
				th := lo + d*float64(i)
				if math.Abs(th) < h.least {
					continue
				}
				if v := value(th); v > best.ll {
					best.ll, best.theta = v, th
				}
			}
			lo, hi = math.Max(h.lo, best.theta-2*d), math.Min(h.hi, best.theta+2*d)
			steps = 24
		}
		best.ll -= null
		out = append(out, best)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].ll > out[j].ll })
	return out
}

// temper flattens the posterior: neighbouring witnesses are not fully independent
// and the laws are not exact.
const temper = 0.5

// judge fills an episode's verdict from its form.
func (q *search) judge(e *episode) {
	e.sizes, e.grabSizes = q.measure(e.form)
	e.rivals = q.w.weigh(e.sizes, e.grabSizes)
	e.h, e.theta, e.ratio = e.rivals[0].h, e.rivals[0].theta, e.rivals[0].ll
	for _, r := range e.rivals {
		if r.h.cause == causeNothing {
			e.over = e.ratio - math.Max(r.ll, 0)
		}
	}
	e.misfit = 0
	for s, a := range e.sizes {
		if a.ok {
			m, u := e.h.effect(s, e.theta)
			e.misfit = math.Max(e.misfit, math.Abs(a.size-m)/math.Hypot(a.sd, u))
		}
	}
	e.margin = math.Inf(1)
	sum := map[finding.Party]float64{}
	all := 0.0
	for _, r := range e.rivals {
		p := math.Exp(temper * (r.ll - e.ratio))
		sum[r.h.party] += p
		all += p
		if r.h.party != e.h.party && e.ratio-r.ll < e.margin {
			e.margin = e.ratio - r.ll
		}
	}
	e.share = sum[e.h.party] / all
}

// hunt finds episodes one after the other, the strongest first, until nothing is
// left that the thresholds would call one.
func (q *search) hunt() []episode {
	var out []episode
	w := q.w
	for n := 0; n < maxEpisodes*max(1, w.Bins/(31*288)); n++ {
		c := q.sweep()
		if c.h == nil {
			break
		}
		e := episode{h: c.h}
		e.form, _ = q.refine(c.h, c.form(), sign(c.theta))
		q.judge(&e)
		if e.h != c.h {
			old := e
			if f, v := q.refine(e.h, e.form, sign(e.theta)); v > 0 {
				e.form = f
				q.judge(&e)
				if e.h != old.h || e.ratio < old.ratio {
					e = old
				}
			}
		}
		e.alarm = q.alarmFor(e.form)
		if e.h.cause == causeAnalyser {
			for _, g := range q.grabAlarms {
				if g.free == e.h.free && g.sign == sign(e.theta) && g.at > e.t0 && g.at < e.alarm {
					e.alarm = g.at
				}
			}
		}
		short := (e.t1-e.t0)*signal.BinMin < w.s.LeastMin
		if !short && e.h.cause != causeNothing && e.over >= w.s.OverBalance && e.misfit < w.s.Misfit {
			out = append(out, e)
			q.explainAway(&e)
			if e.h != c.h {
				// what was met first is explained as well
				q.blank(c.h, e.t0-1, e.t1+2)
			}
			continue
		}
		// Too short to be told, or nothing explains it: leave these bins out, so
		// that they are not met again.
		if short {
			q.blank(c.h, e.t0-1, e.t1+1)
		} else {
			q.blank(c.h, e.t0-2, e.t0+3)
			q.blank(c.h, e.t1-2, e.t1+3)
		}
		f := c.form()
		q.blank(c.h, f.t0-2, f.t0+3)
	}
	return out
}

// maxEpisodes, for each month, ends the search in a record where everything is wrong.
const maxEpisodes = 80

func sign(x float64) float64 {
	if x < 0 {
		return -1
	}
	return 1
}

// blank takes fast bins [from, to) out of the streams that h spoils.
func (q *search) blank(h *hypothesis, from, to int) {
	from, to = max(0, from), min(to, q.w.Bins)
	for s, st := range q.w.streams {
		if !h.spoils[s] {
			continue
		}
		for i := from; i < to; i++ {
			st.fast.y[i] = math.NaN()
		}
		for i := from / signal.SlowBins; i*signal.SlowBins < to && i < len(st.slow.y); i++ {
			k := 0
			for j := i * signal.SlowBins; j < (i+1)*signal.SlowBins; j++ {
				if signal.Known(st.fast.y[j]) {
					k++
				}
			}
			if k*2 < signal.SlowBins {
				st.slow.y[i] = math.NaN()
			}
		}
		st.fast.refilter(from, to)
		st.slow.refilter(from/signal.SlowBins, to/signal.SlowBins+1)
		// past the gap the filter takes a while to settle
		q.refresh(s, from, min(q.w.Bins, to+settleBins))
	}
	q.ask(from, min(q.w.Bins, to+settleBins))
}

// settleBins: half a day after a gap the filter's innovations are what they would
// have been without it.
const settleBins = 144

// alarmFor is the first bin at which what was known up to then was enough.
func (q *search) alarmFor(f form) int {
	for i := max(0, f.t0); i < min(f.t1+6, q.w.Bins); i++ {
		if q.lamFast[i] >= q.w.s.EnterFast {
			return i
		}
		if s := i / signal.SlowBins; i%signal.SlowBins == signal.SlowBins-1 && s < len(q.lamSlow) && q.lamSlow[s] >= q.w.s.EnterSlow && s*signal.SlowBins > f.t0 {
			return i
		}
	}
	return f.t1
}
