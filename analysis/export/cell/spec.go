package cell

import (
	"math"
	"strconv"
	"strings"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// TagSpec is what a worker needs to know about one tag in one file.
type TagSpec struct {
	Name      string
	Ruled     bool // tags.csv names it, or there is no tags.csv
	Rule      rule.TagRule
	Kind      quantity.Kind
	working   quantity.Unit
	Unit      quantity.Unit // of the values as they stand
	hasUnit   bool
	Declared  string // unit as the export writes it
	Shown     string // the same, or the one that rows with different ones are converted to
	Desc      string
	conv      bool
	low       float64 // working unit; NaN none
	high      float64
	stated    bool // the span is stated, not the kind's physical one
	How       Condensing
	fills     *FillSet
	Words     bool // words become states
	RowUnit   bool // a unit in the row counts, also against tags.csv: laboratory results
	UnitAsked bool // a number without a unit in its row is set aside
	// A value strictly between these needs no conversion and gets no flag; none
	// does if the tag's values are converted or not kept.
	QuickLow, QuickHigh float64
	Message             string
	Severity            ledger.Severity
}

// Sampled says that the tag's values are results of samples.
func (s *TagSpec) Sampled() bool { return s.Ruled && s.How == KeepAll }

// SpecFor settles a tag's unit and rules. declared is the unit that the heading
// or the unit column states, "" if none.
func SpecFor(name, declared, desc string, rules map[string]rule.TagRule, fills *FillSet, plan UnitPlan) *TagSpec {
	s := settleSpec(name, declared, desc, rules, fills, plan)
	s.QuickLow, s.QuickHigh = math.Inf(1), math.Inf(-1)
	if s.Ruled && !s.conv {
		// Single-precision neighbours of a fill number count as it: keep off.
		s.QuickLow, s.QuickHigh = -1e18, 1e18 // whole numbers are told by int64
		if s.fills != nil {
			s.QuickLow, s.QuickHigh = max(s.QuickLow, s.fills.neg+0.1, Low), min(s.QuickHigh, s.fills.pos-0.1)
		}
		if s.low > s.QuickLow {
			s.QuickLow = math.Nextafter(s.low, math.Inf(-1))
		}
		if s.high < s.QuickHigh {
			s.QuickHigh = math.Nextafter(s.high, math.Inf(1))
		}
	}
	return s
}

func settleSpec(name, declared, desc string, rules map[string]rule.TagRule, fills *FillSet, plan UnitPlan) *TagSpec {
	s := &TagSpec{Name: name, Declared: declared, Shown: declared, Desc: desc, low: math.NaN(), high: math.NaN(), fills: fills}
	switch {
	case plan.ByRow:
		declared, s.Shown = plan.Base, plan.Base
	case declared == "":
		declared, s.Shown = plan.Blank, plan.Blank
	}
	du, derr := quantity.ParseUnit(declared)
	if rules == nil {
		s.Ruled, s.Kind = true, quantity.Other
		return s
	}
	r, ok := rules[name]
	if !ok {
		return s
	}
	s.Ruled, s.Rule, s.Kind = true, r, r.Kind
	info, _ := quantity.Of(r.Kind)
	s.working, s.Unit, s.hasUnit = info.Working, info.Working, true
	s.How = condensingFor(r.Reading)
	s.Words = r.AllowsWords()
	s.RowUnit = r.Reading == series.Grab || r.Reading == series.Composite || plan.ByRow
	s.UnitAsked = plan.Ask
	if r.Reading == series.Counter || r.Reading == series.State {
		s.fills = nil
	}
	s.settleSpan(r, info)
	s.settleUnit(r, info, plan, declared, du, derr)
	s.conv = s.Unit != s.working && (s.Unit.Scale != s.working.Scale || s.Unit.Offset != s.working.Offset)
	return s
}

// settleSpan takes the stated span, else the kind's.
func (s *TagSpec) settleSpan(r rule.TagRule, info quantity.Info) {
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
}

// settleUnit settles the unit of the values as they stand, and what there is to say of it.
func (s *TagSpec) settleUnit(r rule.TagRule, info quantity.Info, plan UnitPlan, declared string, du quantity.Unit, derr error) {
	name := s.Name
	switch {
	case r.HasUnit:
		s.Unit = r.Unit
		if w, err := quantity.Accept(r.Kind, r.Unit); err == nil {
			s.working = w
		}
		if (plan.Own || plan.Across) && derr == nil && du != r.Unit && du.Dimension == s.working.Dimension && r.Kind != quantity.Other {
			s.Unit = du
			s.Message = "tag " + name + ": the tables of this file state units that differ; this one is converted from its own, " + declared
			if !plan.Own {
				s.Message = "tag " + name + ": the exports state units that differ; this one is converted from its own, " + declared
			}
			break
		}
		if declared != "" && derr == nil && du != r.Unit && r.Kind != quantity.Other && !plan.ByRow {
			s.Message = "tag " + name + ": the export says " + declared + ", tags.csv says " + r.Unit.Symbol +
				"; read as " + r.Unit.Symbol + ". Correct whichever is wrong"
			s.Severity = ledger.Warning
			if s.RowUnit && plan.Rows {
				s.Message = "tag " + name + ": the export says " + declared + ", tags.csv says " + r.Unit.Symbol +
					"; each result is converted from the unit in its row"
				s.Severity = ledger.Note
			}
		}
	case declared != "" && derr == nil:
		w, err := quantity.Accept(r.Kind, du)
		if err != nil {
			s.Message = "tag " + name + ": the export's unit " + declared + " is no unit of " + string(r.Kind) + "; read as " + info.Working.Symbol + ". State the unit in tags.csv"
			s.Severity = ledger.Warning
			break
		}
		s.Unit, s.working = du, w
	case declared != "":
		s.Message = "tag " + name + ": the export's unit " + declared + " is not known; read as " + info.Working.Symbol + ". State the unit in tags.csv"
		s.Severity = ledger.Warning
	}
}

// Finish converts a value as read and flags fill numbers and values outside
// the stated span.
func (s *TagSpec) Finish(v float64, f series.Flag) (float64, series.Flag) {
	w := v
	if s.conv {
		w = (v*s.Unit.Scale + s.Unit.Offset - s.working.Offset) / s.working.Scale
	}
	return w, f | s.Screen(v, w)
}

// Screen flags a value, raw as read and in the working unit.
func (s *TagSpec) Screen(raw, w float64) series.Flag {
	if s.fills != nil && (raw <= s.fills.neg || raw >= s.fills.pos) && s.fills.has(raw) &&
		!(s.stated && w >= s.low && w <= s.high) {
		return series.SuspectFill
	}
	if w < s.low || w > s.high {
		return series.OutsideSpan
	}
	return 0
}

// Convert brings a value in another unit to the working unit.
func (s *TagSpec) Convert(v float64, u quantity.Unit) (float64, bool) {
	if s.Kind == quantity.Other {
		return v, true
	}
	w, err := quantity.Accept(s.Kind, u)
	if err != nil || w.Dimension != s.working.Dimension {
		return v, false
	}
	x, err := quantity.Convert(v, u, s.working)
	return x, err == nil
}

// Low is from where down a number may stand for no value though it is none of the usual
// ones, if it stands alone; MostLows is how many different ones a tag may have that do.
const (
	Low      = -98.5
	MostLows = 3
)

// LikeFill says whether a number is written as those are that stand for no value: whole
// and below zero, one digit again and again (999.9), or the end of a counter's range
// (4095, 16383). Common practice, no source.
func LikeFill(v float64) bool {
	if v < 0 && v == math.Trunc(v) {
		return true
	}
	if v > 1000 && v < 1<<40 && v == math.Trunc(v) {
		if n := uint64(v); n&(n+1) == 0 || n&(n-1) == 0 {
			return true
		}
	}
	digits := strings.ReplaceAll(strconv.FormatFloat(math.Abs(v), 'f', -1, 64), ".", "")
	return len(digits) >= 3 && strings.Count(digits, digits[:1]) == len(digits) && digits[0] != '0'
}

// Raw is the number that was read for a value as it is kept.
func (s *TagSpec) Raw(w float64) float64 {
	if !s.conv {
		return w
	}
	v := (w*s.working.Scale + s.working.Offset - s.Unit.Offset) / s.Unit.Scale
	if short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 9, 64), 64); err == nil {
		return short
	}
	return v
}

