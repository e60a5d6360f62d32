package health

import (
	"math"
	"slices"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// Role says what a column measures, as far as health cares.
type Role int

// Roles.
const (
	Plain      Role = iota // stillness
	Unjudged               // nothing is looked at
	Flow                   // stillness and units
	Acidity                // and service
	Residual               // everything
	Outfall                // held values only: a residual of nothing is its usual
	Probe                  // everything
	FinalProbe             // as Probe; its response to chlorine that is not there is not
	Feed                   // may rest for days
)

// Report is what each column says about itself.
type Report struct {
	Troubles [][]Trouble // by column
	Link     []Trouble   // all columns together
	Mask     [][]bool    // by column, by minute: not sound
}

// Examine looks at every column by its role, and at all together. idle marks the
// minutes of the record in which there is nothing to read.
func Examine(cs []*signal.Column, roles []Role, idle []bool, s *Settings) Report {
	minutes := len(idle)
	r := Report{Troubles: make([][]Trouble, len(cs)), Mask: make([][]bool, len(cs))}
	paces := make([]*pace, len(cs))
	signal.Each(len(cs), func(i int) {
		if cs[i].Present() {
			p := paceOf(cs[i])
			paces[i] = &p
		}
	})
	blank, alone := silentTogether(cs, idle, s)
	r.Link = blank
	for _, t := range linkTroubles(cs, paces, minutes, s) {
		if !r.inLink(t.Span) {
			r.Link = append(r.Link, t)
		}
	}
	for i := range cs {
		for _, t := range alone[i] {
			if roles[i] == Flow && t.Len() >= s.MissingMin {
				r.Troubles[i] = append(r.Troubles[i], Trouble{Span: t, Kind: Missing, Alarm: t.From + s.MissingMin})
			}
		}
	}
	signal.Each(len(cs), func(i int) {
		r.Mask[i] = make([]bool, minutes)
		if !cs[i].Present() {
			return
		}
		for _, l := range r.Link {
			if l.Tags == nil || slices.Contains(l.Tags, cs[i].Tag) {
				r.out(i, l.Span)
			}
		}
		for _, t := range byItself(cs[i], paces[i], roles[i], s) {
			if !r.inLink(t.Span) {
				r.Troubles[i] = append(r.Troubles[i], t)
			}
		}
	})
	r.sharedStillness(cs, s)
	for i := range cs {
		for _, t := range r.Troubles[i] {
			if t.Kind != OffScale {
				r.out(i, t.Span)
			}
		}
	}
	r.services(cs, roles, s)
	signal.Each(len(cs), func(i int) {
		c, role := cs[i], roles[i]
		if !c.Present() || role != Residual && role != Probe && role != FinalProbe {
			return
		}
		bursts := noisy
		if byChanges(c, paces[i], s) && role == Residual {
			return // chemistry makes it restless, and mostly something else is behind it
		}
		if byChanges(c, paces[i], s) {
			bursts = func(c *signal.Column, mask []bool, _ bool, s *Settings) []Trouble { return restless(c, mask, s) }
		}
		for _, t := range unusual(bursts(c, r.Mask[i], role == Residual, s), minutes, s) {
			r.Troubles[i] = append(r.Troubles[i], t)
			r.out(i, t.Span)
		}
		if role == Probe && !byChanges(c, paces[i], s) {
			r.Troubles[i] = append(r.Troubles[i], unusual(sluggish(c, r.Mask[i], s), minutes, s)...)
		}
	})
	return r
}

// out masks a span of column i.
func (r *Report) out(i int, t signal.Span) {
	for m := max(0, t.From); m < min(len(r.Mask[i]), t.To); m++ {
		r.Mask[i][m] = true
	}
}

// inLink says that most of a span is the link's.
func (r *Report) inLink(t signal.Span) bool {
	return slices.ContainsFunc(r.Link, func(l Trouble) bool { return l.Overlap(t)*2 > t.Len() })
}

// byItself looks at one column by itself.
func byItself(c *signal.Column, p *pace, role Role, s *Settings) []Trouble {
	var ts []Trouble
	switch role {
	case Unjudged, Feed:
		return nil
	case Flow, Acidity, Residual, Probe, FinalProbe:
		ts = leaps(c, role == Probe || role == FinalProbe, s)
		c = without(c, ts)
	}
	for _, m := range c.Mixed {
		if !slices.ContainsFunc(ts, func(t Trouble) bool { return t.Overlap(m.Span) > 0 }) {
			ts = append(ts, Trouble{Span: m.Span, Kind: UnitMixUp, Alarm: min(m.To, m.From+20), Size: m.Factor, Usual: 1})
		}
	}
	var clips []Trouble
	if role == Residual || role == Probe || role == FinalProbe {
		clips = clipped(c, byChanges(c, p, s), s)
		if role != Residual { // a probe's span is chosen to hold what it reads
			for i := range clips {
				clips[i].Kind = Clip
			}
			clips = unusual(clips, len(c.V), s)
		}
	}
	ts = append(ts, clips...)
	rest := func() []Trouble {
		switch {
		case byChanges(c, p, s) && role == Outfall:
			return nil // chlorine that is not there does not move
		case byChanges(c, p, s):
			least := s.MissedChanges
			if role == Residual { // which a trim may hold
				least *= 1.5
			}
			return stopped(c, p, least, s)
		}
		low := math.Inf(-1)
		if role == Residual || role == Flow {
			low = s.NearNothing * robust.Quantile(c.V, 0.75)
		}
		return frozen(c, role == Residual || role == Outfall, role != Outfall, low, s)
	}
	for _, t := range rest() {
		if !slices.ContainsFunc(clips, func(k Trouble) bool { return k.Overlap(t.Span)*2 > t.Len() }) {
			ts = append(ts, t)
		}
	}
	return ts
}

// without leaves stretches out of a column: what is in another unit must not colour
// what is usual.
func without(c *signal.Column, ts []Trouble) *signal.Column {
	if len(ts) == 0 {
		return c
	}
	rest := *c
	rest.V = slices.Clone(c.V)
	for _, t := range ts {
		for m := t.From; m < t.To; m++ {
			rest.V[m] = math.NaN()
		}
	}
	return &rest
}

// sharedStillness moves stillness that three or more tags begin and end together
// from the tags to the link.
func (r *Report) sharedStillness(cs []*signal.Column, s *Settings) {
	type ref struct{ col, k int }
	var all []ref
	for i := range cs {
		for k, t := range r.Troubles[i] {
			if t.Kind == Frozen {
				all = append(all, ref{i, k})
			}
		}
	}
	gone := map[ref]bool{}
	for _, a := range all {
		if gone[a] {
			continue
		}
		t := r.Troubles[a.col][a.k]
		group := []ref{a}
		for _, b := range all {
			u := r.Troubles[b.col][b.k]
			if b.col != a.col && !gone[b] && signal.Abs(u.From-t.From) <= 20 && signal.Abs(u.To-t.To) <= 20 {
				group = append(group, b)
			}
		}
		if len(group) < s.LinkTags {
			continue
		}
		for _, g := range group {
			gone[g] = true
		}
		t.Kind = LinkFrozen
		r.Link = append(r.Link, t)
		for i := range cs {
			if cs[i].Present() {
				r.out(i, t.Span)
			}
		}
	}
	for i := range cs {
		var keep []Trouble
		for k, t := range r.Troubles[i] {
			if !gone[ref{i, k}] {
				keep = append(keep, t)
			}
		}
		r.Troubles[i] = keep
	}
}

// services masks the dips of probes and analysers. A dip that two sorts of
// instrument show at once is the water's, and stays.
func (r *Report) services(cs []*signal.Column, roles []Role, s *Settings) {
	type dip struct {
		col int
		t   Trouble
	}
	probe := func(i int) bool { return roles[i] == Probe || roles[i] == FinalProbe }
	var dips []dip
	for i, c := range cs {
		if !c.Present() {
			continue
		}
		abs, rel := 0.0, 0.0
		switch {
		case roles[i] == Residual:
			abs, rel = 0.3, 0.3
		case probe(i):
			abs = s.ServiceDipMV
		case roles[i] == Acidity:
			abs = 0.5
		default:
			continue
		}
		for _, t := range serviceDips(c, r.Mask[i], abs, rel, s) {
			dips = append(dips, dip{i, t})
		}
	}
	for _, d := range dips {
		shared := false
		for _, o := range dips {
			if probe(d.col) != probe(o.col) && d.t.Len() > 15 && signal.Abs(o.t.From-d.t.From) <= 3 && signal.Abs(o.t.To-d.t.To) <= 3 {
				shared = true
			}
		}
		if !shared {
			r.Troubles[d.col] = append(r.Troubles[d.col], d.t)
			r.out(d.col, serviceMask(d.t, s))
		}
	}
}

// serviceMask gives the minutes that a service dip takes out: a little before it, and
// a tail in which the instrument settles.
func serviceMask(t Trouble, s *Settings) signal.Span {
	return signal.Between(t.From-3, t.To+min(s.SettleMin, 10+2*t.Len()))
}
