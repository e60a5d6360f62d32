// Package finding defines what the judging steps hand on: one event, as a
// person would call it, with who is at fault, how sure, on what evidence, and
// what would settle it.
package finding

import "sort"

// Party is who or what a finding holds at fault.
type Party string

// The parties, as written in findings.csv.
const (
	ORPProbe         Party = "orp-probe"
	ResidualAnalyser Party = "residual-analyser"
	FlowMeter        Party = "flow-meter"
	Process          Party = "process"
	Data             Party = "data"
	Undecided        Party = "undecided"
)

// Severity orders findings for the reader.
type Severity string

// Severities, worst first.
const (
	Critical Severity = "critical" // disinfection or the outfall limit was at stake
	Warning  Severity = "warning"  // an instrument or feed needs attention soon
	Notice   Severity = "notice"   // worth knowing
)

// Rank gives 0 for the worst severity.
func (s Severity) Rank() int {
	switch s {
	case Critical:
		return 0
	case Warning:
		return 1
	}
	return 2
}

// Vote is what one witness says for or against a party.
type Vote struct {
	Witness string  // "DPD grabs", "second probe", "mass balance" …
	For     Party   // the party it points at; empty: it could not tell
	Weight  float64 // log-likelihood units; 0 when it could not tell
	Says    string  // one sentence with numbers
}

// Size is how far a reading, a feed or a demand stood from where it should, signed:
// above zero an instrument reads high, or there was more than normal of what the
// kind speaks of (water, chlorine, demand, feed).
type Size struct {
	Value float64
	Unit  string // "%" of the truth or of normal, "mV", "mg/L", "min"; empty: the kind has no size
}

// High says that a size is known and above zero.
func (s Size) High() bool { return s.Unit != "" && s.Value > 0 }

// Low says that a size is known and below zero.
func (s Size) Low() bool { return s.Unit != "" && s.Value < 0 }

// Finding is one event.
type Finding struct {
	Start, End int64  // Unix milliseconds, UTC
	Kind       string // a short fixed word: "orp-offset", "ct-short" …
	AtFault    Party
	Subject    string // the tag, basin or feed it is about
	Size       Size   // of the fault or event
	Severity   Severity
	Confidence float64  // 0…1; of findings at 0.8 about 80 % are right
	Summary    string   // one sentence an operator could read out on the radio
	Evidence   []string // sentences with numbers
	CheckNext  []string // what would settle it, in the order to do it
	Cautions   []string // those that go with touching live equipment
	Votes      []Vote   // the witnesses, heaviest first
	// Suspicion marks what rests on slow evidence that nothing has confirmed within two
	// days: it is told apart, and counts against nothing. Everything else is an alarm.
	Suspicion bool
}

// Words for how sure a finding is.
const (
	Sure   = "sure"   // of such alarms nine in ten were right on seeds not tuned on
	Likely = "likely" // eight in ten were
	Look   = "look"   // a suspicion: somebody should look, nobody need get up
)

// Word is how sure a finding is, in one word; only "sure" and "likely" are alarms.
func (f *Finding) Word() string {
	switch {
	case f.Suspicion || f.Confidence < 0.6:
		return Look
	case f.Confidence >= 0.9:
		return Sure
	}
	return Likely
}

// Alarm says that a finding counts: it is not only a suspicion.
func (f *Finding) Alarm() bool { return f.Word() != Look }

// Sort orders findings worst first, then by start, kind and subject, so that
// the same findings always come out in the same order.
func Sort(fs []Finding) {
	sort.SliceStable(fs, func(i, j int) bool {
		a, b := fs[i], fs[j]
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
}
