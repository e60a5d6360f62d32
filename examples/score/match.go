package main

import (
	"math"
	"sort"

	"weirbook/analysis/finding"
	"weirbook/analysis/orp"
	"weirbook/examples/simulate"
)

// Severities of the plants' events; those of package simulate have three.
const (
	full = "full"
	half = "half-size"
)

// happening is one true event of a scored record; times in Unix milliseconds.
type happening struct {
	kind, severity string
	start, end     int64
	atFault, also  string // who is at fault, and who else is as right
	abrupt         bool
	excused        string // why nobody could tell it; empty: it counts
}

// found is one finding.
type found struct {
	finding.Finding
	alarm   int64 // when it was told
	follows bool  // it tells of something not met, not of a cause
	so      bool  // and that is true
}

// record is what is scored: the truth and what was found.
type record struct {
	name, class string
	exception   bool // stored by exception or by a swinging door
	hours       float64
	events      []happening
	rains       [][2]int64 // a finding of a storm in them is right
	lapses      [][2]int64 // so is one of an analyser
	findings    []found
	clock       func(ms int64) string
}

// outcome is one event and what became of it.
type outcome struct {
	month     string
	class     string // kind of plant, for the table
	kind      string
	severity  string
	abrupt    bool
	truth     string // who is at fault
	right     bool
	excused   string
	hours     float64
	found     bool
	party     string // the party of the finding
	foundKind string
	conf      float64
	onset     float64 // hours, start of the finding less that of the event
	end       float64
	delay     float64 // hours from the event's start to the alarm
	where     string
}

// claim is one finding and whether it was right.
type claim struct {
	conf  float64
	right bool
	false bool // no event there
	slow  bool // a suspicion, not an alarm
	word  string
	void  bool // it speaks of what the generator says cannot be told: not counted
	hours float64
	kind  string
	party string
	tag   string
	month string
	where string
}

// tally is a record's score.
type tally struct {
	class      string
	exception  bool
	outcomes   []outcome
	claims     []claim
	stories    []story
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
func judgeRecord(r record) tally {
	t := tally{class: r.class, exception: r.exception}
	type pair struct {
		e, f int
		iou  float64
	}
	var pairs []pair
	for i, e := range r.events {
		s, x := e.start, e.end
		for j, f := range r.findings {
			lap := float64(min(x+pad, f.End) - max(s-pad/3, f.Start))
			if lap <= 0 {
				continue
			}
			need := math.Min(float64(x-s)*0.1, 1.8e6)
			if lap < need || float64(f.End-f.Start) > 5*float64(x-s)+12*3.6e6 {
				continue
			}
			all := float64(max(x, f.End) - min(s, f.Start))
			iou := math.Min(1, lap/all)
			if f.follows {
				iou-- // what follows from a cause stands behind what names it
			}
			pairs = append(pairs, pair{i, j, iou})
		}
	}
	sort.SliceStable(pairs, func(a, b int) bool { return pairs[a].iou > pairs[b].iou })
	ofEvent := make([]int, len(r.events))
	ofFinding := make([]int, len(r.findings))
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
	echo := make([]int, len(r.findings))
	for j := range echo {
		echo[j] = -1
	}
	for _, p := range pairs {
		if ofFinding[p.f] < 0 && echo[p.f] < 0 {
			echo[p.f] = p.e
		}
	}
	for i := range r.events {
		e := &r.events[i]
		o := outcome{month: r.name, class: r.class, kind: e.kind, severity: e.severity, abrupt: e.abrupt, excused: e.excused,
			truth: e.atFault, hours: float64(e.end-e.start) / 3.6e6, where: r.clock(e.start)}
		if j := ofEvent[i]; j >= 0 {
			f := r.findings[j]
			o.found, o.party, o.foundKind, o.conf = true, string(f.AtFault), f.Kind, f.Confidence
			o.right = e.names(f)
			o.onset = float64(f.Start-e.start) / 3.6e6
			o.end = float64(f.End-e.end) / 3.6e6
			o.delay = float64(f.alarm-e.start) / 3.6e6
			lap := float64(min(e.end, f.End) - max(e.start, f.Start))
			t.overhang += math.Max(0, float64(f.End-f.Start)-math.Max(lap, 0)) / 3.6e6
		}
		t.outcomes = append(t.outcomes, o)
	}
	busy := 0.0
	for _, e := range r.events {
		busy += float64(e.end-e.start+2*pad) / 3.6e6
	}
	t.cleanHours = math.Max(0, r.hours-busy)
	for j, f := range r.findings {
		c := claim{conf: f.Confidence, hours: float64(f.End-f.Start) / 3.6e6, kind: f.Kind, party: string(f.AtFault), tag: f.Subject, month: r.name,
			slow: !f.Alarm(), word: f.Word(), where: r.clock(f.Start)}
		i := ofFinding[j]
		if i < 0 {
			i = echo[j]
		}
		switch {
		case i >= 0 && r.events[i].excused != "", i < 0 && (r.rainy(f) || r.lapsed(f) || f.so):
			c.void = true
		case i >= 0:
			// what tells of something not met is right if it was not met: it names no cause
			c.right = r.events[i].names(f) || f.follows && f.so
		default:
			c.false = true
			t.falseHours += c.hours
		}
		t.claims = append(t.claims, c)
	}
	return t
}

// names says that a finding holds who is at fault in the event.
func (e *happening) names(f found) bool {
	return string(f.AtFault) == e.atFault || e.also != "" && string(f.AtFault) == e.also
}

// rainy says that a finding tells of a storm where it did rain.
func (r *record) rainy(f found) bool {
	for _, s := range r.rains {
		if f.Kind == string(simulate.Storm) && f.Start < s[1] && f.End > s[0] {
			return true
		}
	}
	return false
}

// lapsed says that a finding names the analyser that did lapse for some minutes.
func (r *record) lapsed(f found) bool {
	for _, s := range r.lapses {
		if string(f.AtFault) == string(finding.ResidualAnalyser) && f.Start < s[1]+pad/3 && f.End > s[0]-pad/3 && f.End-f.Start < 2*pad {
			return true
		}
	}
	return false
}

// judgeMonth scores a month of package simulate.
func judgeMonth(m *simulate.Month, class string, res orp.Result) tally {
	r := record{name: m.Config.Name, class: class, hours: float64(m.N) / 60,
		clock: func(ms int64) string { return timeOf(ms).In(m.Loc).Format("01-02 15:04") }}
	for _, e := range m.Events {
		r.events = append(r.events, happening{kind: string(e.Kind), severity: string(e.Severity), start: e.Start.UnixMilli(), end: e.End.UnixMilli(),
			atFault: e.AtFault, abrupt: abrupt(e.Kind)})
	}
	for j, f := range res.Findings {
		r.findings = append(r.findings, found{Finding: f, alarm: res.Alarms[j]})
	}
	return judgeRecord(r)
}
