package orp

import (
	"math"

	"weirbook/analysis/finding"
	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// A residual next to nothing beside plain signs of chlorine needs no law: water without
// chlorine does not hold its ORP, total chlorine is not less than free, and what passes
// dechlorination was there before it.

// impossible finds where the residual analyser shows next to nothing and another
// instrument cannot be right if it is.
func (w *work) impossible() []event {
	c := w.residual()
	if c == nil {
		return nil
	}
	raw, free := &w.in.Total, w.Free
	if w.Total == nil {
		raw, free = &w.in.Free, nil
	}
	usual := robust.Median(c)
	// the raw readings: a residual gone to nothing is still, and was left out
	v := signal.BinnedValues(raw.V)
	low := func(b int) bool { return v[b] < w.s.NothingShare*usual }
	var out []event
	for i := 0; i < w.Bins; i++ {
		if !low(i) {
			continue
		}
		last := i
		for j := i; j < w.Bins && j-last <= hourBins; j++ {
			if low(j) {
				last = j
			}
		}
		from := i
		for from > 0 && i-from < 2*hourBins && v[from-1] < 0.6*usual {
			from--
		}
		t := signal.Between(from, last+1)
		i = last
		if (last+1-from)*signal.BinMin < w.s.NothingMin {
			continue
		}
		least := 1
		if w.Total == nil {
			least = 2 // ammonia takes all free chlorine and leaves ORP some of its height
		}
		if n := w.signsOfChlorine(t, v, free, usual); n >= least {
			out = append(out, event{Span: signal.Between(from*signal.BinMin, (last+1)*signal.BinMin), alarm: from*signal.BinMin + w.s.NothingMin, kind: impossibleResidual,
				subject: raw.Tag, ratio: 1000 + 50*float64(n), share: 0.99, size: math.Log10(math.Max(robust.Median(v[from:last+1]), 0.01*usual) / usual)})
		}
	}
	return out
}

// signsOfChlorine counts the instruments that show chlorine in bins t of which the
// residual v shows next to nothing.
func (w *work) signsOfChlorine(t signal.Span, v, free []float64, usual float64) (n int) {
	middle := func(x []float64, a, b int) float64 {
		if len(x) == 0 {
			return math.NaN()
		}
		return robust.Median(x[max(0, a):max(1, min(b, len(x)))])
	}
	in := middle(v, t.From, t.To)
	fall := w.Law.PriorSlope * math.Log10((usual+w.Law.FloorMgL)/(math.Max(in, 0)+w.Law.FloorMgL))
	for p := range w.in.Probes {
		if w.in.Probes[p].Place == Final || w.probe[p] == nil {
			continue
		}
		was := middle(w.probe[p], t.From-6*hourBins, t.From-hourBins)
		is := robust.Quantile(w.probe[p][t.From:t.To], 0.25)
		if fall > w.s.NothingMV && is-was > -0.35*fall && is > robust.Quantile(w.probe[p], 0.1)-0.2*fall {
			n++
		}
	}
	if f := middle(free, t.From, t.To); f > in+0.3*usual && f > 0.3*w.UsualFree {
		n++
	}
	if w.last != nil {
		if f := middle(w.last, t.From, t.To); f > in+w.s.FinalMgL && f > 0.2*usual {
			n++
		}
	}
	return n
}

// overDose finds where the residual stands above the dose that its water got: less than
// nothing cannot be taken up, so the analyser reads high (or the flow, or the feed's
// strength, is wrong).
func (w *work) overDose() []event {
	c := w.residual()
	if c == nil || w.ParcelDose == nil || !signal.Enough(w.ParcelDose) || w.Turning {
		return nil
	}
	y := signal.Unknown(w.Bins)
	for i := range y {
		if !w.starved[i] {
			y[i] = c[i] - w.ParcelDose[i]
		}
	}
	y = robust.TrailingMedian(y, 2*hourBins, hourBins)
	usual := robust.Median(c)
	limit := math.Max(w.s.OverDose*w.usualDose, ofDays(y).Over(w.s.ContrastScales))
	var out []event
	for i := 0; i < w.Bins; i++ {
		if !(y[i] > limit) {
			continue
		}
		last := i
		for j := i; j < w.Bins && j-last <= 2*hourBins; j++ {
			if y[j] > 0.5*limit {
				last = j
			}
		}
		from := max(0, i-hourBins)
		in := robust.Median(c[from : last+1])
		before := robust.Median(c[max(0, from-6*hourBins):max(1, from-hourBins)])
		// where the probes rose with it there was more feed than its signal says
		if (last-from)*signal.BinMin >= w.s.NothingMin && in > 1.1*usual && w.analyserAlone(from, last+1, -1, in/before) {
			out = append(out, event{Span: signal.Between(from*signal.BinMin, (last+1)*signal.BinMin), alarm: (i + 1) * signal.BinMin, kind: overDosed,
				subject: w.residualTag(), ratio: 60, share: 0.95, size: robust.Median(y[i : last+1])})
		}
		i = last
	}
	return out
}

// aftermath says that a sudden change of demand is only the way back from another
// event: the control that followed it has to come back too.
func aftermath(e *event, all []event) bool {
	if e.ep != nil || e.kind != demandRise && e.kind != feedSurplus {
		return false
	}
	for i := range all {
		o := &all[i]
		if o == e || o.kind == e.kind || o.party() == finding.ORPProbe || o.Len() < 60 || o.ratio < e.ratio && o.ep == nil && o.party() == finding.Process {
			continue
		}
		if e.From > o.From+60 && e.From > o.To-90 && e.From < o.To+180 {
			return true
		}
	}
	return false
}

// ordinary leaves out what a plant does every week: of a kind told of one subject more
// than once in OftenDays, only what lasts far longer than the others is an event.
func (w *work) ordinary(events []event) []event {
	type who struct{ kind, subject string }
	long := map[who][]float64{}
	for _, e := range events {
		if e.party() == finding.Process || e.party() == finding.Undecided {
			k := who{e.kind.name, e.subject}
			long[k] = append(long[k], float64(e.Len()))
		}
	}
	allowed := max(w.s.OftenLeast, w.in.Grid.N/(24*60*w.s.OftenDays))
	var out []event
	for _, e := range events {
		if l := long[who{e.kind.name, e.subject}]; len(l) > allowed && float64(e.Len()) < w.s.OrdinaryTimes*robust.Median(l) {
			continue
		}
		out = append(out, e)
	}
	return out
}
