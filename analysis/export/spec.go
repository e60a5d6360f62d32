package export

import (
	"math"
	"sort"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// tagSpec is what a worker needs to know about one tag in one file.
type tagSpec struct {
	name      string
	ruled     bool // tags.csv names it, or there is no tags.csv
	rule      TagRule
	kind      quantity.Kind
	working   quantity.Unit
	unit      quantity.Unit // of the values as they stand
	hasUnit   bool
	declared  string // unit as the export writes it
	shown     string // the same, or the one that rows with different ones are converted to
	desc      string
	conv      bool
	low       float64 // working unit; NaN none
	high      float64
	stated    bool // the span is stated, not the kind's physical one
	how       hold
	fills     *fillSet
	words     bool // words become states
	rowUnit   bool // a unit in the row counts, also against tags.csv: laboratory results
	unitAsked bool // a number without a unit in its row is set aside
	// A value strictly between these needs no conversion and gets no flag; none
	// does if the tag's values are converted or not kept.
	quickLow, quickHigh float64
	message             string
	severity            Severity
}

// specFor settles a tag's unit and rules. declared is the unit that the heading
// or the unit column states, "" if none.
func specFor(name, declared, desc string, rules map[string]TagRule, fills *fillSet, plan unitPlan) *tagSpec {
	s := settleSpec(name, declared, desc, rules, fills, plan)
	s.quickLow, s.quickHigh = math.Inf(1), math.Inf(-1)
	if s.ruled && !s.conv {
		// Single-precision neighbours of a fill number count as it: keep off.
		s.quickLow, s.quickHigh = -1e18, 1e18 // whole numbers are told by int64
		if s.fills != nil {
			s.quickLow, s.quickHigh = max(s.quickLow, s.fills.neg+0.1), min(s.quickHigh, s.fills.pos-0.1)
		}
		if s.low > s.quickLow {
			s.quickLow = math.Nextafter(s.low, math.Inf(-1))
		}
		if s.high < s.quickHigh {
			s.quickHigh = math.Nextafter(s.high, math.Inf(1))
		}
	}
	return s
}

func settleSpec(name, declared, desc string, rules map[string]TagRule, fills *fillSet, plan unitPlan) *tagSpec {
	s := &tagSpec{name: name, declared: declared, shown: declared, desc: desc, low: math.NaN(), high: math.NaN(), fills: fills}
	switch {
	case plan.byRow:
		declared, s.shown = plan.base, plan.base
	case declared == "":
		declared, s.shown = plan.blank, plan.blank
	}
	du, derr := quantity.ParseUnit(declared)
	if rules == nil {
		s.ruled, s.kind = true, quantity.Other
		return s
	}
	r, ok := rules[name]
	if !ok {
		return s
	}
	s.ruled, s.rule, s.kind = true, r, r.Kind
	info, _ := quantity.Of(r.Kind)
	s.working, s.unit, s.hasUnit = info.Working, info.Working, true
	s.how = holdFor(r.Reading)
	s.words = r.takesWords()
	s.rowUnit = r.Reading == series.Grab || r.Reading == series.Composite || plan.byRow
	s.unitAsked = plan.ask
	if r.Reading == series.Counter || r.Reading == series.State {
		s.fills = nil
	}
	s.low, s.high = r.Low, r.High
	if s.low == 0 && s.high == 0 {
		s.low, s.high = math.NaN(), math.NaN()
	}
	s.stated = !math.IsNaN(s.low) && !math.IsNaN(s.high)
	if math.IsNaN(s.low) {
		s.low = info.Low
	}
	if math.IsNaN(s.high) {
		s.high = info.High
	}
	switch {
	case r.HasUnit:
		s.unit = r.Unit
		if w, err := quantity.Accept(r.Kind, r.Unit); err == nil {
			s.working = w
		}
		if declared != "" && derr == nil && du != r.Unit && r.Kind != quantity.Other && !plan.byRow {
			s.message = "tag " + name + ": the export says " + declared + ", tags.csv says " + r.Unit.Symbol +
				"; read as " + r.Unit.Symbol + ". Correct whichever is wrong"
			s.severity = Warning
			if s.rowUnit && plan.rows {
				s.message = "tag " + name + ": the export says " + declared + ", tags.csv says " + r.Unit.Symbol +
					"; each result is converted from the unit in its row"
				s.severity = Note
			}
		}
	case declared != "" && derr == nil:
		w, err := quantity.Accept(r.Kind, du)
		if err != nil {
			s.message = "tag " + name + ": the export's unit " + declared + " is no unit of " + string(r.Kind) + "; read as " + info.Working.Symbol + ". State the unit in tags.csv"
			s.severity = Warning
			break
		}
		s.unit, s.working = du, w
	case declared != "":
		s.message = "tag " + name + ": the export's unit " + declared + " is not known; read as " + info.Working.Symbol + ". State the unit in tags.csv"
		s.severity = Warning
	}
	s.conv = s.unit != s.working && (s.unit.Scale != s.working.Scale || s.unit.Offset != s.working.Offset)
	return s
}

// finish converts a value as read and flags fill numbers and values outside
// the stated span.
func (s *tagSpec) finish(v float64, f series.Flag) (float64, series.Flag) {
	w := v
	if s.conv {
		w = (v*s.unit.Scale + s.unit.Offset - s.working.Offset) / s.working.Scale
	}
	return w, f | s.screen(v, w)
}

// screen flags a value, raw as read and in the working unit.
func (s *tagSpec) screen(raw, w float64) series.Flag {
	if s.fills != nil && (raw <= s.fills.neg || raw >= s.fills.pos) && s.fills.has(raw) &&
		!(s.stated && w >= s.low && w <= s.high) {
		return series.SuspectFill
	}
	if w < s.low || w > s.high {
		return series.OutsideSpan
	}
	return 0
}

// convert brings a value in another unit to the working unit.
func (s *tagSpec) convert(v float64, u quantity.Unit) (float64, bool) {
	if s.kind == quantity.Other {
		return v, true
	}
	w, err := quantity.Accept(s.kind, u)
	if err != nil || w.Dimension != s.working.Dimension {
		return v, false
	}
	x, err := quantity.Convert(v, u, s.working)
	return x, err == nil
}

// fillSet holds fill numbers, with bounds that most values fail.
type fillSet struct {
	m        map[float64]bool
	neg, pos float64 // the negative one nearest to zero, the least positive one
}

func newFillSet(list []float64) *fillSet {
	if list == nil {
		list = DefaultFillNumbers()
	}
	if len(list) == 0 {
		return nil
	}
	s := &fillSet{m: map[float64]bool{}, neg: math.Inf(-1), pos: math.Inf(1)}
	for _, v := range list {
		s.m[v] = true
		if v <= 0 {
			s.neg = max(s.neg, v)
		} else {
			s.pos = min(s.pos, v)
		}
	}
	return s
}

// has tells also the single-precision neighbours of a fill number, which is
// what many systems really write.
func (s *fillSet) has(v float64) bool {
	return s.m[v] || s.m[math.Round(v*100)/100] && float32(v) == float32(math.Round(v*100)/100)
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
