package page

import (
	"fmt"
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
const SureScale = "sure: of such findings on invented plants nearly eight in ten were right; likely: six in ten; look: one in three, a suspicion worth a look."

// Sure says how sure a finding is in one word. Its percentage is left to the
// sheets: stated to two digits it promises more than it has earned.
func Sure(f finding.Finding) string {
	if math.IsNaN(f.Confidence) {
		return "not rated"
	}
	return f.Word()
}

// Length says how long something took.
func Length(d time.Duration) string {
	m := int(math.Round(d.Minutes()))
	switch {
	case m < 60:
		return fmt.Sprintf("%d min", m)
	case m < 48*60 && m%60 == 0:
		return fmt.Sprintf("%d h", m/60)
	case m < 48*60:
		return fmt.Sprintf("%d h %d min", m/60, m%60)
	}
	h := (m + 30) / 60
	if h%24 == 0 {
		return fmt.Sprintf("%d d", h/24)
	}
	return fmt.Sprintf("%d d %d h", h/24, h%24)
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
		Length:   Length(time.Duration(f.End-f.Start) * time.Millisecond),
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
