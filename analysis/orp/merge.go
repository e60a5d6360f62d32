package orp

import (
	"math"
	"slices"
	"sort"
	"strings"

	"weirbook/analysis/finding"
	"weirbook/analysis/orp/health"
	"weirbook/analysis/orp/signal"
)

// events gathers everything found into one list.
func (w *work) events(eps []episode) []event {
	var out []event
	for i := range eps {
		e := &eps[i]
		if !e.reportable(w) {
			continue
		}
		ev := event{Span: signal.Between(e.t0*signal.BinMin, e.t1*signal.BinMin), alarm: e.alarm * signal.BinMin,
			kind: w.kindOf(e), subject: e.h.subject, ratio: e.ratio, share: e.share, size: e.theta, ep: e}
		w.water(&ev)
		w.noSample(&ev)
		w.dryProbe(&ev)
		w.doubtful(&ev)
		if ev.kind == nil || ev.kind == orpOffset && e.share < w.s.OffsetShare {
			continue // two in eleven were right
		}
		out = append(out, ev)
	}
	for i, c := range w.in.columns() {
		for _, t := range w.trouble[i] {
			if k := troubleKinds[w.roles[i]][t.Kind]; k != nil && !w.passing(t) {
				e := event{Span: t.Span, alarm: min(t.Alarm, t.To), kind: k, subject: c.Tag, ratio: healthRatio, share: 0.95, size: t.Size}
				if k == unitMixUp {
					e.alarm, e.ratio, e.share = t.Alarm, 100, 0.97
				}
				out = append(out, e)
			}
		}
	}
	for _, t := range w.link {
		e := event{Span: t.Span, alarm: min(t.Alarm, t.To), kind: linkKinds[t.Kind], subject: "all tags", ratio: 100, share: 0.99, size: t.Size}
		if t.Tags != nil && t.Size < t.Usual {
			e.subject = strings.Join(t.Tags, ", ")
		}
		out = append(out, e)
	}
	out = append(out, w.known...)
	out = append(out, w.clockShifts()...)
	out = append(out, w.contrasts()...)
	out = append(out, w.impossible()...)
	out = append(out, w.overDose()...)
	out = append(out, w.weakLoads()...)
	out = append(out, w.breakthroughs()...)
	out = append(out, w.flowSteps()...)
	out = append(out, w.fouledInLoop()...)
	w.gatherGrabs() // the search has used them up
	out = append(out, w.grabDrifts()...)
	out = append(out, w.dechlorination()...)
	return slices.DeleteFunc(out, w.byRerouting)
}

// byRerouting says that a change of flow is told of a basin that only took over the water
// of another.
func (w *work) byRerouting(e event) bool {
	if w.in.Rerouted == nil || e.kind != storm && e.kind != flowStep && e.kind != flowOffset && e.kind != flowDrift {
		return false
	}
	n := 0
	for i := e.From; i < min(e.To, w.in.Grid.N); i++ {
		if w.in.Rerouted[i] {
			n++
		}
	}
	return 2*n > e.Len()
}

// What a signal says about itself, as events, by its role.
var (
	troubleKinds = map[health.Role]map[health.Kind]*kind{
		health.Probe:      probeKinds,
		health.FinalProbe: probeKinds,
		health.Residual:   residualKinds,
		health.Outfall:    residualKinds,
		health.Flow:       {health.Frozen: flowFrozen, health.Dither: flowFrozen, health.UnitMixUp: unitMixUp, health.Missing: flowMissing},
	}
	probeKinds = map[health.Kind]*kind{health.Frozen: orpFrozen, health.Dither: orpFrozen, health.Noise: orpNoise,
		health.Clip: orpClip, health.ResponseLost: orpResponse, health.UnitMixUp: unitMixUp}
	residualKinds = map[health.Kind]*kind{health.Frozen: residualFrozen, health.Dither: residualFrozen, health.Noise: residualNoise,
		health.Clip: residualClip, health.UnitMixUp: unitMixUp}
	linkKinds = map[health.Kind]*kind{health.LinkFrozen: linkFrozen, health.LinkBlank: linkBlank, health.RepeatedBlock: repeatedBlock}
)

// passing says that a lost response is too short to be told.
func (w *work) passing(t health.Trouble) bool {
	least := w.s.ResponseLeastH
	if w.Turning {
		least = w.s.TurningResponseH
	}
	return t.Kind == health.ResponseLost && t.Len() < least*60
}

// kindOf names an episode.
func (w *work) kindOf(e *episode) *kind {
	long := e.t1 - e.t0
	drift := e.rise > 12*12 && e.rise*2 > long
	switch e.h.cause {
	case causeProbe:
		switch {
		case drift:
			return orpDrift
		case w.servicedAt(cProbe+e.h.probe, e.t0):
			return orpStep
		}
		return orpOffset
	case causeAnalyser:
		switch {
		case drift:
			return residualDrift
		case e.theta < -0.35:
			return sampleLost
		}
		return residualOffset
	case causeChemistry:
		return ammoniaBreak
	case causeDemand:
		if w.nAt >= 0 {
			if n := e.sizes[w.nAt]; n.ok && n.size > 0.2 && n.size > 4*n.sd {
				return ammoniaBreak
			}
		}
		return demandRise
	}
	if drift {
		return flowDrift
	}
	return flowOffset
}

