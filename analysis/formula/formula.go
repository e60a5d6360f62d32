// Package formula is how the computing packages say what they compute: each
// exports Formulas() []formula.Entry next to the code, and "weirbook explain"
// and the report's sources section print that same list.
package formula

import (
	"sort"
	"strings"
)

// Mark says how well a source is known.
type Mark string

// Marks.
const (
	Verified Mark = "verified"    // seen in a retrieved text
	Memory   Mark = "from memory" // known, but the text was not retrieved
	Derived  Mark = "derived"     // computed from a stated formula or definition
	Practice Mark = "common practice, no source"
)

// Entry tells one formula.
type Entry struct {
	Quantity  string   // the word that explain is asked for: "pounds", "dose"
	Title     string   // "Pounds formula"
	Formula   string   // as one would write it on a whiteboard; several lines are allowed
	Constants []string // each with its unit: "8.34 lb per MG per mg/L (trade factor)"
	Units     string   // of the inputs and of the result
	Valid     string   // where it holds and where it does not; may be empty
	Source    string
	Mark      Mark
}

// Reference is the source with its mark; the mark of the whole is left off where
// the source states one for each of its parts.
func (e Entry) Reference() string {
	if e.Mark == "" || strings.Contains(e.Source, "("+string(Memory)+")") || e.Mark == Verified && strings.Contains(e.Source, "("+string(Verified)+")") {
		return e.Source
	}
	return strings.TrimSpace(e.Source + " (" + string(e.Mark) + ")")
}

// Find gives the entries whose quantity is q, or, when there is none, those
// whose quantity or title contains it; case and "-" or "_" for a blank do not
// matter.
func Find(es []Entry, q string) []Entry {
	fold := func(s string) string {
		return strings.ToLower(strings.NewReplacer("-", " ", "_", " ").Replace(strings.TrimSpace(s)))
	}
	q = fold(q)
	var exact, part []Entry
	for _, e := range es {
		switch {
		case fold(e.Quantity) == q:
			exact = append(exact, e)
		case strings.Contains(fold(e.Quantity), q) || strings.Contains(fold(e.Title), q):
			part = append(part, e)
		}
	}
	if len(exact) > 0 {
		return exact
	}
	return part
}

// Quantities lists the quantities that es explains, sorted, each once.
func Quantities(es []Entry) []string {
	seen := map[string]bool{}
	var out []string
	for _, e := range es {
		if !seen[e.Quantity] {
			seen[e.Quantity] = true
			out = append(out, e.Quantity)
		}
	}
	sort.Strings(out)
	return out
}
