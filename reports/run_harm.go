package reports

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/finding"
	"weirbook/analysis/upset"
)

// event is what a person would call one event: an explained upset with the
// findings that are parts of it, or a finding by itself.
type event struct {
	finding.Finding                   // what it is told by
	Parts           []finding.Finding // the rest
	Upset           int               // in Result.Upsets; -1: none
	harm            float64
}

// suspicions are the findings that nothing has confirmed: they are told apart and
// count against nothing.
func suspicions(r *analysis.Result) []finding.Finding {
	var out []finding.Finding
	for _, f := range r.Findings {
		if !f.Alarm() && upsetOf(r, f) < 0 {
			out = append(out, f)
		}
	}
	return out
}

// gathered puts the alarms of a run together into events, worst first: by how
// grave they are, then by how far and for how long a limit or a requirement was
// not met, then by how long an instrument was at fault and how surely.
func gathered(r *analysis.Result) []event {
	var out []event
	for _, f := range r.Findings {
		if n := upsetOf(r, f); n >= 0 {
			out = append(out, event{Finding: f, Upset: n})
		}
	}
	upsets := len(out)
	for _, f := range r.Findings {
		if upsetOf(r, f) >= 0 || !f.Alarm() {
			continue
		}
		best, most := -1, 0.0
		for i := range out[:upsets] {
			if s := shared(out[i].Finding, f); partOf(r, out[i], f, s) && s > most {
				best, most = i, s
			}
		}
		if best >= 0 {
			out[best].Parts = append(out[best].Parts, f)
			continue
		}
		out = append(out, event{Finding: f, Upset: -1})
	}
	for i := range out {
		out[i].harm = harm(r, &out[i])
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, b := &out[i], &out[j]
		if ra, rb := a.Severity.Rank(), b.Severity.Rank(); ra != rb {
			return ra < rb
		}
		if a.Upset >= 0 != (b.Upset >= 0) {
			return a.Upset >= 0
		}
		if a.harm != b.harm {
			return a.harm > b.harm
		}
		return a.Start < b.Start
	})
	return out
}

// How two findings come to be one event. Common practice, no source.
const (
	mostlyShared = 0.5 // of the longer, when both are of about the same length
	mostlyWithin = 0.8 // of the shorter, when the process is held at fault in both
)

// shared is how much of the shorter of two findings both have in common.
func shared(a, b finding.Finding) float64 {
	both := min(a.End, b.End) - max(a.Start, b.Start)
	return float64(both) / float64(max(1, min(a.End-a.Start, b.End-b.Start)))
}

// partOf says whether a finding tells of the same event as an upset.
func partOf(r *analysis.Result, e event, f finding.Finding, common float64) bool {
	if b := basinOf(r, f); b == nil || b.Name != r.Upsets[e.Upset].Basin {
		return false
	}
	longer, shorter := max(e.End-e.Start, f.End-f.Start), min(e.End-e.Start, f.End-f.Start)
	if common*float64(shorter) >= mostlyShared*float64(longer) {
		return true
	}
	return common >= mostlyWithin && e.AtFault == finding.Process && f.AtFault == finding.Process && f.End-f.Start <= e.End-e.Start
}

// harm weighs an event against others of its gravity: hours times the share by
// which what was required was missed; for an instrument, hours times confidence.
func harm(r *analysis.Result, e *event) float64 {
	if e.Upset < 0 {
		return float64(e.End-e.Start) / 3600_000 * e.Confidence
	}
	sum := 0.0
	for _, b := range r.Upsets[e.Upset].Episode.Breaches {
		hours := float64(b.Minutes) / 60
		if b.What == upset.EColiHigh {
			hours = 24 // a sample stands for its day
		}
		by := math.Abs(b.Worst-b.WorstLimit) / b.WorstLimit
		if b.What.Below() {
			by = math.Min(by, 1)
		}
		if hours*by > 0 {
			sum += hours * math.Min(by, 10)
		}
	}
	return sum
}

// partsWords says what else belongs to an event: "One upset, 3 findings: CT short,
// residual low and ammonia breakthrough."
func partsWords(r *analysis.Result, e *event) string {
	var names []string
	if e.Upset >= 0 {
		for _, w := range []upset.What{upset.CTShort, upset.ResidualLow, upset.ContactShort, upset.FinalHigh, upset.ResidualHigh, upset.EColiHigh} {
			if len(r.Upsets[e.Upset].Episode.Of(w)) > 0 {
				names = append(names, kindName(string(w)))
			}
		}
	}
	for _, f := range e.Parts {
		names = append(names, kindName(f.Kind))
	}
	if len(names) < 2 {
		return ""
	}
	return fmt.Sprintf("One event, %s: %s.", plural(len(names), "finding"), inWords(unique(names)))
}

func unique(names []string) []string {
	var out []string
	seen := map[string]bool{}
	for _, n := range names {
		if !seen[n] {
			seen[n] = true
			out = append(out, n)
		}
	}
	return out
}

// causeWords is what brought an event about, once.
func causeWords(r *analysis.Result, e *event) string {
	if e.Upset < 0 {
		return ""
	}
	x := &r.Upsets[e.Upset].Explanation
	return strings.TrimSpace(x.Cause.Says) + " " + sure(x)
}
