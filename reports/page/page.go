// Package page lays a report out as one HTML file that needs nothing beside
// it, and as Markdown with pictures in files. What is said comes in as plain
// data; the package decides only where it stands and how it looks, on a
// screen, on a telephone and printed in grey.
package page

import (
	"weirbook/reports/table"
)

// Page is a whole report: the verdict first, then sections of one idea each.
type Page struct {
	Lang     string // of the text, for screen readers: "en" when empty
	Kind     string // what sort of report: "Disinfection report"
	Plant    string // "Alder Creek"
	Period   string // "1 March to 31 March 2026, plant clock CST/CDT"
	Verdict  Verdict
	Sections []Section
	Foot     string // last line: the tool's name and version
}

// Standing is how a figure or statement stands. It is always shown as a sign
// and a word, never as a colour alone.
type Standing int

const (
	Plain   Standing = iota // a figure that is neither good nor bad
	Good                    // within what is required
	Watch                   // near a limit, or an instrument in doubt
	Bad                     // outside of what is required
	Unknown                 // could not be determined
)

// Sign is the standing as one character.
func (s Standing) Sign() string {
	switch s {
	case Good:
		return "✓"
	case Watch:
		return "!"
	case Bad:
		return "✕"
	case Unknown:
		return "?"
	}
	return ""
}

// Word is the standing in words, for where the caller gives none.
func (s Standing) Word() string {
	switch s {
	case Good:
		return "as required"
	case Watch:
		return "look at this"
	case Bad:
		return "short of what is required"
	case Unknown:
		return "not determined"
	}
	return ""
}

// Class is the standing as a style name.
func (s Standing) Class() string {
	return [...]string{"plain", "good", "watch", "bad", "unknown"}[s]
}

// Verdict is what a person must know in ten seconds.
type Verdict struct {
	Standing  Standing
	Word      string   // beside the sign: "Short for 6 hours"; empty: the standing's own word
	Sentences []string // three; the first is set large
	Figures   []Figure // the strip, in order of weight
}

// Figure is one number of the strip.
type Figure struct {
	Name     string // "Hours CT was met"
	Value    string // "731 of 737"
	Unit     string // "h"
	Note     string // "6 h could not be determined"; empty: none
	Standing Standing
	Word     string // empty: the standing's own word
}

// Section is one idea.
type Section struct {
	ID     string // for links: letters, digits and hyphens; unique in the page
	Title  string
	Lead   string // one sentence under the title; empty: none
	Blocks []Block
}

// Block is one piece of a section. Exactly one of its fields is set; the
// functions below make blocks.
type Block struct {
	Text     string // a paragraph
	Heading  string // a heading within the section
	Points   []string
	Steps    []string // a numbered list
	Picture  *Picture
	Table    *table.Table
	Facts    []Fact
	Findings []FindingRow
	Event    *Event
	Cautions []string
	Blanks   []string // lines to be filled in by hand, such as a signature
	Fold     *Folded
}

// Folded is what only some readers want: closed on screen, opened by its title,
// and printed only when it is open.
type Folded struct {
	Title  string
	Note   string // beside the title: how much it holds; empty: none
	Blocks []Block
}

// Text is a paragraph.
func Text(s string) Block { return Block{Text: s} }

// Heading is a heading within a section.
func Heading(s string) Block { return Block{Heading: s} }

// Points is a list.
func Points(items ...string) Block { return Block{Points: items} }

// Steps is a numbered list.
func Steps(items ...string) Block { return Block{Steps: items} }

// Chart is a picture with its words.
func Chart(p Picture) Block { return Block{Picture: &p} }

// Table is a table.
func Table(t *table.Table) Block { return Block{Table: t} }

// Facts is a list of names and what they stand for: settings, formulas, inputs.
func Facts(fs ...Fact) Block { return Block{Facts: fs} }

// Findings is the table of findings.
func Findings(rows []FindingRow) Block { return Block{Findings: rows} }

// OneEvent is an event with all that belongs to it.
func OneEvent(e Event) Block { return Block{Event: &e} }

// Cautions is a box of cautions.
func Cautions(items ...string) Block { return Block{Cautions: items} }

// Fold closes blocks behind one line; without blocks it is nothing, so ask first.
func Fold(title, note string, blocks ...Block) Block {
	return Block{Fold: &Folded{Title: title, Note: note, Blocks: blocks}}
}

// Blanks is lines to be filled in by hand.
func Blanks(labels ...string) Block { return Block{Blanks: labels} }

// Picture is a chart as PNG.
type Picture struct {
	File    string // its name in the run's folder: "charts/timeline.png"
	PNG     []byte
	Draw    func() ([]byte, error) // makes the PNG when the page is drawn; nil: PNG holds it
	Alt     string                 // its message, for who cannot see it
	Caption string                 // under the picture; empty: none
	Live    []byte                 // its data as JSON (chart.Timeline.Live), drawn in place of the PNG where scripts run; nil: the PNG only
}

// Fact is a name and what it stands for.
type Fact struct {
	Name, Value string
	Note        string // source or remark; empty: none
}

// FindingRow is a finding in the table of what needs attention.
type FindingRow struct {
	Link     string // "event-1": the ID of the event it leads to; empty: none
	Number   int    // in the list; 0: not numbered
	Severity string // critical, warning, notice
	When     string
	Length   string
	What     string
	Parts    string // what else belongs to the same event: "one upset, 3 findings: …"; empty: nothing
	Who      string
	Sure     string
	Check    string // what to do first
}

// Event is one event in full.
type Event struct {
	ID        string
	Title     string
	Severity  string
	Facts     []Fact // when, how long, who, how sure
	Summary   string
	Pictures  []Picture
	Evidence  []string
	Blocks    []Block // between evidence and checks
	RuledOut  []string
	CheckNext []string
	Cautions  []string
	Folded    []Block // last: the whole evidence, for who wants it
}
