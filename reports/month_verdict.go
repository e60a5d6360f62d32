package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/discharge"
	"weirbook/analysis/quantity"
	"weirbook/reports/page"
)

// monthCounts sorts the lines of the permit by how their results lie.
type monthCounts struct {
	held, within, outside, unsure, near int // lines held against a limit
	none                                int // of the unsure, those without a result
	missing, excursions                 int
	missingSaid                         int  // missing ones with a reason in the laboratory's sheet
	onLine                              bool // an instrument on line was beyond a limit held against samples
	asked                               bool // some line states how often to sample
}

func countMonth(m *discharge.Month) monthCounts {
	var c monthCounts
	counted := map[string]bool{}
	for _, l := range m.Lines {
		c.asked = c.asked || l.ForPlant && l.Limit.Frequency != ""
		if l.ForPlant && !l.State.Idle() && l.Missing > 0 {
			// Several limits share the samples of one parameter.
			key := fmt.Sprint(l.Limit.Parameter, l.Limit.At, l.Limit.Sample, l.Limit.Frequency)
			if !counted[key] {
				counted[key] = true
				c.missing += l.Missing
				c.missingSaid += l.MissingSaid
			}
		}
		if math.IsNaN(l.LimitValue) || l.State.Idle() {
			continue
		}
		c.held++
		c.excursions += len(l.Excursions)
		switch {
		case l.State.Outside():
			c.outside++
		case l.State == discharge.Within:
			c.within++
		default:
			c.unsure++
			if l.Values == 0 && l.State == discharge.NotDetermined {
				c.none++
			}
		}
		if l.WithinAccuracy {
			c.near++
		}
		c.onLine = c.onLine || l.OnLineBeyond > 0
	}
	return c
}

