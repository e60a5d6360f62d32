package orp

import (
	"math"

	"weirbook/analysis/finding"
	"weirbook/analysis/orp/health"
	"weirbook/analysis/orp/law"
	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// event is one occurrence before it is put into words. Times are minutes.
type event struct {
	signal.Span
	alarm   int
	kind    *kind
	subject string
	ratio   float64 // likelihood ratio, or a like measure of how plain it is
	share   float64 // posterior share of the party
	size    float64 // in the unit of the kind
	ep      *episode
	extra   []string // further evidence, from what was merged in
	hits    int

	suspicion bool // on slow evidence that nothing has confirmed
}

// party is who is at fault.
func (e *event) party() finding.Party { return e.kind.party }

// lostFeeds finds where the chlorine feed stops by its own tag.
func (w *work) lostFeeds() []event {
	if !signal.Enough(w.feed) {
		return nil
	}
	return w.stopped(w.feed, &w.in.Feed, feedLost)
}

func (w *work) stopped(v []float64, c *Column, k *kind) []event {
	usual := robust.Median(v)
	if !(usual > 0) {
		return nil
	}
	var out []event
	n := len(c.V)
	low := func(i int) bool { return signal.Known(c.V[i]) && c.V[i] < w.s.FeedShare*usual }
	for i := 0; i < n; i++ {
		if !low(i) {
			continue
		}
		last := i
		for j := i; j < n && j-last <= 15; j++ {
			if low(j) {
				last = j
			}
		}
		if last+1-i >= w.s.FeedMin {
			out = append(out, event{Span: signal.Between(i, last+1), alarm: i + w.s.FeedMin, kind: k,
				subject: c.Tag, ratio: 100, share: 0.97, size: usual})
		}
		i = last
	}
	if len(out) > 60 {
		return nil // a feed that stops every day by design tells nothing
	}
	return out
}

// storms finds stretches with a flow well above the usual of the hour.
func (w *work) storms() []event {
	v, c := w.influent, &w.in.InfluentFlow
	if !signal.Enough(v) {
		v, c = w.flow, &w.in.Flow
	}
	if !signal.Enough(v) {
		return nil
	}
	// above the largest usual of the hours around: mornings come earlier and later
	mid := robust.Median(v)
	u := law.UsualDay(v, w.hour, nil)
	y := make([]float64, len(v))
	for i := range y {
		h := w.hour[i]
		y[i] = (v[i]-mid-math.Max(u.At(h), math.Max(u.At(math.Mod(h+22.5, 24)), u.At(math.Mod(h+1.5, 24)))))/mid + 1
	}
	y = robust.TrailingMedian(y, 9, 4)
	enter := math.Max(w.s.StormRatio, ofDays(y).Over(w.s.StormScales))
	leave := 1.1
	var out []event
	for i := 0; i < len(y); i++ {
		if !(y[i] > enter) {
			continue
		}
		from := i
		for from > 0 && y[from-1] > leave {
			from--
		}
		last, top := i, y[i]
		for j := i; j < len(y) && j-last <= 24; j++ {
			if y[j] > leave {
				last = j
				top = math.Max(top, y[j])
			}
		}
		over := 0
		for j := from; j <= last; j++ {
			if y[j] > leave {
				over++
			}
		}
		if over*signal.BinMin >= w.s.StormMin && (i-from)*signal.BinMin <= w.s.StormRiseMin {
			out = append(out, event{Span: signal.Between(max(0, from-3)*signal.BinMin, (last+1)*signal.BinMin), alarm: i * signal.BinMin, kind: storm,
				subject: c.Tag, ratio: 50, share: 0.95, size: top})
		}
		i = last
	}
	return out
}

// dechlorination finds sulfite lost or in surplus.
func (w *work) dechlorination() []event {
	var out []event
	if signal.Enough(w.bisulfite) {
		c := w.residual()
		for _, e := range w.stopped(w.bisulfite, &w.in.Bisulfite, bisulfiteLost) {
			if c == nil || !(robust.Median(c[e.From/signal.BinMin:min(w.Bins, e.To/signal.BinMin+1)]) < w.s.NothingShare*robust.Median(c)) {
				out = append(out, e) // else there was nothing to take out
			}
		}
		if signal.Enough(w.flow) && c != nil {
			y := signal.Unknown(w.Bins)
			floor := 0.5 * robust.Median(c)
			for i := range y {
				if m := w.flow[i] * math.Max(c[i], floor); m > 0 && w.bisulfite[i] > 0 {
					y[i] = math.Log(w.bisulfite[i] / m)
				}
			}
			z := signal.Unknown(w.Bins)
			for i := range z {
				if w.flow[i] > 0 && w.bisulfite[i] > 0 {
					z[i] = math.Log(w.bisulfite[i] / w.flow[i])
				}
			}
			out = append(out, w.surplus(law.LessUsual(y, w.hour, nil), law.LessUsual(z, w.hour, nil))...)
		}
	}
	if signal.Enough(w.last) {
		out = append(out, w.chlorineOut(out)...)
	}
	return out
}

// surplus: sulfite above its usual for the chlorine that is there (y), and for the
// flow alone (z): either by itself may move with the plant's control.
func (w *work) surplus(y, z []float64) []event {
	enter := math.Max(math.Max(math.Log(1.45), 6*robust.MAD(y)), ofDays(y).Over(w.s.OutfallScales))
	also := math.Max(math.Log(1.3), 3*robust.MAD(z))
	for i := range y {
		if !(z[i] > also) {
			y[i] = 0
		}
	}
	var out []event
	for i := 0; i < len(y); i++ {
		if !(y[i] > enter) {
			continue
		}
		last := i
		for j := i; j < len(y) && j-last <= 6; j++ {
			if y[j] > 0.7*enter {
				last = j
			}
		}
		if (last+1-i)*signal.BinMin >= w.s.SurplusMin {
			out = append(out, event{Span: signal.Between(i*signal.BinMin, (last+1)*signal.BinMin), alarm: i*signal.BinMin + w.s.SurplusMin, kind: bisulfiteSurplus,
				subject: w.in.Bisulfite.Tag, ratio: 40, share: 0.9, size: math.Exp(robust.Median(y[i : last+1]))})
		}
		i = last
	}
	return out
}

// chlorineOut finds chlorine after dechlorination that no lost sulfite feed
// explains yet, and asks the ORP there whether it is real.
func (w *work) chlorineOut(have []event) []event {
	usual := robust.Median(w.last)
	limit := math.Max(math.Max(w.s.FinalMgL, usual+8*robust.MAD(w.last)), ofDays(w.last).Over(w.s.OutfallScales))
	var orp []float64
	for p := range w.in.Probes {
		if w.in.Probes[p].Place == Final && signal.Enough(w.probe[p]) {
			orp = law.LessUsual(w.probe[p], w.hour, nil)
		}
	}
	scatter := robust.MAD(orp)
	var out []event
	for i := 0; i < len(w.last); i++ {
		if !(w.last[i] > limit) {
			continue
		}
		last := i
		for j := i; j < len(w.last) && j-last <= 6; j++ {
			if w.last[j] > limit {
				last = j
			}
		}
		e := event{Span: signal.Between(i*signal.BinMin, (last+1)*signal.BinMin), alarm: (i + 2) * signal.BinMin, kind: outfallChlorine,
			subject: w.in.Final.Tag, ratio: 30, share: 0.8, size: robust.Quantile(w.last[i:last+1], 0.9)}
		i = last
		if e.Len() < w.s.OutfallMin {
			continue
		}
		if orp != nil {
			rise := robust.Median(orp[e.From/signal.BinMin : e.To/signal.BinMin])
			if signal.Known(rise) && rise < 2*scatter && e.Len() > 30 {
				e.kind, e.share = outfallAnalyser, 0.6
				if e.Len() < w.s.ServiceMax {
					continue // its own calibration
				}
			}
		}
		// while the residual analyser is serviced the sulfite has nothing to go by
		served := false
		for _, col := range []int{cFree, cTotal} {
			for _, t := range w.trouble[col] {
				if t.Kind == health.Service && t.Overlap(signal.Between(e.From-15, e.To)) > 0 && e.Len() < 60 {
					served = true
				}
			}
		}
		if served {
			continue
		}
		dup := false
		for _, h := range have {
			if h.Overlap(signal.Between(e.From-60, e.To+60)) > 0 {
				dup = true
			}
		}
		switch {
		case dup || w.overloaded(e.Span):
		case e.kind == outfallChlorine && e.Len() > w.s.ServiceMax && w.fellWith(e.Span):
			out = append(out, w.asUnseen(e))
		default:
			out = append(out, e)
		}
	}
	return out
}

// overloaded says that more chlorine than usual came to dechlorination in a span: the
// cause lies before it.
func (w *work) overloaded(t signal.Span) bool {
	c := w.residual()
	if c == nil {
		return false
	}
	from := max(0, (t.From-45)/signal.BinMin)
	return robust.Median(c[from:min(w.Bins, t.To/signal.BinMin+1)]) > w.s.OutfallOverload*robust.Median(c)
}

// fellWith says that the residual before dechlorination had fallen as chlorine came
// through it in a span, and that the sulfite was enough for what it showed.
func (w *work) fellWith(t signal.Span) bool {
	c := w.residual()
	from, to := t.From/signal.BinMin, min(w.Bins, t.To/signal.BinMin+1)
	return c != nil && w.cameThrough(from, to) &&
		robust.Median(c[from:to]) < (1-w.s.ContrastResidual)*robust.Median(c[max(0, from-7*hourBins):max(1, from-hourBins)])
}

// asUnseen tells of the analyser what was told of the outfall.
func (w *work) asUnseen(e event) event {
	c := w.residual()
	from, to := e.From/signal.BinMin, min(w.Bins, e.To/signal.BinMin+1)
	was := robust.Median(c[max(0, from-7*hourBins):max(1, from-hourBins)])
	e.kind, e.subject, e.share, e.ratio = unseenChlorine, w.residualTag(), 0.95, 45
	e.size = math.Log10(math.Max(robust.Median(c[from:to])/was, 0.01))
	return e
}
