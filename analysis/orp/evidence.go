package orp

import (
	"math"
	"sort"

	"weirbook/analysis/orp/law"
	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// grabPoint is one sample against the analyser: log10(analyser / grab) less the
// usual of that.
type grabPoint struct {
	bin   int
	v     float64
	fresh bool // not yet explained away
}

// grabLine is the evidence of the grabs of one analyser.
type grabLine struct {
	free   bool
	points []grabPoint
	sd     float64
	n      int
	bias   float64
}

// gatherGrabs compares each sample with the analyser in the fifteen minutes
// around it. Samples taken while the residual moves fast are left out: minutes of
// difference in time would be read as a difference in chlorine.
func (w *work) gatherGrabs() {
	w.grabs = nil
	for _, free := range []bool{true, false} {
		v := w.Total
		if free {
			v = w.Free
		}
		if v == nil {
			continue
		}
		var l grabLine
		l.free = free
		gs := append([]Grab(nil), w.in.Grabs...)
		sort.SliceStable(gs, func(i, j int) bool { return gs[i].At < gs[j].At })
		var usual []float64
		for _, g := range gs {
			if g.Free != free || !(g.MgL > 0.05) {
				continue
			}
			b := w.in.Grid.Index(g.At)
			if b < 0 {
				continue
			}
			b /= signal.BinMin
			if b < 2 || b+2 >= w.Bins {
				continue
			}
			c := robust.Median(v[b-1 : b+2])
			if math.IsNaN(c) {
				continue
			}
			before, after := robust.Median(v[max(0, b-6):max(1, b-2)]), robust.Median(v[b+2:min(w.Bins, b+6)])
			if signal.Known(before) && signal.Known(after) && math.Abs(math.Log(math.Max(after, 0.05)/math.Max(before, 0.05))) > 0.2 {
				continue
			}
			r := math.Log10(math.Max(c, 0.02) / g.MgL)
			if r < 0 && w.atLeast(free, b) {
				continue // the analyser means at least what it shows
			}
			l.points = append(l.points, grabPoint{b, r, true})
			if !w.Hold[b] {
				usual = append(usual, r)
			}
		}
		if len(l.points) < 5 {
			continue
		}
		l.bias = signal.Clamp(centreFew(usual), -0.06, 0.06)
		l.sd = math.Max(robust.MAD(usual), w.s.GrabFloor)
		for i := range l.points {
			l.points[i].v -= l.bias
		}
		l.n = len(l.points)
		w.grabs = append(w.grabs, l)
	}
}

// centreFew is centre for a handful of values: the median.
func centreFew(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	return robust.Median(v)
}

// amplitude fits a shape to the grabs in its bins; shapeAt gives the shape's
// height at a fast bin. Single blunders are held back by Huber's weights.
func (l *grabLine) amplitude(from, to int, shapeAt func(b int) float64) (size, sd float64, n int) {
	type pt struct{ f, v float64 }
	var ps []pt
	for _, p := range l.points {
		if p.bin >= from && p.bin < to {
			if f := shapeAt(p.bin); f > 0.15 {
				ps = append(ps, pt{f, p.v})
			}
		}
	}
	if len(ps) == 0 {
		return 0, 0, 0
	}
	ratios := make([]float64, 0, len(ps))
	for _, p := range ps {
		ratios = append(ratios, p.v/p.f)
	}
	size = robust.Median(ratios)
	info := 0.0
	for it := 0; it < 4; it++ {
		num, den := 0.0, 0.0
		info = 0
		for _, p := range ps {
			u := robust.Huber.Weight((p.v - size*p.f) / (1.5 * l.sd))
			num += u * p.f * p.v
			den += u * p.f * p.f
			info += p.f * p.f
		}
		if den > 0 {
			size = num / den
		}
	}
	// the usual of the ratio is itself known only to a share of a deviation
	return size, math.Hypot(l.sd/math.Sqrt(info), 0.3*l.sd), len(ps)
}

// startBins at the beginning of a record are left out: nobody knows what came
// before them.
const startBins = 24

// gather makes every stream and the hypotheses over them.
func (w *work) gather() {
	w.streams = nil
	w.rAt = make([]int, len(w.in.Probes))
	w.phiAt, w.mAt, w.nAt, w.qAt = -1, -1, -1, -1
	w.laws = make([]law.Law, len(w.in.Probes))
	w.Regime = w.FindRegimes()
	w.Turning = w.Regime != nil || w.Turns()
	signal.Each(len(w.in.Probes), func(p int) {
		w.rAt[p] = -1
		if w.in.Probes[p].Place == Final || !signal.Enough(w.probe[p]) {
			return
		}
		pr := &w.in.Probes[p]
		w.laws[p] = w.Fit(law.Probe{MV: w.probe[p], MidBasin: pr.Place == MidBasin, VolumeFraction: pr.VolumeFraction})
	})
	var of []func() *stream
	for p := range w.in.Probes {
		if l := &w.laws[p]; l.OK {
			w.rAt[p] = len(of)
			of = append(of, func() *stream { return w.probeStream(p, l) })
		}
	}
	add := func(name string, v []float64, least float64) int {
		of = append(of, func() *stream {
			return newStream(name, law.LessUsual(v, w.hour, w.Hold), nil, least, w.Hold)
		})
		return len(of) - 1
	}
	if signal.Enough(w.Free) && signal.Enough(w.Total) && w.FreeTells() {
		v := signal.Unknown(w.Bins)
		for i := range v {
			v[i] = math.Log10(math.Max(w.Total[i], 0)+0.05) - math.Log10(math.Max(w.Free[i], 0)+0.05)
			if w.starved[i] || i < startBins || w.atLeast(true, i) || w.Regime != nil && w.Regime[i] != law.RegimeFree {
				v[i] = math.NaN()
			}
		}
		w.phiAt = add("total against free", v, 0.005)
	}
	for i := 0; i < min(startBins, len(w.demand)); i++ {
		w.demand[i] = math.NaN()
	}
	if w.demand != nil && signal.Enough(w.demand) {
		w.mAt = add("mass balance", w.demand, 0.02)
	}
	if signal.Enough(w.ParcelN) {
		v := signal.Unknown(w.Bins)
		for i := range v {
			v[i] = math.Log10(math.Max(w.ParcelN[i], 0) + 0.05)
		}
		w.nAt = add("ammonia", v, 0.01)
	}
	if q := w.flowRatio(); q != nil {
		w.qAt = add("influent flow", q, 0.01)
	}
	w.streams = make([]*stream, len(of))
	signal.Each(len(of), func(i int) { w.streams[i] = of[i]() })
	w.moves = make([]float64, len(w.in.Probes))
	for p, s := range w.rAt {
		if s >= 0 {
			w.moves[p] = usualMove(w.streams[s].whole)
		}
	}
	w.gatherGrabs()
	w.hyps = w.hypotheses()
}

// probeStream is reading less expectation, the usual day, ageing and level taken
// off, with less weight where the law is less sure.
func (w *work) probeStream(p int, l *law.Law) *stream {
	e := w.probe[p]
	raw := l.Relative()
	r := signal.Unknown(w.Bins)
	for i := range r {
		r[i] = e[i] - l.Coef[0] - raw[i]
		if w.starved[i] || i < startBins {
			r[i] = math.NaN()
		}
	}
	for i := range r {
		if w.atLeast(w.OnFree, i) && r[i] > 0 {
			r[i] = math.NaN() // there may be more chlorine than the analyser can show
		}
	}
	r = law.LessUsual(r, w.hour, w.Hold)
	old := law.Ageing(r, w.Hold, &w.s.Law)
	for i := range r {
		// Far below what was fitted the true fall is steeper than the law: a lower
		// reading says nothing there, a higher one does.
		if l.X[i] < l.XLo-0.15 && r[i] < 0 && (w.Regime == nil || w.Regime[i] == law.RegimeFree) {
			r[i] = 0
		}
	}
	for i := range r {
		r[i] -= 0.7 * old[i]
	}
	l.ScatterMV = math.Max(robust.MAD(signal.Masked(r, signal.Not(w.Hold))), 1)
	k := make([]float64, w.Bins)
	l.Doubt = make([]float64, w.Bins)
	b := math.Abs(l.Coef[1])
	for i := range k {
		l.Doubt[i] = l.DoubtAt(i, b)
		k[i] = l.ScatterMV * l.ScatterMV / (l.ScatterMV*l.ScatterMV + l.Doubt[i]*l.Doubt[i])
	}
	l.Age = old
	return newStream("expected ORP of "+w.in.Probes[p].Tag, r, k, 0.7, w.Hold)
}