// MonthVerdict says in three sentences what the month comes to.
func MonthVerdict(m *discharge.Month) []string {
	c := countMonth(m)
	var first string
	switch {
	case slices.Contains(m.Remarks, fmt.Sprintf("The exports hold nothing of %s.", m.Name())):
		first = fmt.Sprintf("The exports hold nothing of %s, so nothing could be held against a limit.", m.Name())
	case c.held == 0:
		first = fmt.Sprintf("No line of the plant description sets a limit for %s; the figures stand by themselves.", m.Name())
	case c.outside == 0 && c.unsure == 0:
		first = fmt.Sprintf("In %s all %d results with a limit lie within it.", m.Name(), c.held)
		if c.held == 1 {
			first = fmt.Sprintf("In %s the one result with a limit lies within it.", m.Name())
		}
	default:
		what := "result"
		if c.none > 0 {
			what = "figure"
		}
		first = fmt.Sprintf("In %s, %d of %s with a limit %s within it", m.Name(), c.within, plural(c.held, what), map[bool]string{true: "lies", false: "lie"}[c.within == 1])
		switch {
		case c.none > 0:
			var parts []string
			if c.outside > 0 {
				parts = append(parts, fmt.Sprintf("%d beyond it", c.outside))
			}
			if c.unsure > c.none {
				parts = append(parts, fmt.Sprintf("for %d it cannot be told", c.unsure-c.none))
			}
			parts = append(parts, fmt.Sprintf("for %d there is no result", c.none))
			if last := len(parts) - 1; last > 0 {
				parts = []string{strings.Join(parts[:last], ", "), parts[last]}
			}
			first += ", " + strings.Join(parts, " and ")
		case c.outside > 0 && c.unsure > 0:
			first += fmt.Sprintf(", %d beyond it, and for %d it cannot be told", c.outside, c.unsure)
		case c.outside > 0:
			first += fmt.Sprintf(" and %d beyond it", c.outside)
		default:
			first += fmt.Sprintf(", and for %d it cannot be told", c.unsure)
		}
		first += "."
	}
	var second string
	for _, l := range m.Lines {
		if l.State.Outside() {
			if second != "" {
				second += "; "
			}
			second += monthLineName(l) + " " + grouped(l.Report) + " " + l.Unit + " against " + grouped(l.LimitText)
		}
	}
	if second != "" {
		second = "Beyond: " + second + "."
	} else if c.near > 0 {
		second = fmt.Sprintf("%d result%s lie%s within the measurement's accuracy of the limit.", c.near, map[bool]string{true: "s"}[c.near > 1], map[bool]string{true: "s"}[c.near == 1])
	} else if c.held == 0 {
		second = ""
	} else {
		second = "No single value lies beyond a limit held against it."
		if c.unsure > 0 {
			second = "No value that can be told lies beyond a limit."
		}
		if c.excursions > 0 {
			second = fmt.Sprintf("%d single values lie beyond what their line allows; see the table.", c.excursions)
		}
	}
	if len(m.AtFault) > 0 {
		second = strings.TrimSpace(second + " Readings of " + strings.Join(m.AtFault, ", ") + " are left out: judging the instruments holds them at fault.")
	}
	if w := wordsMet(m); w != "" {
		second = strings.TrimSpace(second + " " + w)
	}
	for _, l := range m.Lines {
		if l.OnLineBeyond > 0 {
			second = strings.TrimSpace(fmt.Sprintf("%s On line, %s at %s was beyond the limit of its %s for most of %d hour%s; that line is held against samples.",
				second, strings.ToLower(l.Parameter), l.Point, l.Statistic, l.OnLineBeyond, map[bool]string{true: "s"}[l.OnLineBeyond > 1]))
		}
	}
	third := "Every required sample was taken."
	if !c.asked {
		third = "The plant description does not say how often samples are required."
	} else if c.missing > 0 {
		third = fmt.Sprintf("%d required sample%s %s not in the exports.", c.missing, map[bool]string{true: "s"}[c.missing > 1], map[bool]string{true: "are", false: "is"}[c.missing > 1])
		switch {
		case c.missingSaid == c.missing:
			third = fmt.Sprintf("%d required sample%s %s no result; the laboratory's sheet says why.", c.missing, map[bool]string{true: "s"}[c.missing > 1], map[bool]string{true: "have", false: "has"}[c.missing > 1])
		case c.missingSaid > 0:
			third = fmt.Sprintf("%d required samples have no result; for %d of them the laboratory's sheet says why, the others are not in the exports.", c.missing, c.missingSaid)
		}
	}
	third += " The permit, the laboratory and the responsible licensed operator decide."
	if second == "" {
		return []string{first, third}
	}
	return []string{first, second, third}
}

// wordsMet counts the month's results that are words without a number, those that
// a limit stated nowhere keeps open first: no figure may seem whole without them.
func wordsMet(m *discharge.Month) string {
	var open, many, unread int
	seen := map[string]bool{}
	for _, c := range m.Columns {
		for _, r := range c.Results {
			key := fmt.Sprint(r.Tag, r.T, r.Written)
			if seen[key] || r.Date.Month() != m.Month || r.Date.Year() != m.Year {
				continue
			}
			seen[key] = true
			switch {
			case r.Question():
				unread++
			case r.Note != "" || !math.IsNaN(r.Value.V):
			case r.Value.Sign == discharge.Less:
				open++
			case r.Value.Sign == discharge.Greater:
				many++
			}
		}
	}
	var parts []string
	add := func(n int, one, more string) {
		if n == 1 {
			parts = append(parts, "1 result "+one)
		} else if n > 1 {
			parts = append(parts, fmt.Sprintf("%d results %s", n, more))
		}
	}
	add(open, "is below a limit that is stated nowhere (see [[lab]] in plant.toml)", "are below a limit that is stated nowhere (see [[lab]] in plant.toml)")
	add(many, "is too many to count", "are too many to count")
	add(unread, "is left out over a question that you can settle (see what needs attention)", "are left out over questions that you can settle (see what needs attention)")
	if n := len(m.Unnamed); n > 0 {
		parts = append(parts, fmt.Sprintf("results under %d name%s that tags.csv does not have are in no figure (see the remarks)", n, map[bool]string{true: "s"}[n > 1]))
	}
	if n := m.Unread; n > 0 {
		parts = append(parts, fmt.Sprintf("%d laboratory result%s in rows that could not be read (set-aside.csv)", n, map[bool]string{true: "s stand", false: " stands"}[n > 1]))
	}
	if len(parts) == 0 {
		return ""
	}
	return sentenceCase(strings.Join(parts, ", ")) + "."
}

