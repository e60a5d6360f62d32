package orp

import (
	"math"
	"sort"

	"weirbook/analysis/finding"
)

// events gathers everything found into one list.
func (w *work) events(eps []episode) []event {
	var out []event
	for i := range eps {
		e := &eps[i]
		if !e.reportable(w) {
			continue
		}
		ev := event{span: span{e.t0 * binMin, e.t1 * binMin}, alarm: e.alarm * binMin, party: e.h.party,
			subject: e.h.subject, ratio: e.ratio, share: e.share, size: e.theta, ep: e}
		ev.kind = w.kindOf(e)
		out = append(out, ev)
	}
	cs := w.in.columns()
	for i, c := range cs {
		party := finding.Party("")
		pre := ""
		switch {
		case i >= cProbe:
			party, pre = finding.ORPProbe, "orp-"
		case i == cFree || i == cTotal || i == cFinal:
			party, pre = finding.ResidualAnalyser, "residual-"
		case i == cFlow || i == cInfluent:
			party, pre = finding.FlowMeter, "flow-"
		default:
			continue
		}
		for _, t := range w.trouble[i] {
			least := w.s.ResponseLeastH
			if w.turning {
				least = w.s.TurningResponseH
			}
			if t.kind == "service" || t.kind == "response-lost" && t.len() < least*60 {
				continue
			}
			kind := t.kind
			if kind == "unit-mix-up" {
				out = append(out, event{span: t.span, alarm: t.alarm, kind: kind, party: finding.Data, subject: c.Tag,
					ratio: 100, share: 0.97, size: t.size})
				continue
			}
			if kind == "dither" {
				kind = "frozen"
			}
			out = append(out, event{span: t.span, alarm: min(t.alarm, t.to), kind: pre + kind, party: party, subject: c.Tag,
				ratio: 40, share: 0.95, size: t.size})
		}
	}
	for _, t := range w.link {
		out = append(out, event{span: t.span, alarm: min(t.alarm, t.to), kind: t.kind, party: finding.Data, subject: "all tags",
			ratio: 100, share: 0.99, size: t.size})
	}
	out = append(out, w.known...)
	out = append(out, w.clockShifts()...)
	out = append(out, w.dechlorination()...)
	return out
}

// kindOf names an episode.
func (w *work) kindOf(e *episode) string {
	long := e.t1 - e.t0
	drift := e.rise > 12*12 && e.rise*2 > long
	switch e.h.cause {
	case causeProbe:
		switch {
		case drift:
			return "orp-drift"
		case w.servicedAt(cProbe+e.h.probe, e.t0):
			return "orp-calibration-step"
		}
		return "orp-offset"
	case causeAnalyser:
		switch {
		case drift:
			return "residual-drift"
		case e.theta < -0.35:
			return "residual-sample-lost"
		}
		return "residual-offset"
	case causeChemistry:
		return "ammonia-breakthrough"
	case causeDemand:
		if w.nAt >= 0 {
			if n := e.sizes[w.nAt]; n.ok && n.size > 0.2 && n.size > 4*n.sd {
				return "ammonia-breakthrough"
			}
		}
		return "demand-rise"
	case causeFlow:
		if drift {
			return "flow-drift"
		}
		return "flow-offset"
	}
	return "disagreement"
}

// servicedAt says whether the column had a service dip within an hour of bin b.
func (w *work) servicedAt(col, b int) bool {
	for _, t := range w.trouble[col] {
		if t.kind == "service" && t.overlap(span{(b - 12) * binMin, (b + 12) * binMin}) > 0 {
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
		if a.from != b.from {
			return a.from < b.from
		}
		if a.to != b.to {
			return a.to > b.to
		}
		if a.kind != b.kind {
			return a.kind < b.kind
		}
		return a.subject < b.subject
	})
	events = dropShadows(events)
	// same subject
	var out []event
	for _, e := range events {
		joined := false
		for k := range out {
			o := &out[k]
			if o.subject != e.subject || o.party != e.party {
				continue
			}
			gap := max(e.from-o.to, o.from-e.to)
			if gap > max(w.s.MergeMin, min(o.len(), e.len())/5) {
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
	sort.SliceStable(out, func(i, j int) bool { return out[i].rank() > out[j].rank() })
	var keep []event
	for _, e := range out {
		inside := false
		for k := range keep {
			o := &keep[k]
			wide := span{o.from - 60, o.to + 60}
			share := 6 // tenths of the lesser that must lie inside
			if e.rank() <= consequence {
				share = 3
			}
			if wide.overlap(e.span)*10 < share*e.len() {
				continue
			}
			if e.len()*4 < o.len() && e.ratio > 60 && e.ep != nil && o.party != finding.Data && o.kind != "storm" {
				continue // fast and decisive: an event of its own
			}
			inside = true
			break
		}
		if !inside {
			keep = append(keep, e)
		}
	}
	return keep
}

// dropShadows removes what a plainer event of the same subject casts: an error of the
// other sign that begins where it ends or ends where it begins (one edge told
// twice: the shorter is the fault), and a far longer, weaker one that holds it.
func dropShadows(events []event) []event {
	gone := make([]bool, len(events))
	for i := range events {
		for j := range events {
			a, b := &events[i], &events[j] // is a the shadow of b?
			if i == j || gone[j] || a.ep == nil || b.ep == nil || a.subject != b.subject || a.party != b.party || a.len() <= b.len() {
				continue
			}
			touch := abs(a.to-b.from) <= 60 || abs(b.to-a.from) <= 60
			holds := a.overlap(b.span) >= b.len()*8/10 && a.len() > 4*b.len() && a.ratio < b.ratio
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

// consequence is the rank of what another fault mostly brings about.
const consequence = 5

// rank orders events for who swallows whom.
func (e *event) rank() float64 {
	r := math.Min(e.ratio, 300)
	switch e.party {
	case finding.Data:
		r += 1000
	}
	if e.party == finding.FlowMeter && e.ratio > 60 {
		r += 300 // the feeds follow the meter
	}
	switch e.kind {
	case "feed-lost", "bisulfite-lost":
		r += 500
	case "chlorine-at-outfall", "bisulfite-surplus":
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
	e.from = min(e.from, b.from)
	e.to = max(e.to, b.to)
	e.alarm = min(e.alarm, b.alarm)
	e.hits++
}
