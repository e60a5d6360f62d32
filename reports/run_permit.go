package reports

import (
	"fmt"
	"math"
	"regexp"
	"sort"
	"strconv"
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/reports/page"
	"weirbook/reports/table"
)

// permit is how the period's figures lie to the permit's limits.
type permit struct {
	held, within, unsure, missing int // of the calendar months that the period holds whole
	beyond                        []beyond
	months                        []string // those held whole
}

// beyond is a figure on the wrong side of its limit, and its month.
type beyond struct {
	discharge.Line
	month string
}

// heldToPermit counts the permit's figures. Of a month that the period holds only
// in part the single values count, where they lie beyond; its means do not.
func heldToPermit(r *analysis.Result) permit {
	var p permit
	for _, m := range r.Permit {
		if m.Whole {
			p.months = append(p.months, m.Name())
		}
		sampled := map[string]bool{}
		for _, l := range m.Lines {
			if !l.ForPlant || math.IsNaN(l.LimitValue) || l.State == discharge.NotInSeason {
				continue
			}
			if key := fmt.Sprint(l.Limit.Parameter, l.Limit.At, l.Limit.Sample, l.Limit.Frequency); m.Whole && !sampled[key] {
				sampled[key] = true // several limits share the samples of one parameter
				p.missing += l.Missing
			}
			switch {
			case l.State.Outside() && (m.Whole || singleValue(l.Statistic)):
				p.beyond = append(p.beyond, beyond{l, m.Name()})
			case !m.Whole:
				continue
			case l.State == discharge.Within:
				p.within++
			default:
				p.unsure++
			}
			if m.Whole {
				p.held++
			}
		}
	}
	sort.SliceStable(p.beyond, func(i, j int) bool { return p.beyond[i].times() > p.beyond[j].times() })
	return p
}

// singleValue says that a limit holds for each value, however little else of the
// month is known.
func singleValue(statistic string) bool {
	s, ok := plant.StatisticOf(statistic)
	return ok && !s.Weekly && !s.Removal && s.Percent == 0 &&
		(strings.Contains(s.Name, "daily") || strings.Contains(s.Name, "instantaneous") || s.Name == "range")
}

// times is how far beyond its limit a figure lies, in parts of the limit.
func (b *beyond) times() float64 {
	if b.LimitValue == 0 {
		return math.Abs(b.Value)
	}
	return math.Abs(b.Value-b.LimitValue) / math.Abs(b.LimitValue)
}

var manyDigits = regexp.MustCompile(`^([<>]?)(\d{4,})$`)

// grouped parts the thousands of a figure as it is reported.
func grouped(report string) string {
	if m := manyDigits.FindStringSubmatch(report); m != nil {
		if v, err := strconv.ParseFloat(m[2], 64); err == nil {
			return m[1] + table.Group(v, 0)
		}
	}
	return report
}

func (b *beyond) words(months int) string {
	s := fmt.Sprintf("%s at the %s, %s, %s %s against %s", b.Parameter, b.Point, b.Statistic, grouped(b.Report), b.Unit, grouped(b.LimitText))
	if b.When != "" {
		return s + " (" + b.When + ")"
	}
	if months != 1 {
		s += " (" + b.month + ")"
	}
	return s
}

// permitWords says how the period's figures lie to the permit's limits, the
// furthest beyond first.
func permitWords(r *analysis.Result) string {
	if len(r.Plant.Limits) == 0 {
		return "plant.toml states no limit of the permit, so no result was held against one."
	}
	p := heldToPermit(r)
	var s string
	switch {
	case len(p.months) == 0:
		s = "The period holds no whole calendar month, so of the permit only limits on single values were held"
	case p.held == 1 && p.within == 1:
		s = fmt.Sprintf("In %s, the one figure that the permit limits lies within its limit", monthsWords(p.months))
	case p.held == 1:
		s = fmt.Sprintf("The permit limits one figure of %s", monthsWords(p.months))
	case p.within == p.held:
		s = fmt.Sprintf("In %s, all %d figures that the permit limits lie within their limits", monthsWords(p.months), p.held)
	case p.within == 0:
		s = fmt.Sprintf("In %s, none of the %d figures that the permit limits is known to lie within its limit", monthsWords(p.months), p.held)
	default:
		s = fmt.Sprintf("In %s, %d of the %d figures that the permit limits lie within their limits", monthsWords(p.months), p.within, p.held)
	}
	if n := len(p.beyond); n > 0 {
		var out []string
		for i := range p.beyond[:min(n, 3)] {
			out = append(out, p.beyond[i].words(len(p.months)))
		}
		if n > 3 {
			out = append(out, fmt.Sprintf("and %d more", n-3))
		}
		if p.held == 1 && n == 1 {
			s += ", and it lies beyond: " + out[0]
		} else {
			s += fmt.Sprintf("; %d %s beyond: %s", n, map[bool]string{true: "lies", false: "lie"}[n == 1], strings.Join(out, "; "))
		}
	} else if len(p.months) == 0 {
		s += ", and none lies beyond"
	}
	if p.unsure > 0 {
		s += fmt.Sprintf("; for %d it cannot be told", p.unsure)
	}
	if p.missing > 0 {
		s += fmt.Sprintf("; %s that the permit requires %s not in the exports", plural(p.missing, "sample"), map[bool]string{true: "is", false: "are"}[p.missing == 1])
	}
	return s + "."
}

func monthsWords(months []string) string {
	switch n := len(months); {
	case n == 1:
		return months[0]
	default:
		return fmt.Sprintf("the %d months from %s to %s", n, months[0], months[n-1])
	}
}

// permitFigure is the same for the strip under the verdict.
func permitFigure(r *analysis.Result) (page.Figure, bool) {
	p := heldToPermit(r)
	if p.held == 0 && len(p.beyond) == 0 {
		return page.Figure{}, false
	}
	f := page.Figure{Name: "Permit figures within their limits", Value: fmt.Sprintf("%d of %d", p.within, p.held), Standing: page.Good, Word: "none beyond"}
	switch {
	case len(p.beyond) > 0:
		b := p.beyond[0]
		f.Standing, f.Word = page.Bad, fmt.Sprintf("%d beyond", len(p.beyond))
		f.Note = fmt.Sprintf("%s %s against %s", b.Parameter, grouped(b.Report), grouped(b.LimitText))
	case p.unsure > 0 || p.missing > 0:
		f.Standing, f.Word = page.Watch, "not all can be told"
	}
	if len(p.months) == 0 {
		f.Value, f.Note = "–", strings.TrimPrefix(f.Note+"; no whole month in the period", "; ")
	}
	return f, true
}
