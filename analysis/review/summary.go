package review

import (
	"fmt"
	"math"
	"sort"
	"strings"
)

// Summary is the first page: five sentences, six figures, three things worth doing.
type Summary struct {
	Sentences []string
	Key       []KeyFigure
	Worth     []Worth
}

// KeyFigure is one number of the first page.
type KeyFigure struct{ Name, Value, Unit, Note string }

// Worth is one thing worth doing next, what it is worth, and what that rests on.
type Worth struct {
	Do, Value, Rests string
	rank             float64
}

func (m *maker) summary(r *Review) Summary {
	s := Summary{Worth: m.worth(r)}
	s.Sentences = []string{m.howReliable(r), m.whatLimits(r), m.whatComes(r), m.whatChanged(r), m.whatToTrust(r)}
	s.Key = m.keys(r)
	return s
}

// percent writes a share so that it says 100 only of the whole.
func percent(v float64) string {
	switch {
	case math.IsNaN(v):
		return "n.d."
	case v >= 1:
		return "100 %"
	case v >= 0.9995:
		return "99.9 %"
	case v > 0 && v < 0.0005:
		return "under 0.1 %"
	}
	return fmt.Sprintf("%.1f %%", 100*v)
}

func (m *maker) firsts(r *Review) []Reliability {
	var out []Reliability
	for _, x := range r.Reliability {
		if x.What == "all that is asked" {
			out = append(out, x)
		}
	}
	return out
}

func (m *maker) howReliable(r *Review) string {
	var parts []string
	for _, x := range m.firsts(r) {
		if x.Hours.N == 0 {
			parts = append(parts, "no hour of the "+x.Basin+" could be determined")
			continue
		}
		t := fmt.Sprintf("the %s met what is required in %s of the %s hours that could be determined (95 %% interval %s to %s)", x.Basin, percent(x.Hours.Value()), grouped(x.Hours.N), percent(x.Hours.Low), percent(x.Hours.High))
		parts = append(parts, t)
	}
	if len(parts) == 0 {
		return "No contact basin is described, so the reliability of disinfection is not determined."
	}
	t := strings.Join(parts, "; ")
	return strings.ToUpper(t[:1]) + t[1:] + "."
}

