package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// Ammonia told by what needs no law: free chlorine that turns into combined chlorine
// while the total stands, and an ammonia analyser by its own days.

// breakthroughs finds both.
func (w *work) breakthroughs() []event {
	return append(w.combined(), w.ammoniaRise()...)
}

// combined: free over total falls under half its usual, the total stands, and a probe
// falls by more than the total explains.
func (w *work) combined() []event {
	if w.Regime != nil || !signal.Enough(w.Free) || !signal.Enough(w.Total) {
		return nil
	}
	ratio := signal.Unknown(w.Bins)
	for i := range ratio {
		if w.Total[i] > 0.25*w.UsualTotal && !w.atLeast(false, i) && !w.atLeast(true, i) {
			ratio[i] = w.Free[i] / w.Total[i]
		}
	}
	usual := robust.Median(ratio)
	if !(usual > 0.5) {
		return nil
	}
	var out []event
	for i := 0; i < w.Bins; i++ {
		if !(ratio[i] < 0.5*usual) {
			continue
		}
		last, n := i, 0
		for j := i; j < w.Bins && j-last <= 2*hourBins; j++ {
			if ratio[j] < 0.6*usual {
				last = j
				n++
			}
		}
		if t := signal.Between(i, last+1); n*signal.BinMin >= w.s.CombinedMin && w.fellBeyondTotal(t) > w.s.CombinedMV {
			out = append(out, event{Span: signal.Between(t.From*signal.BinMin, t.To*signal.BinMin), alarm: i*signal.BinMin + w.s.CombinedMin,
				kind: combinedChlorine, subject: "chlorine chemistry", ratio: 150, share: 0.97, size: robust.Median(ratio[t.From:t.To]) / usual})
		}
		i = last
	}
	return out
}

// fellBeyondTotal is by how many mV the probe that fell most fell below what the change
// of the total explains, against the day before.
func (w *work) fellBeyondTotal(t signal.Span) float64 {
	most := 0.0
	for p := range w.in.Probes {
		if w.in.Probes[p].Place == Final || !signal.Enough(w.probe[p]) {
			continue
		}
		middle := func(v []float64, a, b int) float64 { return robust.Median(v[max(0, a):max(1, b)]) }
		e := middle(w.probe[p], t.From-binsADay, t.From-hourBins) - middle(w.probe[p], t.From, t.To)
		was, is := middle(w.Total, t.From-binsADay, t.From-hourBins), middle(w.Total, t.From, t.To)
		if d := e - w.Law.PriorSlope*math.Log10((was+w.Law.FloorMgL)/(is+w.Law.FloorMgL)); d > most {
			most = d
		}
	}
	return most
}

// ammoniaRise: an ammonia analyser far above the largest values of its own days.
func (w *work) ammoniaRise() []event {
	if !signal.Enough(w.ammonia) {
		return nil
	}
	g := ofDays(w.ammonia)
	limit := math.Max(w.s.AmmoniaMgL, math.Max(g.Over(w.s.AmmoniaScales), 1.6*g.Mode))
	var out []event
	for i := 0; i < w.Bins; i++ {
		if !(w.ammonia[i] > limit) {
			continue
		}
		last, n, top := i, 0, 0.0
		for j := i; j < w.Bins && j-last <= 2*hourBins; j++ {
			if w.ammonia[j] > 0.8*limit {
				last = j
				n++
				top = math.Max(top, w.ammonia[j])
			}
		}
		if n*signal.BinMin >= w.s.AmmoniaMin {
			out = append(out, event{Span: signal.Between(i*signal.BinMin, (last+1)*signal.BinMin), alarm: i*signal.BinMin + w.s.AmmoniaMin,
				kind: ammoniaHigh, subject: w.in.Ammonia.Tag, ratio: 120, share: 0.95, size: top})
		}
		i = last
	}
	return out
}

// water reconsiders a fall that is told of a probe: where the only probe fell, or all
// fell together, and the demand moved at its onset, it is the water. (Through the
// breakpoint demand rises and then falls: either way counts.)
func (w *work) water(e *event) {
	if e.ep == nil || e.ep.h.cause != causeProbe || e.size > -w.s.CommonMV || e.size < -w.s.ChemistryMV || e.Len() > w.s.DemandMaxH*60 || w.demand == nil || w.servicedAt(cProbe+e.ep.h.probe, e.ep.t0) {
		return
	}
	for _, s := range w.rAt {
		if s < 0 || s == w.rAt[e.ep.h.probe] {
			continue
		}
		if a := e.ep.sizes[s]; a.ok && a.size > 0.4*e.size {
			return // another probe stayed
		}
	}
	if c := w.residual(); c != nil {
		in, was := robust.Median(c[e.ep.t0:e.ep.t1]), robust.Median(c[max(0, e.ep.t0-binsADay):max(1, e.ep.t0-6)])
		if in > 1.15*was {
			return // more chlorine than before: the probe steers the feed, and asks for it
		}
	}
	now, before := running(w.demand, 0, 2*hourBins), running(w.demand, -5*hourBins, -hourBins)
	least := math.Min(w.s.OnsetDemand, 0.3*w.usualDose)
	for i := max(0, e.ep.t0-2*hourBins); i < min(w.Bins, e.ep.t0+3*hourBins); i++ {
		if math.Abs(now[i]-before[i]) > least {
			e.kind, e.subject = ammoniaBreak, "chlorine chemistry"
			return
		}
	}
}

// dryProbe gives back to the probe what is told of the water, where it fell further
// than any chemistry takes it: it hangs in the air.
func (w *work) dryProbe(e *event) {
	if e.ep == nil || e.ep.h.cause != causeChemistry {
		return
	}
	for p, s := range w.rAt {
		if s < 0 {
			continue
		}
		if a := e.ep.sizes[s]; a.ok && a.size < -w.s.ChemistryMV {
			e.kind, e.subject, e.size = orpOffset, w.in.Probes[p].Tag, a.size
			return
		}
	}
}
