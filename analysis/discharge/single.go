package discharge

import (
	"math"
	"sort"
)

// Quantile is the smallest result with at least the share p of the results at
// or below it (nearest rank): "not more than 10 percent above" holds exactly
// when the 0.9 quantile is not above. By maximum likelihood it is that of the
// fitted distribution. The sign of the result that is picked is carried.
func (c Choice) Quantile(vs []Value, p float64) Figure {
	if len(vs) == 0 {
		return Figure{Value: Value{V: math.NaN()}, Rule: c.Rule}
	}
	if f, ok := c.allBelow(vs); ok {
		return f
	}
	if numberless(vs, Less)+numberless(vs, Greater) > 0 {
		return Figure{Value: c.pick(vs, p), Rule: c.single(vs)}
	}
	if c.Rule == MLE && ofSign(vs, Less) > 0 {
		l, err := FitLognormal(vs, c.MinDetected)
		if err == nil {
			return Figure{Value: Value{V: l.Quantile(p)}, Rule: MLE}
		}
		return Figure{Value: c.pick(vs, p), Rule: Limit, Note: err.Error() + "; the limit was taken instead"}
	}
	if c.Rule == KaplanMeierRule && ofSign(vs, Less) > 0 {
		if st, err := KaplanMeier(vs); err == nil {
			return Figure{Value: Value{V: stepsQuantile(st, p)}, Rule: KaplanMeierRule}
		}
	}
	return Figure{Value: c.pick(vs, p), Rule: c.Rule}
}

// pick sorts by the number counted for and takes the nearest rank.
func (c Choice) pick(vs []Value, p float64) Value {
	s := c.sorted(vs)
	k := int(math.Ceil(p*float64(len(s)) - 1e-9))
	return c.carried(s[min(max(k, 1), len(s))-1])
}

// Median is the middle result, or the mean of the middle two.
func (c Choice) Median(vs []Value) Value {
	if len(vs) == 0 {
		return Value{V: math.NaN()}
	}
	s := c.sorted(vs)
	a, b := c.carried(s[(len(s)-1)/2]), c.carried(s[len(s)/2])
	out := Value{V: (a.V + b.V) / 2, Sign: a.Sign}
	switch {
	case finite(a.V) && !finite(b.V): // sorted: b is too many to count
		return Value{a.V, Greater}
	case finite(b.V) && !finite(a.V):
		return Value{b.V, Less}
	case a.Sign == b.Sign:
	case b.Sign == Greater || a.Sign == Greater:
		out.Sign = Greater
	default: // one of two is a "less than": so is their mean
		out.Sign = Less
	}
	return out
}

func (c Choice) sorted(vs []Value) []Value {
	s := append([]Value(nil), vs...)
	sort.SliceStable(s, func(i, j int) bool {
		a, b := c.order(s[i]), c.order(s[j])
		if a != b {
			return a < b
		}
		return rank(s[i].Sign) < rank(s[j].Sign)
	})
	return s
}

// order is where a value stands among others: what it counts for, and one without
// a number before or behind all.
func (c Choice) order(v Value) float64 {
	x := c.Used(v)
	switch {
	case finite(x):
		return x
	case v.Sign == Less:
		return math.Inf(-1)
	}
	return math.Inf(1)
}

// rank puts "<5" below 5 and ">5" above it.
func rank(s Sign) int {
	switch s {
	case Less:
		return 0
	case Greater:
		return 2
	}
	return 1
}

// carried is a single result as a figure: the number it counts for, with the
// "<" where the rule passes it on.
func (c Choice) carried(v Value) Value {
	out := Value{V: c.Used(v), Sign: v.Sign}
	if v.Sign == Less && c.Rule != Limit && c.Rule != MLE && c.Rule != KaplanMeierRule {
		out.Sign = Exact
	}
	return out
}

// Highest and Lowest give the extreme result under the rule, and which it is;
// -1 of nothing. Where all are below, the all-below rule holds for the highest.
func (c Choice) Highest(vs []Value) (Figure, int) { return c.extreme(vs, true) }

// Lowest: see Highest. The New York rule on signs is turned round for a minimum.
func (c Choice) Lowest(vs []Value) (Figure, int) { return c.extreme(vs, false) }

func (c Choice) extreme(vs []Value, high bool) (Figure, int) {
	best := -1
	for i, v := range vs {
		if !finite(c.Used(v)) {
			continue
		}
		if best < 0 {
			best = i
			continue
		}
		a, b := c.Used(v), c.Used(vs[best])
		ra, rb := rank(v.Sign), rank(vs[best].Sign)
		if high && (a > b || a == b && ra > rb) || !high && (a < b || a == b && ra < rb) {
			best = i
		}
	}
	more, less := numberless(vs, Greater), numberless(vs, Less)
	if c.Rule == Zero || c.Rule == Fixed {
		less = 0
	}
	if best < 0 {
		out := Figure{Value: Value{V: math.NaN()}, Rule: c.Rule}
		switch {
		case more > 0:
			out.Sign, out.Note = Greater, "every result is too many to count"
		case less > 0:
			out.Sign, out.Note = Less, noLimit(less)
		}
		return out, -1
	}
	if high {
		if f, ok := c.allBelow(vs); ok {
			return f, best
		}
	}
	out := Figure{Value: c.carried(vs[best]), Rule: c.single(vs)}
	switch {
	case high && more > 0: // the highest is at least that of the others
		out.Sign, out.Note = Greater, tooManyNote(more)
	case !high && less > 0:
		out.Sign, out.Note = Less, noLimit(less)
	case less > 0:
		out.Open, out.Note = true, noLimit(less)
	}
	return out, best
}

// highestPart gives the highest of the figures of weeks or other spans, and which
// it is; -1 of none with a number. A span without a number leaves it open, or
// makes it "at least".
func (c Choice) highestPart(parts []Figure) (Figure, int) {
	top, k := Figure{Value: Value{V: math.NaN()}, Rule: c.Rule}, -1
	var more, less bool
	for i, f := range parts {
		switch {
		case !finite(f.V):
			more, less = more || f.Sign == Greater, less || f.Sign == Less
		case k < 0 || f.V > top.V || f.V == top.V && rank(f.Sign) > rank(top.Sign):
			top, k = f, i
		}
	}
	switch {
	case k < 0 && more, k >= 0 && more:
		top.Sign = Greater
	case k < 0 && less:
		top.Sign = Less
	}
	if less {
		top.Open = true
		top.Note = joinNotes(top.Note, "some spans hold results below a limit that neither the sheet nor [[lab]] in plant.toml states")
	}
	return top, k
}

// single is the rule by which single results were counted: maximum likelihood
// and Kaplan–Meier give no number to one, so there its limit stands.
func (c Choice) single(vs []Value) Rule {
	if (c.Rule == MLE || c.Rule == KaplanMeierRule) && ofSign(vs, Less) > 0 {
		return Limit
	}
	return c.Rule
}
