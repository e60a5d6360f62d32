package discharge

import (
	"fmt"
	"math"

	"weirbook/analysis/plant"
)

// Rule is what a result below the reporting limit counts for.
type Rule string

// The rules in use. Zero: a permit family, 1, 2 and <ML average to 1. Half: half
// the limit. Limit: the limit itself, and the figure is passed on as "less
// than". WithoutSign: the number, and the figure has no sign (Iowa DNR, for
// bacteria). Fixed: a number the permit states. MLE and KaplanMeierRule
// estimate the mean of the whole (Helsel 2005).
const (
	Zero            Rule = "zero"
	Half            Rule = "half"
	Limit           Rule = "limit"
	WithoutSign     Rule = "without-sign"
	Fixed           Rule = "value"
	MLE             Rule = "mle"
	KaplanMeierRule Rule = "kaplan-meier"
)

// rules in the order they are shown.
var rules = []Rule{Zero, Half, Limit, WithoutSign, Fixed, MLE, KaplanMeierRule}

// Words says the rule in a sentence's words.
func (r Rule) Words(fixed float64) string {
	switch r {
	case Zero:
		return "results below the reporting limit count as zero"
	case Half:
		return "results below the reporting limit count as half of it"
	case Limit:
		return "results below the reporting limit count as the limit, and the figure is a \"less than\""
	case WithoutSign:
		return "results below the reporting limit count as their number, without the sign"
	case Fixed:
		return "results below the reporting limit count as " + shortest(fixed)
	case MLE:
		return "maximum likelihood, lognormal"
	case KaplanMeierRule:
		return "Kaplan–Meier"
	}
	return string(r)
}

// Choice is the permit's rules on results below a reporting limit.
type Choice struct {
	Rule     Rule
	Fixed    float64 // for Fixed, in the unit of the values
	AllBelow string  // "less-than-largest" (Colorado general permit rationale) or "as-rule"
	// Floor replaces zeros where a logarithm is taken and for counts of
	// organisms: 1 (Colorado general permit rationale: 1 below 2.2 per 100 mL).
	Floor       float64
	Counts      bool // the values are counts of organisms
	MinDetected int  // least number of detected values for maximum likelihood
}

// choice takes the permit's rules for values in a unit of its own: the fixed
// number is stated in the unit of the limit.
func choice(r plant.Reporting, s Settings, counts bool) Choice {
	return Choice{Rule: Rule(r.NonDetect), Fixed: r.NonDetectValue, AllBelow: r.AllBelow,
		Floor: s.CountFloor, Counts: counts, MinDetected: s.MinDetected}
}

// Used is the number that v counts for. Maximum likelihood and Kaplan–Meier
// give no number to a single result: there its limit is taken.
func (c Choice) Used(v Value) float64 {
	x := v.V
	if v.Sign == Less {
		switch c.Rule {
		case Zero:
			x = 0
		case Half:
			x = v.V / 2
		case Fixed:
			x = c.Fixed
		}
	}
	if c.Counts && x == 0 { // NaN stays
		x = c.Floor
	}
	return x
}

// Figure is a statistic of some results.
type Figure struct {
	Value
	Rule Rule   // the rule it was made by; may differ from the permit's, see Note
	Note string // why another rule had to be taken; what the sign means
	Open bool   // some results below a limit not stated may lie beyond it
}

// mean is a way to average.
type mean uint8

const (
	arithmetic mean = iota
	geometric
)

// Mean is the arithmetic mean under the rule; NaN of nothing.
//
// Source: 40 CFR 122.41(l)(4)(iii), averages are arithmetic means unless the
// permit says otherwise (from memory); EPA DMR form instructions.
func (c Choice) Mean(vs []Value) Figure { return c.average(vs, arithmetic) }

// GeometricMean is the nth root of the product under the rule; NaN of nothing.
//
// Source: EPA DMR form instructions, geometric for bacteria.
func (c Choice) GeometricMean(vs []Value) Figure { return c.average(vs, geometric) }

func (c Choice) average(vs []Value, how mean) Figure {
	if n := numberless(vs, Greater); n > 0 {
		return c.averageOfCounted(vs, n, how)
	}
	if len(vs) == 0 {
		return Figure{Value: Value{V: math.NaN()}, Rule: c.Rule}
	}
	if f, ok := c.allBelow(vs); ok {
		return f
	}
	if n := numberless(vs, Less); n > 0 && c.Rule != Zero && c.Rule != Fixed {
		return Figure{Value: Value{math.NaN(), Less}, Rule: c.Rule, Note: noLimit(n)}
	}
	below := ofSign(vs, Less)
	var out Figure
	rule := c.Rule
	if below > 0 && (rule == MLE || rule == KaplanMeierRule) {
		v, err := c.estimate(vs, how)
		if err == nil {
			out = Figure{Value: Value{V: v}, Rule: rule}
		} else {
			out.Note = err.Error() + "; the limit was taken instead"
			rule = Limit
		}
	}
	if out.Rule == "" {
		d := c
		d.Rule = rule
		out.Rule = rule
		out.V = d.substituted(vs, how)
		if rule == Limit && below > 0 {
			out.Sign = Less
		}
	}
	// New York DMR guidance: where both signs occur, "greater than" wins.
	if ofSign(vs, Greater) > 0 {
		out.Sign = Greater
	}
	return out
}

