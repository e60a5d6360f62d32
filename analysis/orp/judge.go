package orp

import (
	"fmt"
	"sort"

	"weirbook/analysis/finding"
	"weirbook/analysis/orp/health"
	"weirbook/analysis/orp/signal"
	"weirbook/analysis/series"
)

// Judge says what every probe should read, who is wrong where, and when which
// instrument should not be believed. The same input gives the same result.
func Judge(in Input, s Settings) (Result, error) {
	if err := in.check(); err != nil {
		return Result{Settings: s}, err
	}
	w := &work{in: &in, s: &s}
	w.Bins, w.Law = in.Grid.N/signal.BinMin, &s.Law
	res := Result{Settings: s}
	if w.Bins < 24*60/signal.BinMin {
		w.note("Less than a day of readings: nothing to learn from.")
		res.Notes = w.notes
		for i := range in.Probes {
			res.Models = append(res.Models, emptyModel(&in.Probes[i], in.Grid.N, "less than a day of readings"))
		}
		return res, nil
	}
	w.hour = hourOfBin(&in, w.Bins)
	w.idle = in.rest(&s)
	w.examine()
	w.bin()
	w.OnFree = w.StandsOnFree()
	w.offScale()
	w.Hold = make([]bool, w.Bins)
	w.starved = make([]bool, w.Bins)
	w.balance()
	w.setAsideKnown()
	w.given()

	// First pass: what is plainly wrong is held out of every usual in the second.
	w.gather()
	for _, e := range newSearch(w).hunt() {
		if e.reportable(w) {
			for b := max(0, e.t0-6); b < min(w.Bins, e.t1+6); b++ {
				w.Hold[b] = true
			}
		}
	}
	w.gather()
	eps := newSearch(w).hunt()

	events := w.events(eps)
	events = w.settle(w.merge(events))
	for i := range events {
		f := w.put(&events[i])
		res.Findings = append(res.Findings, f)
	}
	w.order(&res, events)
	res.Models = w.results()
	res.Notes = w.notes
	res.Services = w.serviced()
	if w.demand != nil {
		res.DemandMgL = signal.Spread(w.demand, in.Grid.N)
	}
	return res, nil
}

// examine finds what each signal says about itself, and what it may not be used for.
func (w *work) examine() {
	w.roles = []health.Role{cFree: health.Residual, cTotal: health.Residual, cPH: health.Acidity, cTemp: health.Unjudged,
		cFlow: health.Flow, cInfluent: health.Flow, cFeed: health.Feed, cAmmonia: health.Plain, cBisulfite: health.Feed, cFinal: health.Outfall}
	for i := range w.in.Probes {
		role := health.Probe
		if w.in.Probes[i].Place == Final {
			role = health.FinalProbe
		}
		w.roles = append(w.roles, role)
	}
	r := health.Examine(w.in.columns(), w.roles, w.idle, &w.s.Settings)
	w.trouble, w.link, w.mask = r.Troubles, r.Link, r.Mask
}

// offScale notes where a residual stands at the top of its stated span: there it means
// at least that much.
func (w *work) offScale() {
	for i, c := range w.in.columns()[:cTotal+1] {
		if !c.Present() || !(c.High > c.Low) {
			continue
		}
		minutes := 0
		at := make([]bool, w.Bins)
		for m, v := range c.V {
			if b := m / signal.BinMin; b < w.Bins && v >= c.High-w.s.TopShare*(c.High-c.Low) && c.Usable(m) {
				at[b] = true
				minutes++
			}
		}
		if minutes >= w.s.ClipMin {
			w.beyond[i] = at
			w.note(fmt.Sprintf("%s stood at the top of its span for %s in all: there it means at least %.4g, and there may have been more.", c.Tag, lasting(minutes), c.High))
		}
	}
}

// atLeast says that the free or total residual stands at the top of its span in bin b.
func (w *work) atLeast(free bool, b int) bool {
	at := w.beyond[cTotal]
	if free {
		at = w.beyond[cFree]
	}
	return at != nil && at[b]
}

// given holds out all but the stretches that the caller names as sound.
func (w *work) given() {
	if len(w.in.Reference) == 0 {
		return
	}
	for b := range w.Hold {
		t := w.in.Grid.Milli(b * signal.BinMin)
		w.Hold[b] = true
		for _, r := range w.in.Reference {
			if t >= r.Start && t < r.End {
				w.Hold[b] = false
			}
		}
	}
}

// order sorts findings with their alarms and derives the doubts.
func (w *work) order(res *Result, events []event) {
	type pair struct {
		f finding.Finding
		a int64
	}
	var ps []pair
	for i := range events {
		ps = append(ps, pair{res.Findings[i], w.in.Grid.Milli(min(events[i].alarm, w.in.Grid.N))})
	}
	sort.SliceStable(ps, func(i, j int) bool {
		a, b := ps[i].f, ps[j].f
		if ra, rb := a.Severity.Rank(), b.Severity.Rank(); ra != rb {
			return ra < rb
		}
		if a.Start != b.Start {
			return a.Start < b.Start
		}
		if a.Kind != b.Kind {
			return a.Kind < b.Kind
		}
		return a.Subject < b.Subject
	})
	res.Findings = res.Findings[:0]
	for _, p := range ps {
		res.Findings = append(res.Findings, p.f)
		res.Alarms = append(res.Alarms, p.a)
		if !p.f.Alarm() {
			continue // a suspicion counts against nothing
		}
		switch p.f.AtFault {
		case finding.ORPProbe, finding.ResidualAnalyser, finding.FlowMeter, finding.Data:
			res.Doubts = append(res.Doubts, Doubt{series.Stretch{Start: p.f.Start, End: p.f.End}, p.f.Subject, p.f.AtFault, p.f.Kind, p.f.Confidence})
		}
	}
	sort.SliceStable(res.Doubts, func(i, j int) bool {
		a, b := res.Doubts[i], res.Doubts[j]
		if a.Tag != b.Tag {
			return a.Tag < b.Tag
		}
		return a.Start < b.Start
	})
}

func emptyModel(p *Probe, n int, note string) Model {
	return Model{Tag: p.Tag, Place: p.Place, Expected: signal.Unknown(n), Lo: signal.Unknown(n), Hi: signal.Unknown(n), Residual: signal.Unknown(n), Note: note}
}
