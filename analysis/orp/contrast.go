package orp

import (
	"math"

	"weirbook/analysis/finding"
	"weirbook/analysis/orp/law"
	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// Demand wanders by as much over days as a fault moves it in an hour. So a sudden change
// is held against the hours just before it: the mean of the next two hours less the mean
// of the four that ended an hour before, against the largest such contrasts that the
// plant's own days bring.

const binsADay = 24 * 60 / signal.BinMin

// ofDays is the law of a column's daily maxima.
func ofDays(v []float64) signal.Gumbel { return signal.GumbelOf(signal.DailyMaxima(v, binsADay)) }

// running gives the mean of bins [i+from, i+to) at each bin i; NaN where fewer than half
// are known.
func running(v []float64, from, to int) []float64 {
	sum, n := make([]float64, len(v)+1), make([]int, len(v)+1)
	for i, x := range v {
		sum[i+1], n[i+1] = sum[i], n[i]
		if signal.Known(x) {
			sum[i+1] += x
			n[i+1]++
		}
	}
	out := signal.Unknown(len(v))
	for i := range v {
		a, b := max(0, i+from), min(len(v), i+to)
		if a < b && (n[b]-n[a])*2 >= to-from {
			out[i] = (sum[b] - sum[a]) / float64(n[b]-n[a])
		}
	}
	return out
}

const hourBins = 60 / signal.BinMin

// contrasts finds sudden changes of demand, either way, in which the residual went
// along and the ORP probes agree with the residual.
func (w *work) contrasts() []event {
	c := w.residual()
	if w.demand == nil || !signal.Enough(w.demand) || c == nil {
		return nil
	}
	demand := lessDay(w.demand, w.hour)
	now, before := running(demand, 0, 2*hourBins), running(demand, -5*hourBins, -hourBins)
	day := running(demand, -binsADay, -hourBins) // and with it the level of the day before
	week := robust.CentredMedian(demand, 7*binsADay, binsADay)
	level, was := running(c, 0, 2*hourBins), running(c, -5*hourBins, -hourBins)
	usual := robust.Median(c)
	var out []event
	for _, sg := range [...]float64{1, -1} {
		x := signal.Unknown(w.Bins)
		for i := range x {
			x[i] = sg * (now[i] - before[i])
		}
		least := math.Max(math.Min(w.s.ContrastMgL, 0.4*usual+0.05), ofDays(x).Over(w.s.ContrastScales))
		for i := 0; i < w.Bins; i++ {
			moved := sg * (was[i] - level[i]) / math.Max(was[i], 0.5*usual)
			if !(x[i] > least) || !(moved > w.s.ContrastResidual) {
				continue
			}
			// the steepest place of the crossing is the onset
			top := i
			for j := i; j < min(w.Bins, i+2*hourBins) && x[j] > least; j++ {
				if x[j] > x[top] {
					top = j
				}
			}
			if d := sg * (now[top] - day[top]); signal.Known(d) && d < 0.6*x[top] || sg*(now[top]-week[top]) < 0.35*x[top] {
				i = top // it comes back from somewhere
				continue
			}
			to, stood := w.contrastEnd(demand, c, top, before[top], was[top], sg, x[top])
			if !stood {
				i = top // the level before was the odd one
				continue
			}
			if w.analyserAlone(top, to, sg, level[top]/was[top]) {
				if sg > 0 && to-top >= 6 {
					out = append(out, event{Span: signal.Between(top*signal.BinMin, to*signal.BinMin), alarm: (i + hourBins) * signal.BinMin, kind: unseenChlorine,
						subject: w.residualTag(), ratio: 25, share: w.contrastShare(x[top] / least), size: math.Log10(math.Max(level[top]/was[top], 0.01))})
				}
				i = top // others see the chlorine that the analyser does not
				continue
			}
			if to-top >= 6 {
				k := demandRise
				if sg < 0 {
					k = feedSurplus
				}
				from := top
				out = append(out, event{Span: signal.Between(from*signal.BinMin, to*signal.BinMin), alarm: (i + hourBins) * signal.BinMin, kind: k,
					subject: "chlorine demand or feed", ratio: 20 + 20*(x[top]/least-1), share: w.contrastShare(x[top] / least), size: x[top]})
			}
			i = max(to, top)
		}
	}
	return out
}

// contrastShare is how sure a contrast of so many times its threshold is.
func (w *work) contrastShare(over float64) float64 {
	if over > w.s.ContrastSure {
		return 0.95
	}
	return 0.85
}

// contrastEnd is where a change has gone again: demand back under 45 % of the step, or
// the residual back, or ten hours.
func (w *work) contrastEnd(demand, c []float64, top int, before, was, sg, step float64) (to int, stood bool) {
	hold := w.s.DemandMaxH * hourBins
	if sg < 0 {
		hold = w.s.SurplusMaxH * hourBins
	}
	d, r := robust.TrailingMedian(demand[top:min(top+hold, w.Bins)], 7, 3), robust.TrailingMedian(c[top:min(top+hold, w.Bins)], 7, 3)
	full := false
	for k := range d {
		gone := sg * (d[k] - before)
		full = full || gone > 0.6*step
		if k > hourBins && full && (gone < 0.45*step || sg*(was-r[k]) < 0.03*was && gone < 0.7*step) {
			return top + k - 3, true
		}
	}
	return top + min(len(d), 6*hourBins), full && len(d) < hold // nothing tells when it ended: a new usual
}

// analyserAlone says that the probes stayed where the residual is said to have gone to
// ratio of what it was: they then stand off their model by what that ratio is worth.
func (w *work) analyserAlone(from, to int, sg, ratio float64) bool {
	fell := math.Log10(math.Max(ratio, 0.02))
	switch g := w.grabsIn(from, to); {
	case signal.Known(g) && math.Abs(g) < 0.4*math.Abs(fell):
		return false // a grab finds what the analyser does
	case signal.Known(g) && math.Abs(g-fell) < 0.4*math.Abs(fell):
		return true
	}
	if sg > 0 && w.cameThrough(from, to) {
		return true
	}
	from += 2
	for p, s := range w.rAt {
		if s < 0 || from >= to {
			continue
		}
		y := w.streams[s].whole
		m := robust.Median(y[from:to]) - robust.Median(y[max(0, from-6*hourBins):max(1, from-hourBins)])
		expect := math.Abs(w.laws[p].Coef[1] * fell)
		if sg*m > math.Max(w.s.ContrastWander*w.moves[p], 0.5*expect) || sg*m > w.s.ContrastMV {
			return true
		}
	}
	return false
}

// usualMove is the scatter of a column's means of two hours less those of five hours
// that ended an hour before.
func usualMove(v []float64) float64 {
	now, before := running(v, 0, 2*hourBins), running(v, -6*hourBins, -hourBins)
	for i := range now {
		now[i] -= before[i]
	}
	return robust.MAD(now)
}

// doubtful gives to the water what is told of an analyser in doubt, unless the probes or
// a grab say that the chlorine stayed where it was.
func (w *work) doubtful(e *event) {
	c := w.residual()
	if e.ep == nil || e.ep.h.cause != causeAnalyser || e.party() != finding.ResidualAnalyser || e.share >= w.s.ProbeShare || e.subject != w.residualTag() || w.mAt < 0 {
		return
	}
	t0, t1 := e.ep.t0, e.ep.t1
	ratio := robust.Median(c[t0:t1]) / robust.Median(c[max(0, t0-6*hourBins):max(1, t0-6)])
	if w.analyserAlone(t0, t1, -sign(e.size), ratio) {
		return
	}
	moved := robust.Median(w.streams[w.mAt].whole[t0:t1])
	if !(math.Abs(moved) > 0.5*math.Max(w.s.DemandRise, w.s.DemandShare*w.usualDose)) {
		e.kind = nil // as well nothing
		return
	}
	e.kind, e.subject, e.share, e.size = demandRise, "chlorine demand or feed", 0.85, moved
	if e.size < 0 {
		e.kind = feedSurplus
	}
}

// grabsIn is the middle log ratio of the residual analyser over the grabs in bins
// [from, to); NaN without one.
func (w *work) grabsIn(from, to int) float64 {
	var v []float64
	for _, l := range w.grabs {
		if l.free == (w.Total == nil) {
			for _, p := range l.points {
				if p.bin >= from && p.bin < to {
					v = append(v, p.v)
				}
			}
		}
	}
	return robust.Median(v)
}

// cameThrough says that chlorine came through dechlorination in bins [from, to) though
// the sulfite was at its usual for what the analyser showed: there was more.
func (w *work) cameThrough(from, to int) bool {
	c := w.residual()
	if !signal.Enough(w.last) || !signal.Enough(w.bisulfite) || !signal.Enough(w.flow) {
		return false
	}
	level := robust.Median(w.last)
	if !(robust.Median(w.last[from:to]) > math.Max(w.s.FinalMgL, level+8*robust.MAD(w.last))) {
		return false
	}
	fed := signal.Unknown(w.Bins)
	for i := range fed {
		if m := w.flow[i] * c[i]; m > 0 && w.bisulfite[i] > 0 {
			fed[i] = math.Log(w.bisulfite[i] / m)
		}
	}
	return robust.Median(fed[from:to]) > robust.Median(fed)-w.s.SulfiteShort
}

// residualTag is the analyser that the mass balance goes by.
func (w *work) residualTag() string {
	if w.Total == nil {
		return w.in.Free.Tag
	}
	return w.in.Total.Tag
}

// noSample reconsiders a demand that the probes do not see: a trim that follows an
// analyser without sample raises the dose, and the balance rises with it.
func (w *work) noSample(e *event) {
	c := w.residual()
	if e.ep == nil || e.ep.h.cause != causeDemand || c == nil || e.size < 0 {
		return
	}
	t0, t1 := e.ep.t0, e.ep.t1
	was := robust.Median(c[max(0, t0-6*hourBins):max(1, t0-6)])
	ratio := robust.Median(c[t0:t1]) / was
	if ratio < 0.8 && w.analyserAlone(t0, t1, 1, ratio) {
		e.kind, e.subject, e.size = sampleLost, w.residualTag(), math.Log10(math.Max(ratio, 0.01))
	}
}

// lessDay takes the usual day off.
func lessDay(y, hour []float64) []float64 {
	u := law.UsualDay(y, hour, nil)
	out := make([]float64, len(y))
	for i, v := range y {
		out[i] = v - u.At(hour[i])
	}
	return out
}
