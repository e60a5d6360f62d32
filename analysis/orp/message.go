package orp

import (
	"fmt"
	"math"
	"time"

	"weirbook/analysis/finding"
)

// put turns an event into a finding in words.
func (w *work) put(e *event) finding.Finding {
	f := finding.Finding{
		Start: w.in.Grid.Milli(e.From), End: w.in.Grid.Milli(min(e.To, w.in.Grid.N)),
		Kind: e.kind.name, AtFault: e.party(), Subject: e.subject, Size: e.kind.size(e.size),
		Severity: e.kind.severity, Confidence: w.confidence(e),
		Summary: e.kind.summary(w, e, w.since(e)), Evidence: w.evidence(e),
		CheckNext: e.kind.checks(w, e), Cautions: w.cautions(e), Suspicion: e.suspicion,
	}
	if e.ep != nil {
		f.Votes = w.votes(e.ep)
	} else {
		f.Votes = []finding.Vote{{Witness: "its own signal", For: f.AtFault, Weight: e.ratio, Says: f.Evidence[0]}}
	}
	return f
}

func (w *work) clock(minute int) string { return w.in.local(minute).Format("2 Jan 15:04") }

// lasting writes a length of time as every page does.
func lasting(minutes int) string { return finding.Length(time.Duration(minutes) * time.Minute) }

// change in percent of a log10 ratio.
func percent(log10 float64) float64 { return 100 * (math.Pow(10, log10) - 1) }

func aboveBelow(x float64) string {
	if x < 0 {
		return "below"
	}
	return "above"
}

func highLow(x float64) string {
	if x < 0 {
		return "low"
	}
	return "high"
}

// cautions are those of the kind, of the chemical where a feed is to be touched.
func (w *work) cautions(e *event) []string {
	if (w.in.Gas || w.in.SulfurDioxide) && len(e.kind.cautions) > 1 && e.kind.cautions[1] == chemicals {
		return gasCautions
	}
	return e.kind.cautions
}

// since tells when an event was: open-ended while it lasts to the end of the record.
func (w *work) since(e *event) string {
	if e.To < w.in.Grid.N-60 {
		end := w.clock(e.To)
		if from, to := w.in.local(e.From), w.in.local(e.To); from.Day() == to.Day() && from.Month() == to.Month() {
			end = to.Format("15:04")
		}
		return fmt.Sprintf("from %s to %s (%s)", w.clock(e.From), end, lasting(e.Len()))
	}
	return "since " + w.clock(e.From)
}

// evidence tells with numbers why.
func (w *work) evidence(e *event) []string {
	var out []string
	if e.ep != nil {
		for _, v := range w.votes(e.ep) {
			if v.Weight > 0 || len(out) < 2 {
				out = append(out, v.Witness+": "+v.Says)
			}
			if len(out) == 5 {
				break
			}
		}
		out = append(out, fmt.Sprintf("In log likelihood this explanation stands %.0f above \"all is well\" and %.0f above the next best of another party, %s.", e.ratio, e.ep.margin, w.rivalName(e.ep)))
	} else {
		out = append(out, e.kind.own(w, e, w.since(e)))
	}
	if e.hits > 1 {
		out = append(out, fmt.Sprintf("Told as one event: %d alarms with short silences between.", e.hits))
	}
	out = append(out, e.extra...)
	out = append(out, fmt.Sprintf("Going by the readings so far, the alarm would have come at %s, %s after the start found in hindsight.", w.clock(e.alarm), lasting(max(0, e.alarm-e.From))))
	return out
}

func (w *work) rivalName(e *episode) string {
	for _, r := range e.rivals {
		if r.h.party != e.h.party {
			return r.h.subject
		}
	}
	return "none"
}
