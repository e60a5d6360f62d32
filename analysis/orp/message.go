package orp

import (
	"fmt"
	"math"
	"sort"

	"weirbook/analysis/finding"
)

// put turns an event into a finding.
func (w *work) put(e *event) finding.Finding {
	f := finding.Finding{
		Start: w.in.Grid.Milli(e.from), End: w.in.Grid.Milli(min(e.to, w.in.Grid.N)),
		Kind: e.kind, AtFault: e.party, Subject: e.subject,
		Confidence: w.confidence(e),
	}
	f.Severity = severityOf(e)
	f.Summary = fmt.Sprintf("%s: %s", e.subject, e.kind)
	if e.ep != nil {
		f.Votes = w.votes(e.ep)
	}
	f.Evidence = append(f.Evidence, e.extra...)
	return f
}

func severityOf(e *event) finding.Severity {
	switch e.kind {
	case "feed-lost", "bisulfite-lost", "chlorine-at-outfall", "demand-rise", "ammonia-breakthrough":
		if e.party == finding.Process {
			return finding.Critical
		}
	}
	if e.party == finding.Data {
		return finding.Notice
	}
	return finding.Warning
}

// confidence is how often findings like this one are right.
func (w *work) confidence(e *event) float64 {
	return clamp(e.share, 0.05, 0.99)
}

// votes tells what each witness said about an episode.
func (w *work) votes(e *episode) []finding.Vote {
	var out []finding.Vote
	rival := e.rivals[0]
	for _, r := range e.rivals {
		if r.h.party != e.h.party {
			rival = r
			break
		}
	}
	say := func(name string, a amount, m, u, m2, u2 float64, unit string) {
		if !a.ok {
			return
		}
		v := finding.Vote{Witness: name}
		d := charge(a.size, a.sd, m, u) - charge(a.size, a.sd, m2, u2)
		v.Weight = math.Abs(d)
		switch {
		case d > 0.5:
			v.For = e.h.party
		case d < -0.5:
			v.For = rival.h.party
		default:
			v.Weight = 0
		}
		v.Says = fmt.Sprintf("moved by %+.3g%s (give or take %.2g); %s would move it by %+.3g, %s by %+.3g", a.size, unit, a.sd,
			e.h.subject, m, rival.h.subject, m2)
		out = append(out, v)
	}
	for s, a := range e.sizes {
		m, u := e.h.effect(s, e.theta)
		m2, u2 := rival.h.effect(s, rival.theta)
		say(w.streams[s].name, a, m, u, m2, u2, "")
	}
	for k, a := range e.grabSizes {
		m, u := e.h.grab(w.grabs[k].free, e.theta)
		m2, u2 := rival.h.grab(w.grabs[k].free, rival.theta)
		name := "DPD grabs, total"
		if w.grabs[k].free {
			name = "DPD grabs, free"
		}
		say(name, a, m, u, m2, u2, "")
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Weight > out[j].Weight })
	return out
}