// servicedAt says whether the column had a service dip within an hour of bin b.
func (w *work) servicedAt(col, b int) bool {
	for _, t := range w.trouble[col] {
		if t.Kind == health.Service && t.Overlap(signal.Between((b-12)*signal.BinMin, (b+12)*signal.BinMin)) > 0 {
			return true
		}
	}
	return false
}

// merge makes one event of what a person would call one: the same subject with
// silences shorter than MergeMin (or a fifth of the event), and lesser causes
// inside a plainer one.
func (w *work) merge(events []event) []event {
	sort.SliceStable(events, func(i, j int) bool {
		a, b := &events[i], &events[j]
		if a.From != b.From {
			return a.From < b.From
		}
		if a.To != b.To {
			return a.To > b.To
		}
		if a.kind != b.kind {
			return a.kind.name < b.kind.name
		}
		return a.subject < b.subject
	})
	events = dropShadows(events)
	all := events
	events = nil
	for i := range all {
		if !aftermath(&all[i], all) {
			events = append(events, all[i])
		}
	}
	// same subject
	var out []event
	for _, e := range events {
		joined := false
		for k := range out {
			o := &out[k]
			if o.subject != e.subject || o.party() != e.party() || (o.kind == feedSurplus) != (e.kind == feedSurplus) {
				continue
			}
			gap := max(e.From-o.To, o.From-e.To)
			if gap > max(w.s.MergeMin, min(o.Len(), e.Len())/5) {
				continue
			}
			o.absorb(e)
			joined = true
			break
		}
		if !joined {
			e.hits = 1
			out = append(out, e)
		}
	}
	// lesser causes inside plainer ones
	sort.SliceStable(out, func(i, j int) bool { // of equal rank, which has a top, the plainer one
		if a, b := out[i].rank(), out[j].rank(); a != b {
			return a > b
		}
		return out[i].ratio > out[j].ratio
	})
	var keep []event
	for _, e := range out {
		inside := false
		for k := range keep {
			o := &keep[k]
			wide := signal.Between(o.From-60, o.To+60)
			share := 6 // tenths of the lesser that must lie inside
			if e.rank() <= consequence {
				share = 3
			}
			if wide.Overlap(e.Span)*10 < share*e.Len() {
				continue
			}
			if e.Len()*4 < o.Len() && e.ratio > 60 && e.ep != nil && o.party() != finding.Data && o.kind != storm {
				continue // fast and decisive: an event of its own
			}
			if e.kind == flowFrozen && o.party() == finding.Process {
				continue // a flow meter that stands still does so whatever the chemistry does
			}
			inside = true
			break
		}
		if !inside {
			keep = append(keep, e)
		}
	}
	return w.ordinary(keep)
}

// dropShadows removes what a plainer event of the same subject casts: an error of the
// other sign that begins where it ends or ends where it begins (one edge told
// twice: the shorter is the fault), and a far longer, weaker one that holds it.
func dropShadows(events []event) []event {
	gone := make([]bool, len(events))
	for i := range events {
		for j := range events {
			a, b := &events[i], &events[j] // is a the shadow of b?
			if i == j || gone[j] || a.ep == nil || b.ep == nil || a.subject != b.subject || a.party() != b.party() || a.Len() <= b.Len() {
				continue
			}
			touch := signal.Abs(a.To-b.From) <= 60 || signal.Abs(b.To-a.From) <= 60
			holds := a.Overlap(b.Span) >= b.Len()*8/10 && a.Len() > 4*b.Len() && a.ratio < b.ratio
			if touch && a.size*b.size < 0 || holds {
				gone[i] = true
			}
		}
	}
	var out []event
	for i, e := range events {
		if !gone[i] {
			out = append(out, e)
		}
	}
	return out
}

// healthRatio is how plain what a signal says of itself is, beside likelihood ratios.
const healthRatio = 40

// consequence is the rank of what another fault mostly brings about.
const consequence = 5

// rank orders events for who swallows whom.
func (e *event) rank() float64 {
	r := math.Min(e.ratio, 300)
	switch e.party() {
	case finding.Data:
		r += 1000
	}
	if e.party() == finding.FlowMeter && e.ratio > 60 {
		r += 300 // the feeds follow the meter
	}
	switch e.kind {
	case feedLost, bisulfiteLost:
		r += 500
	case outfallChlorine, outfallAnalyser, bisulfiteSurplus:
		r = consequence
	}
	return r
}

// absorb joins b to e; the plainer one names it.
func (e *event) absorb(b event) {
	if b.ratio > e.ratio {
		b.hits = e.hits
		*e, b = b, *e
	}
	e.From = min(e.From, b.From)
	e.To = max(e.To, b.To)
	e.alarm = min(e.alarm, b.alarm)
	e.hits++
}