// InStatedSpan says whether tags.csv states a span that holds a number as read.
func (s *TagSpec) InStatedSpan(v float64) bool {
	w, _ := s.Finish(v, 0)
	return s.stated && w >= s.low && w <= s.high
}

// Fills says whether the tag's values may be fill numbers.
func (s *TagSpec) Fills() bool { return s.Ruled && s.fills != nil }

// FillSet holds fill numbers, with bounds that most values fail.
type FillSet struct {
	m        map[float64]bool
	neg, pos float64 // the negative one nearest to zero, the least positive one
}

func NewFillSet(list []float64) *FillSet {
	if list == nil {
		list = rule.DefaultFillNumbers()
	}
	if len(list) == 0 {
		return nil
	}
	s := &FillSet{m: map[float64]bool{}, neg: math.Inf(-1), pos: math.Inf(1)}
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
func (s *FillSet) has(v float64) bool {
	return s.m[v] || s.m[math.Round(v*100)/100] && float32(v) == float32(math.Round(v*100)/100)
}

// UnitPlan says how the units that the rows of one file state for a tag are
// taken. It is made of all of them, after a pass over the file.
type UnitPlan struct {
	ByRow bool   // they differ: each row is converted from its own
	Base  string // the unit that the tag then counts in, where tags.csv states none
	Blank string // the unit of rows that state none
	Ask   bool   // rows that state none are set aside
	Rows  bool   // a tag's declared unit is that of its rows, not of a heading
	Own   bool   // the tables of a file state units that differ: this one's is converted from its own
	// Across: the exports state units that differ, one of them that of tags.csv.
	Across bool
}