// averageOfCounted leaves out what was too many to count. Each such result is at
// least the method's most, so that the figure of the others is "at least".
func (c Choice) averageOfCounted(vs []Value, n int, how mean) Figure {
	var rest []Value
	for _, v := range vs {
		if v.Sign != Greater || finite(v.V) {
			rest = append(rest, v)
		}
	}
	f := c.average(rest, how)
	f.Sign = Greater
	f.Note = joinNotes(f.Note, tooManyNote(n))
	return f
}

func tooManyNote(n int) string {
	return fmt.Sprintf("%d result%s too many to count ha%s no number: the figure is that of the others, and \"at least\"", n, plural(n), map[bool]string{true: "s", false: "ve"}[n == 1])
}

func noLimit(n int) string {
	return fmt.Sprintf("%d result%s below a limit that neither the sheet nor [[lab]] in plant.toml states: under the rule used the figure needs that limit", n, map[bool]string{true: " is", false: "s are"}[n == 1])
}

func joinNotes(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}

// allBelow: when no result was detected, the figure is "less than" the largest
// limit (Colorado general permit rationale), unless the permit's rule is to
// treat it as any other figure.
func (c Choice) allBelow(vs []Value) (Figure, bool) {
	if c.AllBelow == "as-rule" || ofSign(vs, Less) != len(vs) {
		return Figure{}, false
	}
	top := vs[0].V
	for _, v := range vs {
		top = math.Max(top, v.V) // NaN where one is not known
	}
	if n := numberless(vs, Less); n > 0 {
		return Figure{Value: Value{math.NaN(), Less}, Rule: c.Rule, Note: noLimit(n)}, true
	}
	return Figure{Value: Value{top, Less}, Rule: c.Rule,
		Note: "every result is below its reporting limit: less than the largest of the limits"}, true
}

// forParts is the choice for the parts of a figure, such as the weeks of a
// month: the all-below rule is about the figure. Where something was detected, a
// week without a detection counts by the rule, so that weeks can be compared.
func (c Choice) forParts(all []Value) Choice {
	if ofSign(all, Less) < len(all) {
		c.AllBelow = "as-rule"
	}
	return c
}

func (c Choice) substituted(vs []Value, how mean) float64 {
	var sum float64
	for _, v := range vs {
		x := c.Used(v)
		if how == geometric {
			if x <= 0 {
				x = c.Floor
			}
			x = math.Log(x)
		}
		sum += x
	}
	m := sum / float64(len(vs))
	if how == geometric {
		return math.Exp(m)
	}
	return m
}

func (c Choice) estimate(vs []Value, how mean) (float64, error) {
	if c.Rule == MLE {
		l, err := FitLognormal(vs, c.MinDetected)
		if how == geometric {
			return l.GeometricMean(), err
		}
		return l.Mean(), err
	}
	st, err := KaplanMeier(vs)
	if err != nil {
		return math.NaN(), err
	}
	if how == arithmetic {
		return stepsMean(st, func(x float64) float64 { return x }, func(x float64) float64 { return x }), nil
	}
	return stepsMean(st, func(x float64) float64 {
		if x <= 0 {
			x = c.Floor
		}
		return math.Log(x)
	}, math.Exp), nil
}

// RuleFigure is what a statistic comes to under one rule.
type RuleFigure struct {
	Rule  Rule
	Value Value  // V NaN when the rule gives no answer
	Note  string // why it gives none
}

// spread gives the statistic under every rule, so that nobody is surprised by
// the choice. A fixed number is left out where none is stated.
func (c Choice) spread(stat func(Choice) Figure) []RuleFigure {
	var out []RuleFigure
	for _, r := range rules {
		if r == Fixed && math.IsNaN(c.Fixed) {
			continue
		}
		d := c
		d.Rule = r
		d.AllBelow = "as-rule"
		f := stat(d)
		rf := RuleFigure{Rule: r, Value: f.Value}
		if f.Rule != r {
			rf.Value, rf.Note = Value{V: math.NaN()}, f.Note
		}
		out = append(out, rf)
	}
	return out
}

func (v Value) text(p Places, h HalfRule) string {
	s := Round(v.V, p, h)
	if s == "" {
		return ""
	}
	return string(v.Sign) + s
}
