package orp

import (
	"math"

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
				i = top // the probes see the chlorine that the analyser does not
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
	from += 2
	for p, s := range w.rAt {
		if s < 0 || from >= to {
			continue
		}
		y := w.streams[s].whole
		m := robust.Median(y[from:to]) - robust.Median(y[max(0, from-6*hourBins):max(1, from-hourBins)])
		expect := math.Abs(w.laws[p].Coef[1] * math.Log10(math.Max(ratio, 0.02)))
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
	for k, g := range e.ep.grabSizes {
		if g.ok && w.grabs[k].free == (w.Total == nil) && math.Abs(g.size) < 0.5*math.Abs(math.Log10(math.Max(ratio, 0.01))) {
			return // a grab found no more than the analyser did
		}
	}
	if ratio < 0.8 && w.analyserAlone(t0, t1, 1, ratio) {
		e.kind, e.subject, e.size = sampleLost, w.in.Total.Tag, math.Log10(math.Max(ratio, 0.01))
		if w.Total == nil {
			e.subject = w.in.Free.Tag
		}
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
