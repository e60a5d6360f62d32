// Package ledger accounts for what became of every row, and holds what there is to
// say about it: reasons, counts, rows set aside with their text, messages.
package ledger

import (
	"fmt"
	"sort"

	"weirbook/analysis/series"
)

// Question is what a person can settle about a file by a key under [[source]] in
// plant.toml.
type Question struct {
	Key    string
	Values []string // what may be written, the likelier first; none: any
}

// Reason says why a row was set aside.
type Reason uint8

// Reasons for setting a row (long file) or a cell (wide file) aside.
const (
	BlankValue    Reason = iota // no value and no quality that explains it
	TextValue                   // text in place of a value
	BadNumber                   // a number that cannot be one: too large for a float
	UnitUnknown                 // a unit in the cell or its row that cannot be converted
	BadTime                     // a time that cannot be read
	NoSuchTime                  // a local time that a clock change skips
	RepeatedHour                // the repeated hour of a clock change, which of the two is not known
	DateOrder                   // day-first or month-first is not known
	OutsidePeriod               // outside the period asked for
	NotInTags                   // tag not in tags.csv
	NoTag                       // no tag in the row
	Repeated                    // the same reading stood there before
	Conflicting                 // another reading of that time was kept
	CutShort                    // fewer fields than the heading
	TooManyFields               // more fields than the heading, so the columns are in doubt
	NotARow                     // another table, a footer, or a heading in the middle
	Damaged                     // binary, or a field longer than any reading
	ControlSample               // a blank, a spike or a duplicate: it controls the laboratory's work
	FarOff                      // a time further from all others than these are long: a clock that was reset
	DecimalMark                 // a number that fits a decimal point as well as one between thousands
	NumReasons
)

var reasonNames = [NumReasons]string{
	"blank", "text in place of a value", "number out of range", "unknown unit",
	"time not understood", "time does not exist", "repeated hour not told apart",
	"day or month first not known", "outside the period", "tag not in tags.csv", "no tag",
	"repeated reading", "conflicting reading", "row cut short", "too many fields",
	"not a data row", "damaged", "control sample", "far from the record", "decimal mark not known",
}

// String is the word in readings.csv and set-aside.csv.
func (r Reason) String() string {
	if int(r) < len(reasonNames) {
		return reasonNames[r]
	}
	return "unknown"
}

// Reasons lists all reasons in the order of the ledger's columns.
func Reasons() []Reason {
	out := make([]Reason, NumReasons)
	for i := range out {
		out[i] = Reason(i)
	}
	return out
}

// LedgerRow accounts for one tag in one file. It counts rows of a long file
// and cells of a wide one. Rows that belong to no tag stand under Tag "".
//
// Rows = Used + the sum of Aside. Readings condensed to a minute's mean count
// as used, each of them; so do flagged ones, of which Flagged says how many.
type LedgerRow struct {
	File, Tag string
	Rows      int
	Used      int
	Aside     [NumReasons]int
	// Of the used, flagged by the reader; a reading can have several flags.
	// Condensed are those that shared a minute with others of their file and went
	// into one reading with them.
	Bad, Uncertain, OutsideSpan, Fill, LessThan, GreaterThan, Condensed, Late int
}

// AddsUp reports whether every row is accounted for.
func (l LedgerRow) AddsUp() bool {
	n := l.Used
	for _, a := range l.Aside {
		n += a
	}
	return n == l.Rows
}

func (l *LedgerRow) Flag(f series.Flag, n int) {
	if f&series.Bad != 0 {
		l.Bad += n
	}
	if f&series.Uncertain != 0 {
		l.Uncertain += n
	}
	if f&series.OutsideSpan != 0 {
		l.OutsideSpan += n
	}
	if f&series.SuspectFill != 0 {
		l.Fill += n
	}
	if f&series.LessThan != 0 {
		l.LessThan += n
	}
	if f&series.GreaterThan != 0 {
		l.GreaterThan += n
	}
	if f&series.Late != 0 {
		l.Late += n
	}
}

// Notes are what there is to say about a table.
type Notes []Message

// Add says one thing more.
func (n *Notes) Add(sev Severity, line int, format string, args ...any) {
	*n = append(*n, Message{Severity: sev, Line: line, Text: fmt.Sprintf(format, args...)})
}

// Ask says one thing more that a key of plant.toml can settle.
func (n *Notes) Ask(q Question, line int, format string, args ...any) {
	*n = append(*n, Message{Severity: Warning, Line: line, Text: fmt.Sprintf(format, args...), Asks: q})
}

// SetAside is one row that was not used, with its text.
type SetAside struct {
	File   string
	Line   int // 0: the place was not kept
	Tag    string
	Reason Reason
	Text   string
}

func SortAside(a []SetAside) {
	sort.SliceStable(a, func(i, j int) bool {
		x, y := a[i], a[j]
		switch {
		case x.File != y.File:
			return CompareNames(x.File, y.File) < 0
		case x.Line != y.Line:
			return x.Line < y.Line
		case x.Tag != y.Tag:
			return x.Tag < y.Tag
		case x.Reason != y.Reason:
			return x.Reason < y.Reason
		}
		return x.Text < y.Text
	})
}

// AsideList keeps the first rows of one file set aside for one reason, by line:
// the same ones whatever the order they come in.
type AsideList struct {
	Rows []SetAside
	full bool
	last int // line of the last kept, once full
}

// Wants says whether a row of that line may be among the first.
func (l *AsideList) Wants(line int) bool { return !l.full || line <= l.last }

func (l *AsideList) Add(x SetAside) {
	if l.Rows = append(l.Rows, x); len(l.Rows) == 2*SetAsideCap {
		l.Trim()
	}
}

func (l *AsideList) Trim() {
	SortAside(l.Rows)
	if len(l.Rows) >= SetAsideCap {
		l.Rows = l.Rows[:SetAsideCap]
		l.full, l.last = true, l.Rows[SetAsideCap-1].Line
	}
}

// SetAsideCap is how many rows are kept with their text per file and reason;
// the ledger counts them all.
const SetAsideCap = 200

// Severity of a message.
type Severity uint8

// Severities.
const (
	Note    Severity = iota // a guess or a fact to know
	Warning                 // look at it
	Error                   // readings were lost over it
)

// Message tells a person what the reader met: what, where, and what to do next.
type Message struct {
	Severity Severity
	File     string
	Line     int // 0: the whole file
	Text     string
	Asks     Question // its Key is "" where nothing is to be written in plant.toml
}

func (l *LedgerRow) Add(o LedgerRow) {
	l.Rows += o.Rows
	l.Used += o.Used
	for i := range l.Aside {
		l.Aside[i] += o.Aside[i]
	}
	l.Bad += o.Bad
	l.Uncertain += o.Uncertain
	l.OutsideSpan += o.OutsideSpan
	l.Fill += o.Fill
	l.LessThan += o.LessThan
	l.GreaterThan += o.GreaterThan
	l.Condensed += o.Condensed
	l.Late += o.Late
}
