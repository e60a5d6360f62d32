package page

import (
	"math"
	"time"

	"weirbook/analysis/finding"
)

// PartyName is a party as people call it.
func PartyName(p finding.Party) string {
	switch p {
	case finding.ORPProbe:
		return "ORP probe"
	case finding.ResidualAnalyser:
		return "residual analyser"
	case finding.FlowMeter:
		return "flow meter"
	case finding.Process:
		return "process"
	case finding.Data:
		return "data"
	}
	return "undecided"
}

// SeveritySign is a severity as one character; its word stands beside it.
func SeveritySign(word string) string {
	switch finding.Severity(word) {
	case finding.Critical:
		return "✕"
	case finding.Warning:
		return "!"
	}
	return "i"
}

// SureScale is the one scale of confidence: finding.Word in a sentence, with what
// the words earned on the held-out half of examples/plants (see DEVELOPERS.md).
const SureScale = "sure, likely or look. On invented plants nine in ten of the sure findings were right, eight in ten of the likely ones, and half of those only worth a look."

// Sure says how sure a finding is in one word. Its percentage is left to the
// sheets: stated to two digits it promises more than it has earned.
func Sure(f finding.Finding) string {
	if math.IsNaN(f.Confidence) {
		return "not rated"
	}
	return f.Word()
}

// Period says from when to when on the plant's clock, naming the day once if
// it is one.
func Period(start, end int64, zone *time.Location) string {
	a, b := time.UnixMilli(start).In(zone), time.UnixMilli(end).In(zone)
	if a.Year() == b.Year() && a.YearDay() == b.YearDay() {
		return a.Format("Mon 2 Jan 15:04") + " to " + b.Format("15:04")
	}
	return a.Format("Mon 2 Jan 15:04") + " to " + b.Format("Mon 2 Jan 15:04")
}

// Row makes the table row of a finding; link is the ID of its event, or empty.
func Row(f finding.Finding, zone *time.Location, link string) FindingRow {
	r := FindingRow{
		Link:     link,
		Severity: string(f.Severity),
		When:     Period(f.Start, f.End, zone),
		Length:   finding.Length(time.Duration(f.End-f.Start) * time.Millisecond),
		What:     f.Summary,
		Who:      PartyName(f.AtFault),
		Sure:     Sure(f),
	}
	if f.Subject != "" {
		r.Who += ", " + f.Subject
	}
	if len(f.CheckNext) > 0 {
		r.Check = f.CheckNext[0]
	}
	return r
}

// EventOf makes the event of a finding, ready for pictures to be added.
func EventOf(f finding.Finding, zone *time.Location, id, title string, pictures ...Picture) Event {
	r := Row(f, zone, "")
	return Event{
		ID: id, Title: title, Severity: string(f.Severity),
		Facts: []Fact{
			{Name: "When", Value: r.When},
			{Name: "How long", Value: r.Length},
			{Name: "At fault", Value: r.Who},
			{Name: "How sure", Value: r.Sure},
		},
		Summary: f.Summary, Pictures: pictures, Evidence: f.Evidence, CheckNext: f.CheckNext, Cautions: f.Cautions,
	}
}