func monthLineName(l discharge.Line) string {
	s := l.Parameter + " at " + l.Point + ", " + l.Statistic
	if l.Part != "" {
		s += " (" + l.Part + ")"
	}
	return s
}

func monthVerdict(r *analysis.MonthResult) page.Verdict {
	m := r.Month
	c := countMonth(m)
	v := page.Verdict{Sentences: MonthVerdict(m)}
	unread := Unread(r.Read)
	if unread != "" {
		v.Sentences = append([]string{unread}, v.Sentences...)
	}
	switch {
	case c.outside > 0:
		v.Standing, v.Word = page.Bad, fmt.Sprintf("%d beyond a limit", c.outside)
	case c.unsure > 0 || c.missing > 0 || c.near > 0 || c.onLine || len(m.AtFault) > 0 || m.Unread > 0 || len(m.Unnamed) > 0:
		v.Standing, v.Word = page.Watch, "to be looked at"
	case unread != "":
		v.Standing, v.Word = page.Watch, "not everything was read"
	case c.held == 0:
		v.Standing, v.Word = page.Plain, "no limits held"
	default:
		v.Standing, v.Word = page.Good, "results within limits"
	}
	stand := func(n int, s page.Standing) page.Standing {
		if n == 0 {
			return page.Good
		}
		return s
	}
	v.Figures = append(v.Figures,
		page.Figure{Name: "Results within their limit", Value: fmt.Sprintf("%d of %d", c.within, c.held), Standing: page.Plain, Word: " "},
		page.Figure{Name: "Beyond", Value: fmt.Sprint(c.outside), Note: word(c.unsure, fmt.Sprintf("for %d it cannot be told", c.unsure), ""), Standing: stand(c.outside, page.Bad), Word: word(c.outside, "beyond a limit", "none")},
		page.Figure{Name: "Excursions", Value: fmt.Sprint(c.excursions), Note: "single values, days or weeks", Standing: stand(c.excursions, page.Watch), Word: word(c.excursions, "see the table", "none")},
		page.Figure{Name: "Samples missing", Value: fmt.Sprint(c.missing), Standing: stand(c.missing, page.Watch), Word: word(c.missing, missingWord(c), "none")})
	if f, ok := monthFlow(r); ok {
		v.Figures = append(v.Figures, f)
	}
	return v
}

func missingWord(c monthCounts) string {
	switch c.missingSaid {
	case 0:
		return "not in the exports"
	case c.missing:
		return "the sheet says why"
	}
	return fmt.Sprintf("for %d the sheet says why", c.missingSaid)
}

func word(n int, some, none string) string {
	if n == 0 {
		return none
	}
	return some
}

// monthFlow is the water discharged at the outfall: the mean flow of the days
// that have one.
func monthFlow(r *analysis.MonthResult) (page.Figure, bool) {
	m := r.Month
	for _, c := range m.Columns {
		q, _ := r.Plant.Point(c.At)
		if c.FlowTag == "" || c.Kind == quantity.Flow || !q.Outfall {
			continue
		}
		sum, n := 0.0, 0
		for _, d := range c.Days[c.MonthLo:c.MonthHi] {
			if !math.IsNaN(d.FlowMGD) {
				sum += d.FlowMGD * d.Hours / 24
				n++
			}
		}
		if n > 0 {
			v, u := shown(sum, "MG", r.Plant.Units)
			return page.Figure{Name: "Water discharged", Value: volume(v, u), Unit: u, Note: fmt.Sprintf("%d of %d days have a flow", n, len(m.Days)), Standing: page.Plain, Word: " "}, true
		}
	}
	return page.Figure{}, false
}
