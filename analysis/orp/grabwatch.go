package orp

import (
	"weirbook/analysis/robust"

	"weirbook/analysis/orp/signal"
)

// grabAlarm is a crossing of the CUSUM of an analyser's single grab ratios.
type grabAlarm struct {
	free      bool
	sign      float64
	since, at int // fast bins: of the grab at which the sum began to rise, of the crossing
}

// watchGrabs runs a one-sided CUSUM each way over the grabs of each analyser: what
// someone who keeps the chart by hand would have been told, grab by grab.
func (q *search) watchGrabs() {
	s := q.w.s
	for _, l := range q.w.grabs {
		for _, sg := range [...]float64{-1, 1} {
			c := robust.CUSUM{K: s.GrabK, H: s.GrabH}
			above := false
			for _, p := range l.points {
				now := c.Step(signal.Clamp(sg*p.v/l.sd, -4, 4))
				if now && !above {
					q.grabAlarms = append(q.grabAlarms, grabAlarm{l.free, sg, l.points[c.Since].bin, p.bin})
				}
				above = now
			}
		}
	}
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
		m := q.w.Bins + 1
		g.n, g.v, g.nt, g.vt, g.ntt = make([]float64, m), make([]float64, m), make([]float64, m), make([]float64, m), make([]float64, m)
		for _, p := range l.points {
			v := signal.Clamp(p.v, -4.5*l.sd, 4.5*l.sd)
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