func grouped(n int) string {
	s := fmt.Sprint(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

func (m *maker) whatLimits(r *Review) string {
	top, n, all := CauseUnknown, 0, 0
	for _, x := range m.firsts(r) {
		for _, c := range Causes() {
			all += x.Causes[c]
			if x.Causes[c] > n {
				top, n = c, x.Causes[c]
			}
		}
	}
	t := "No hour was short."
	if all > 0 {
		to := string(top)
		if top == CauseUsual {
			to = "the plant as normally run, which does not reach what is required"
		}
		t = fmt.Sprintf("Of %s short hours, %s are put down to %s.", grouped(all), grouped(n), to)
	}
	for _, c := range r.Capacity {
		b := c.All[1]
		switch {
		case !math.IsNaN(b.Flow):
			t += fmt.Sprintf(" Above a flow of %[2]s the %[1]s would not keep its CT in nine hours of ten.", c.Name, m.amount(b.Flow, "MGD", 3))
		case b.Beyond:
			t += fmt.Sprintf(" In the %s CT held in nine hours of ten up to the largest flow seen; what more it bears is not known.", c.Name)
		case b.Why != "":
			t += fmt.Sprintf(" The flow above which the %s would not keep its CT is not known: %s.", c.Name, b.Why)
		}
	}
	return t
}

func (m *maker) whatComes(r *Review) string {
	for _, w := range r.WhatIf {
		if w.What == "CT" && w.Change == "CT asked × 1.25" {
			t := fmt.Sprintf("With a CT requirement a quarter higher, %s of the hours of the %s would have been short as it was run", percent(w.Share()), w.Basin)
			if w.Pounds > 0 {
				t += fmt.Sprintf(", and some %s more chlorine would have held them", m.amount(w.Pounds, "lb", 0))
				if w.Cost > 0 {
					t += fmt.Sprintf(" (%s %s)", grouped(int(math.Round(w.Cost))), w.Currency)
				}
			}
			return t + "."
		}
	}
	return "What another requirement would have meant is not reckoned: no CT is asked."
}

func (m *maker) whatChanged(r *Review) string {
	var names []string
	if r.Other != nil {
		told := 0
		for _, c := range r.Comparisons {
			if c.Why == "" {
				told++
			}
			if c.Says == "higher" || c.Says == "lower" {
				names = append(names, fmt.Sprintf("%s (%s) %s by %s", lowerFirst(c.Name), c.Point, c.Says, m.amount(math.Abs(c.By), c.Unit, 2)))
			}
		}
		switch {
		case told == 0:
			return "The two periods could not be compared: " + firstWhy(r) + "."
		case len(names) == 0:
			return fmt.Sprintf("Of %d things compared between the two periods, month against like month, no change was told.", told)
		}
		return fmt.Sprintf("Of %d things compared, month against like month, the later period was: %s.", told, strings.Join(names, "; "))
	}
	tested := 0
	for _, t := range r.Trends {
		if t.Why != "" {
			continue
		}
		tested++
		if !strings.HasPrefix(t.Says, "no trend told") {
			names = append(names, lowerFirst(t.Name)+" ("+t.Point+"): "+t.Says)
		}
	}
	switch {
	case tested == 0:
		return fmt.Sprintf("No trend was tested: that takes %d whole months.", m.set.TrendMonths)
	case len(names) == 0:
		return fmt.Sprintf("None of the %d quantities tested by monthly medians shows a trend or a step.", tested)
	case len(names) > 3:
		names = append(names[:3], fmt.Sprintf("and %d more", len(names)-3))
	}
	return fmt.Sprintf("By monthly medians, %s.", strings.Join(names, "; "))
}

func firstWhy(r *Review) string {
	for _, c := range r.Comparisons {
		if c.Why != "" {
			return c.Why
		}
	}
	return "nothing is in both"
}

func lowerFirst(s string) string {
	if len(s) > 1 && s[1] >= 'a' && s[1] <= 'z' {
		return strings.ToLower(s[:1]) + s[1:]
	}
	return s
}

func (m *maker) whatToTrust(r *Review) string {
	for _, x := range r.Instruments {
		if x.CostHours > 0 {
			return fmt.Sprintf("The instrument that cost most is %s (%s, %s): %s hours not determined or resting on it while in doubt; it was believed in %s of the hours.", x.Tag, lowerFirst(x.What), x.Point,
				grouped(x.CostHours), percent(float64(x.Believed)/float64(max(1, x.Hours))))
		}
	}
	return "No instrument behind CT cost an hour of its determination; none is known by more than its own readings and the others'."
}

func (m *maker) keys(r *Review) []KeyFigure {
	var out []KeyFigure
	add := func(name, value, unit, note string) {
		if len(out) < 6 {
			out = append(out, KeyFigure{name, value, unit, note})
		}
	}
	if fs := m.firsts(r); len(fs) > 0 {
		x := fs[0]
		add("Hours met, "+x.Basin, percent(x.Hours.Value()), "", fmt.Sprintf("%s of the %s with instruments believed; %s not determined", percent(x.Hours.Sure()), grouped(x.Hours.N-x.Hours.InDoubt), grouped(x.Record-x.Hours.N)))
		add("Longest short stretch", fmt.Sprint(x.Longest.Hours), "h", "consecutive hours, "+x.Basin)
	}
	if len(r.Capacity) > 0 {
		c := r.Capacity[0]
		v, note := "n.d.", c.All[1].Why
		if !math.IsNaN(c.All[1].Flow) {
			v, note = m.number(c.All[1].Flow, "MGD"), "CT held in nine hours of ten"
		} else if c.All[1].Beyond {
			v, note = "over "+m.number(c.Basins[0].MaxFlow, "MGD"), "the largest flow seen"
		}
		add("Flow at which CT binds", v, m.unit("MGD"), note)
	}
	if len(r.Peaks) > 0 {
		p := r.Peaks[0]
		for _, k := range p.Peaks {
			if k.Name == "maximum hour" && !math.IsNaN(k.Flow) {
				add("Maximum hour, "+p.Point, m.number(k.Flow, "MGD"), m.unit("MGD"), fmt.Sprintf("%.2f × average", k.Factor))
			}
		}
	}
	if len(r.Overfeeds) > 0 {
		o := r.Overfeeds[0]
		note := "of " + o.Feed
		if o.Cost > 0 {
			note += fmt.Sprintf("; %s %s at best", grouped(int(math.Round(o.Cost))), o.Currency)
		}
		if !math.IsNaN(o.Share) {
			add("Chlorine beyond what was asked", percent(o.Share), "", note)
		}
	}
	lb, mg := 0.0, 0.0
	for _, u := range r.Use {
		if u.Feed == r.Use[0].Feed {
			lb, mg = lb+u.Pounds, mg+u.MG
		}
	}
	if mg > 0 {
		add("Chlorine per volume", m.number(lb/mg, "lb/MG"), m.unit("lb/MG"), r.Use[0].Feed+", sums over the period")
	}
	for _, l := range r.Limits {
		if l.Within.N > 0 {
			add("Months within, "+l.Parameter, fmt.Sprintf("%d of %d", l.Within.Met, l.Within.N), "", l.Statistic)
			break
		}
	}
	add("Hours in the record", grouped(r.Main.Len()), "h", "")
	return out
}

// worth ranks what could be done next by what it is worth in this record.
func (m *maker) worth(r *Review) []Worth {
	var out []Worth
	for _, x := range r.Instruments {
		if share := float64(x.CostHours) / float64(max(1, x.Hours)); x.CostHours >= 24 {
			out = append(out, Worth{fmt.Sprintf("See to %s (%s, %s).", x.Tag, lowerFirst(x.What), x.Point), fmt.Sprintf("%s hours more that can be judged, %s of the record", grouped(x.CostHours), percent(share)),
				fmt.Sprintf("%d separate failures in the record; a spare or another interval of service may not remove all", len(x.Failures)), 50 * share})
		}
	}
	for _, o := range r.Overfeeds {
		if o.Share > 0.05 && o.Lacking < 0.2*o.Excess {
			v := fmt.Sprintf("at most %s of chlorine, %s of what was fed", m.amount(o.Excess, "lb", 0), percent(o.Share))
			if o.Cost > 0 {
				v += fmt.Sprintf(", or %s %s", grouped(int(math.Round(o.Cost))), o.Currency)
			}
			out = append(out, Worth{"Compare the residual that the " + o.Basin + " is run at with what is required.", v, fmt.Sprintf("%s hours with both instruments believed; no margin is kept in this figure, and how much to keep is for the plant to say", grouped(o.Hours)), o.Share})
		}
	}
	for _, d := range r.Dechlors {
		if d.Share > 0.1 {
			v := fmt.Sprintf("%s of the chemical used, %s", percent(d.Share), m.amount(d.Excess, "lb", 0))
			if d.Cost > 0 {
				v += fmt.Sprintf(", %s %s", grouped(int(math.Round(d.Cost))), d.Currency)
			}
			out = append(out, Worth{"Review the target of the feed of " + d.Feed + ".", v, fmt.Sprintf("%s hours; %d of them with less than needed, which the margin is there for", grouped(d.Hours), d.Under), d.Share / 2})
		}
	}
	for _, x := range m.firsts(r) {
		short := x.Hours.N - x.Hours.Met
		if short < 1 {
			continue
		}
		top, n := CauseUnknown, 0
		for _, c := range Causes() {
			if x.Causes[c] > n {
				top, n = c, x.Causes[c]
			}
		}
		do := map[Cause]string{CauseFlow: "Find contact time for peak flow in the %s.", CauseDose: "Find why the dose of the %s fell short.", CauseDemand: "Find what raises the demand before the %s.",
			CauseConditions: "Look at what temperature and pH ask of the %s.", CauseInstrument: "Settle the instruments of the %s before its short hours are believed.", CauseUsual: "Find contact time or residual for the usual flow of the %s: set point, feed, volume or baffling.", CauseUnknown: "Find out what made the hours of the %s short."}[top]
		out = append(out, Worth{fmt.Sprintf(do, x.Basin), fmt.Sprintf("%s of %s short hours", grouped(n), grouped(short)), fmt.Sprintf("the account of each upset in the record; %s short hours rest on an instrument in doubt", grouped(x.Hours.InDoubt-(x.Hours.Met-x.Hours.MetSure))),
			20 * float64(n) / float64(max(1, x.Hours.N))})
	}
	for _, s := range r.Sampling {
		if s.Taken < s.Required {
			out = append(out, Worth{fmt.Sprintf("Keep the sampling of %s, %s.", s.Parameter, s.Point), fmt.Sprintf("%d of %d samples asked for were not in the exports", s.Required-s.Taken, s.Required), "the exports; the laboratory may hold more", 0.3 * float64(s.Required-s.Taken) / float64(s.Required)})
		}
	}
	for _, c := range r.Capacity {
		if c.All[1].Beyond {
			out = append(out, Worth{"Measure the " + c.Name + " at a higher flow, by a tracer or a test at peak.", "its capacity, which the record does not reach", "the largest flow seen", 0.01})
		}
	}
	if len(m.rec.Pairs) == 0 {
		out = append(out, Worth{"Take grabs beside the residual analyser, with their times.", "the analyser can then be held against something", "no grab of the record stands beside a signal", 0.2})
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].rank > out[j].rank })
	if len(out) < 3 {
		out = append(out, Worth{"Keep a log of cleanings, deliveries, basins out and changes of set point, with times.", "causes and changes that a record of readings cannot tell", "this record holds none", 0})
	}
	if len(out) < 3 {
		out = append(out, Worth{"Review again when another season is in the record.", "percentiles and trends that one season cannot bear", fmt.Sprintf("%.1f years are in it", float64(r.Main.Len())/8766), 0})
	}
	if len(out) < 3 {
		out = append(out, Worth{"State the accuracies of flow, residual and volume in plant.toml, where they are not.", "hours within the instruments' accuracy are told from short ones", "tags.csv and plant.toml", 0})
	}
	return out[:3]
}
