package main

import (
	"math"
	"sort"

	"weirbook/analysis/finding"
	"weirbook/analysis/orp"
	"weirbook/examples/simulate"
)

// outcome is one event and what became of it.
type outcome struct {
	month    string
	class    string // kind of plant, for the table
	kind     simulate.Kind
	severity simulate.Severity
	abrupt   bool
	truth    string // who is at fault
	hours    float64
	found    bool
	said     string // the party of the finding
	saidKind string
	conf     float64
	onset    float64 // hours, start of the finding less that of the event
	end      float64
	delay    float64 // hours from the event's start to the alarm
	where    string
}

// claim is one finding and whether it was right.
type claim struct {
	conf  float64
	right bool
	false bool // no event there
	hours float64
	kind  string
	party string
	tag   string
	month string
	where string
}

// tally is a month's score.
type tally struct {
	outcomes   []outcome
	claims     []claim
	cleanHours float64
	falseHours float64
	overhang   float64 // hours of matched findings outside their event
}

// abrupt says whether a kind begins at once.
func abrupt(k simulate.Kind) bool {
	switch k {
	case simulate.ORPFouling, simulate.ReagentDrift, simulate.FlowDrift, simulate.AnalyserFouled, simulate.ORPSluggish, simulate.Storm, simulate.ClockWinter:
		return false
	}
	return true
}

// What happens at the inlet shows at the outlet a contact time later.
const pad = 90 * 60 * 1000 // ms

// judgeMonth matches findings to events one to one, the best overlap first. A
// match needs a tenth of the event covered (half an hour at least) and a finding
// not more than five times as long.
func judgeMonth(m *simulate.Month, class string, res orp.Result) tally {
	var t tally
	type pair struct {
		e, f int
		iou  float64
	}
	var pairs []pair
	for i, e := range m.Events {
		s, x := e.Start.UnixMilli(), e.End.UnixMilli()
		for j, f := range res.Findings {
			lap := float64(min(x+pad, f.End) - max(s-pad/3, f.Start))
			if lap <= 0 {
				continue
			}
			need := math.Min(float64(x-s)*0.1, 1.8e6)
			if lap < need || float64(f.End-f.Start) > 5*float64(x-s)+12*3.6e6 {
				continue
			}
			all := float64(max(x, f.End) - min(s, f.Start))
			pairs = append(pairs, pair{i, j, math.Min(1, lap/all)})
		}
	}
	sort.SliceStable(pairs, func(a, b int) bool { return pairs[a].iou > pairs[b].iou })
	ofEvent := make([]int, len(m.Events))
	ofFinding := make([]int, len(res.Findings))
	for i := range ofEvent {
		ofEvent[i] = -1
	}
	for j := range ofFinding {
		ofFinding[j] = -1
	}
	for _, p := range pairs {
		if ofEvent[p.e] < 0 && ofFinding[p.f] < 0 {
			ofEvent[p.e], ofFinding[p.f] = p.f, p.e
		}
	}
	// A second finding on the same event is no false alarm, but it is a claim.
	echo := make([]int, len(res.Findings))
	for j := range echo {
		echo[j] = -1
	}
	for _, p := range pairs {
		if ofFinding[p.f] < 0 && echo[p.f] < 0 {
			echo[p.f] = p.e
		}
	}
	for i, e := range m.Events {
		o := outcome{month: m.Config.Name, class: class, kind: e.Kind, severity: e.Severity, abrupt: abrupt(e.Kind),
			truth: e.AtFault, hours: e.End.Sub(e.Start).Hours(), where: e.Start.Format("01-02 15:04")}
		if j := ofEvent[i]; j >= 0 {
			f := res.Findings[j]
			o.found, o.said, o.saidKind, o.conf = true, string(f.AtFault), f.Kind, f.Confidence
			o.onset = float64(f.Start-e.Start.UnixMilli()) / 3.6e6
			o.end = float64(f.End-e.End.UnixMilli()) / 3.6e6
			o.delay = float64(res.Alarms[j]-e.Start.UnixMilli()) / 3.6e6
			lap := float64(min(e.End.UnixMilli(), f.End) - max(e.Start.UnixMilli(), f.Start))
			t.overhang += math.Max(0, float64(f.End-f.Start)-math.Max(lap, 0)) / 3.6e6
		}
		t.outcomes = append(t.outcomes, o)
	}
	busy := 0.0
	for _, e := range m.Events {
		busy += e.End.Sub(e.Start).Hours() + 2*float64(pad)/3.6e6
	}
	t.cleanHours = math.Max(0, float64(m.N)/60-busy)
	for j, f := range res.Findings {
		c := claim{conf: f.Confidence, hours: float64(f.End-f.Start) / 3.6e6, kind: f.Kind, party: string(f.AtFault), tag: f.Subject, month: m.Config.Name,
			where: simulateTime(m, f)}
		i := ofFinding[j]
		if i < 0 {
			i = echo[j]
		}
		if i >= 0 {
			c.right = string(f.AtFault) == m.Events[i].AtFault
		} else {
			c.false = true
			t.falseHours += c.hours
		}
		t.claims = append(t.claims, c)
	}
	return t
}

func simulateTime(m *simulate.Month, f finding.Finding) string {
	return m.Time(m.Index(timeOf(f.Start))).Format("01-02 15:04")
}
