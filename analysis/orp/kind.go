package orp

import (
	"fmt"

	"weirbook/analysis/finding"
)

// kind is one sort of event: who is at fault, how bad it is, and its words (how sure: confidences).
type kind struct {
	name     string // as written in findings.csv
	party    finding.Party
	severity finding.Severity
	size     func(x float64) finding.Size // of what its events measure
	summary  sentence
	own      sentence // what the signal says about itself; of a verdict its witnesses speak
	checks   func(w *work, e *event) []string
	cautions []string
}

// sentence words an event; since is its time in words.
type sentence func(w *work, e *event, since string) string

// newKind takes everything by place, so that a kind without its words does not compile.
func newKind(name string, party finding.Party, severity finding.Severity, size func(float64) finding.Size,
	summary, own sentence, checks func(w *work, e *event) []string, cautions []string) *kind {
	k := &kind{name, party, severity, size, summary, own, checks, cautions}
	kinds = append(kinds, k)
	return k
}

// kinds lists every sort of event in the order of the files below.
var kinds []*kind

// words makes a sentence of a format with the tag and the time.
func words(format string) sentence {
	return func(_ *work, e *event, since string) string { return fmt.Sprintf(format, e.subject, since) }
}

// witnessed stands where the witnesses of a verdict speak, not the signal itself.
func witnessed(_ *work, e *event, _ string) string {
	return fmt.Sprintf("%s: %s.", e.subject, e.kind.name)
}

// lists gives the same checks for every event.
func lists(checks ...string) func(*work, *event) []string {
	return func(*work, *event) []string { return checks }
}
