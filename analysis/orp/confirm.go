package orp

import (
	"math"
	"slices"

	"weirbook/analysis/finding"
	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// Two lists. An alarm is decided by evidence that came within hours. What rests on
// days of small differences is a suspicion, unless another witness has confirmed it;
// and it must be confirmed anew every two days (by a grab, by the other probe, by the
// other meter) or it falls silent.

// settle sorts events into alarms and suspicions, ends those that nothing confirms any
// more, and leaves out what lies in idle time.
func (w *work) settle(events []event) []event {
	var out []event
	for _, e := range events {
		if e.ep != nil && e.party() == e.ep.h.party {
			at := w.confirmations(&e)
			contested := e.share < w.s.OffsetShare && (e.kind == residualDrift || e.kind == orpDrift)
			e.suspicion = contested || w.slow(&e) && len(at) < w.s.ConfirmLeast
			if e.party() != finding.Process {
				e.Span = w.whileConfirmed(e.Span, at)
			}
		} else {
			e.suspicion = (e.kind == demandRise || e.kind == feedSurplus || e.kind == weakLoad || e.kind == unseenChlorine) && e.share < w.s.SlowShare || e.kind == orpResponse || e.kind == grabDrift || e.kind == orpNoise && (w.afterDechlorination(e.subject) || e.Len() < w.s.NoiseH*60 && e.size < w.s.NoiseSure)
		}
		if (e.kind == demandRise || e.kind == weakLoad) && e.Len() > w.s.DemandSlowH*60 && e.ratio < w.s.DemandSure {
			e.suspicion = true // days of it, and no more than that
			e.Span = w.whileConfirmed(e.Span, nil)
		}
		if e.kind == feedSurplus && e.suspicion && e.Len() > w.s.SurplusDoubtH*60 {
			continue // a new usual
		}
		if w.trimIdle(&e) {
			e.alarm = min(max(e.alarm, e.From), e.To)
			out = append(out, e)
		}
	}
	return out
}

// slow says that no fast evidence decided an event.
func (w *work) slow(e *event) bool {
	switch e.party() {
	case finding.ORPProbe, finding.ResidualAnalyser, finding.FlowMeter:
		return e.alarm-e.From > w.s.SlowH*60 || e.share < w.s.SlowShare
	}
	return false
}

// whileConfirmed cuts a span to where it has been confirmed within ConfirmH hours.
func (w *work) whileConfirmed(t signal.Span, at []int) signal.Span {
	hold := w.s.ConfirmH * 60
	if t.Len() <= hold {
		return t
	}
	end, start := t.From+hold, t.From
	if len(at) > 0 && at[0]-hold > t.From {
		start = at[0] - hold // before that nobody saw it
		end = at[0] + hold
	}
	for _, m := range at {
		if m <= end {
			end = max(end, m+hold)
		}
	}
	return signal.Between(start, min(end, t.To))
}

// trimIdle moves an event's ends out of idle time; false where nothing is left.
func (w *work) trimIdle(e *event) bool {
	for e.From < e.To && w.idle[e.From] {
		e.From++
	}
	for e.To > e.From && w.idle[min(e.To, len(w.idle))-1] {
		e.To--
	}
	active := 0
	for i := e.From; i < min(e.To, len(w.idle)); i++ {
		if !w.idle[i] {
			active++
		}
	}
	return active >= 10
}

// confirmations lists the minutes at which another witness than the one that an event
// is told by says the same.
func (w *work) confirmations(e *event) []int {
	var at []int
	from, to := e.From/signal.BinMin, min(w.Bins, e.To/signal.BinMin+1)
	each := func(say func(a, b int) bool) { // every six hours
		const six = 6 * 60 / signal.BinMin
		for b := from; b+six/2 <= to; b += six {
			if say(b, min(b+six, to)) {
				at = append(at, min(b+six, to)*signal.BinMin)
			}
		}
	}
	h := e.ep.h
	middle := func(s, a, b int) float64 { return robust.Median(w.streams[s].whole[a:b]) }
	switch h.cause {
	case causeProbe:
		mine := w.rAt[h.probe]
		for _, other := range w.rAt {
			if other >= 0 && other != mine {
				each(func(a, b int) bool {
					d := middle(mine, a, b) - middle(other, a, b)
					return d*sign(e.size) >= 0.5*math.Abs(e.size) && math.Abs(middle(other, a, b)) < 0.5*math.Abs(e.size)
				})
			}
		}
		// a grab that agrees with the analyser leaves the probe alone
		slope := math.Max(math.Abs(w.laws[h.probe].Coef[1]), 20)
		for _, l := range w.grabs {
			if l.free == w.OnFree {
				for _, p := range l.points {
					if p.bin >= from && p.bin < to && math.Abs(p.v) < 0.5*math.Abs(e.size)/slope {
						at = append(at, p.bin*signal.BinMin)
					}
				}
			}
		}
	case causeAnalyser:
		for _, l := range w.grabs {
			if l.free != h.free {
				continue
			}
			for _, p := range l.points {
				if p.bin >= from && p.bin < to && p.v*sign(e.size) >= 0.5*math.Abs(e.size) {
					at = append(at, p.bin*signal.BinMin)
				}
			}
		}
		var seen []int
		for _, s := range w.rAt {
			if s >= 0 {
				if m, _ := h.effect(s, e.size); math.Abs(m) > 5 {
					seen = append(seen, s)
				}
			}
		}
		if len(seen) > 1 {
			each(func(a, b int) bool {
				for _, s := range seen {
					m, _ := h.effect(s, e.size)
					if !(middle(s, a, b)*sign(m) >= 0.4*math.Abs(m)) {
						return false
					}
				}
				return true
			})
		}
	case causeFlow:
		each(func(a, b int) bool { return middle(w.qAt, a, b)*sign(e.size) >= 0.4*math.Abs(e.size) })
	}
	slices.Sort(at)
	return at
}

// afterDechlorination says that a probe stands where what is left of chlorine and
// sulfite drives it to and fro.
func (w *work) afterDechlorination(tag string) bool {
	return slices.ContainsFunc(w.in.Probes, func(p Probe) bool { return p.Tag == tag && p.Place == Final })
}
