package reports

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/finding"
	"weirbook/analysis/upset"
	"weirbook/reports/page"
	"weirbook/reports/table"
)

// instruments says which instrument is held at fault, for how long, and what the
// process itself did.
func instruments(r *analysis.Result) string {
	if len(r.Basins) == 0 {
		return "ORP was not compared with residual: that needs a contact basin in plant.toml, with the instruments at its outlet."
	}
	if len(r.Judgements) == 0 {
		return "ORP was not compared with residual: no ORP probe stands beside a residual analyser."
	}
	hours := r.Disagreement()
	var parts []string
	for _, p := range []finding.Party{finding.ORPProbe, finding.ResidualAnalyser, finding.FlowMeter, finding.Data, finding.Undecided} {
		h := hours[p]
		if h == 0 {
			continue
		}
		switch p {
		case finding.Undecided:
			parts = append(parts, fmt.Sprintf("for %s h it is open which instrument is wrong", table.Group(h, 0)))
		case finding.Data:
			parts = append(parts, fmt.Sprintf("the recorded data were at fault for %s h", table.Group(h, 0)))
		default:
			who := r.Subjects(p)
			name, was := page.PartyName(p), "was"
			if len(who) > 1 {
				name, was = name+"s", "were"
			}
			if mostSure(r, p) < sureEnough {
				was = "may have been"
			}
			parts = append(parts, fmt.Sprintf("the %s %s %s at fault for %s h", name, inWords(who), was, table.Group(h, 0)))
		}
	}
	process := processEvents(r)
	var s string
	switch {
	case len(parts) > 0:
		s = strings.Join(parts, "; ")
		s = strings.ToUpper(s[:1]) + s[1:] + "."
	case !heldAgainst(r):
		s = "ORP could not be compared with residual; nothing else speaks against an instrument."
	case process == "":
		s = "ORP and residual agreed throughout; no instrument was found at fault."
	default:
		s = "No instrument was found at fault."
	}
	if process != "" {
		s += " In the process: " + process + "."
	}
	return s
}

// mostSure is the highest confidence with which a party is held at fault.
func mostSure(r *analysis.Result, p finding.Party) float64 {
	top := 0.0
	for _, f := range r.Findings {
		if f.AtFault == p && f.Alarm() && !toldByHours(f.Kind) {
			top = math.Max(top, f.Confidence)
		}
	}
	return top
}

// heldAgainst says whether any probe had an expectation to be held against.
func heldAgainst(r *analysis.Result) bool {
	for _, j := range r.Judgements {
		for _, m := range j.Models {
			for _, v := range m.Expected {
				if !math.IsNaN(v) {
					return true
				}
			}
		}
	}
	return false
}

// toldByHours says whether the hours of the basins tell of such an event.
func toldByHours(kind string) bool {
	return kind == string(upset.CTShort) || kind == string(upset.ContactShort) || kind == string(upset.ResidualLow)
}

// processEvents names what the process did by itself, the worst first; hours
// short of CT are told before.
func processEvents(r *analysis.Result) string {
	var out []string
	more := 0
	for _, f := range r.Findings {
		if f.AtFault != finding.Process || f.Severity == finding.Notice || !f.Alarm() || toldByHours(f.Kind) {
			continue
		}
		if len(out) == 2 {
			more++
			continue
		}
		out = append(out, kindName(f.Kind)+", "+page.Period(f.Start, f.End, r.Plant.Zone))
	}
	s := strings.Join(out, "; ")
	if more > 0 {
		s += fmt.Sprintf("; and %s", plural(more, "more event"))
	}
	return s
}
