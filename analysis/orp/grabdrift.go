package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// Grabs by themselves, for what is too slow for anything else. No single grab may
// accuse, and a grab ten times off weighs no more than one a little off: one in forty
// is a blunder. The scatter comes from successive differences, which a drift does not
// widen.

// grabDrifts finds stretches in which an analyser and its grabs part: by a CUSUM with
// bounded steps (Page 1954), and by five days that agree.
func (w *work) grabDrifts() []event {
	var out []event
	for _, l := range w.grabs {
		g := make([]float64, len(l.points)) // natural logarithms
		var diffs []float64
		for i, p := range l.points {
			g[i] = p.v * math.Ln10
			if i > 0 {
				diffs = append(diffs, math.Abs(g[i]-g[i-1]))
			}
		}
		if len(g) < 8 || l.free && w.Regime != nil {
			continue
		}
		s := math.Max(w.s.GrabScatter, robust.MADScale*robust.Median(diffs)/math.Sqrt2)
		for _, sg := range [...]float64{-1, 1} {
			out = append(out, w.grabRuns(l, g, s, sg)...)
		}
	}
	return out
}

// grabRuns lists the stretches in which the grabs of one line part to one side.
func (w *work) grabRuns(l grabLine, g []float64, s, sg float64) []event {
	subject := w.in.Total.Tag
	if l.free {
		subject = w.in.Free.Tag
	}
	k := math.Max(w.s.GrabAllow, s)
	sum, since, done := 0.0, 0, 0 // done: the grabs before it have been told
	var out []event
	for i := 0; i < len(g); i++ {
		if sum <= 0 {
			sum, since = 0, i
		}
		sum += math.Min(sg*g[i]-k, k+w.s.GrabStep*s)
		first := since
		if sum <= w.s.GrabSum*s {
			if first = fiveDays(l.points, g, s, sg, done, i); first < 0 {
				continue
			}
		}
		// to the last two grabs in a row above half of it
		size := robust.Median(g[first : i+1])
		last := i
		for j := i + 1; j < len(g); j++ {
			if sg*g[j] > 0.5*sg*size && sg*g[j-1] > 0.5*sg*size {
				last = j
			}
			if j-last > 3 {
				break
			}
		}
		from, to := l.points[first].bin, l.points[last].bin+1
		if first > 0 {
			from = max(l.points[first-1].bin, from-12*hourBins)
		}
		rest := robust.Median(append(append([]float64(nil), g[:first]...), g[last+1:]...))
		if sg*size > 0.1 && last-first >= 3 && to-from <= 10*binsADay && math.Abs(rest) < 0.35*math.Abs(size) {
			// the two days about the alarm: beyond them grabs alone do not keep it up
			half := w.s.ConfirmH * hourBins / 2
			from, to = max(from, l.points[i].bin-half), min(max(to, l.points[i].bin+1), l.points[i].bin+half)
			out = append(out, event{Span: signal.Between(from*signal.BinMin, to*signal.BinMin), alarm: l.points[i].bin * signal.BinMin, kind: grabDrift,
				subject: subject, ratio: 25, share: 0.9, size: robust.Median(g[first:last+1]) / math.Ln10})
		}
		i, sum, done = last, 0, last+1
	}
	return out
}

// fiveDays looks back five days from grab i: at least four grabs over two and a half
// days, four in five of them beyond a quarter of their median, the median clear of its
// own error. It gives the first of them; -1 where they do not agree.
func fiveDays(points []grabPoint, g []float64, s, sg float64, done, i int) int {
	first := i
	for first > done && points[i].bin-points[first-1].bin <= 5*binsADay {
		first--
	}
	n := i - first + 1
	if n < 4 || points[i].bin-points[first].bin < 5*binsADay/2 {
		return -1
	}
	m := sg * robust.Median(g[first:i+1])
	beyond := 0
	for _, v := range g[first : i+1] {
		if sg*v > 0.25*m {
			beyond++
		}
	}
	z := m / math.Hypot(0.012, 1.25*s/math.Sqrt(float64(n)))
	if m < 0.1 || z < 6 || beyond*5 < 4*n {
		return -1
	}
	return first
}
