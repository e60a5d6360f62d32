package discharge

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// unlisted makes report-only lines for what is sampled at the outfall or the
// influent, and for the flow there, but has no line in the plant file, so that
// nothing measured is passed over in silence.
func (b *bench) unlisted() []plant.Limit {
	listed := map[[2]string]bool{}
	for _, l := range b.in.Plant.Limits {
		listed[[2]string{string(l.Parameter), l.At}] = true
	}
	var out []plant.Limit
	for _, t := range b.in.Tags {
		q, _ := b.in.Plant.Point(t.Tag.At)
		flow := t.Tag.Measures == quantity.Flow && !t.Tag.Sampled()
		key := [2]string{string(t.Tag.Measures), t.Tag.At}
		if !(t.Tag.Sampled() && (q.Outfall || q.Influent) || flow && b.carries(t.Tag.At)) || listed[key] {
			continue
		}
		listed[key] = true
		info, _ := quantity.Of(t.Tag.Measures)
		unit := info.Working
		if b.in.Plant.Units == plant.Metric {
			unit = info.Metric
		}
		words := []string{"average monthly", "maximum daily"}
		if info.Working.Dimension == quantity.Count {
			words = []string{"geometric mean monthly", "instantaneous maximum"}
		} else if info.Working.Dimension == quantity.Acidity {
			words = []string{"instantaneous minimum", "instantaneous maximum"}
		}
		for _, w := range words {
			out = append(out, plant.Limit{Parameter: t.Tag.Measures, At: t.Tag.At, Statistic: w, Value: math.NaN(), Low: math.NaN(), High: math.NaN(),
				ReportOnly: true, Figures: -1, Decimals: -1, Unit: unit.Symbol})
		}
	}
	return out
}

// carries says whether the flow at a point is that of the outfall or influent.
func (b *bench) carries(at string) bool {
	for _, q := range b.in.Plant.Points {
		if q.Outfall || q.Influent {
			if t, ok := b.in.Plant.FlowTag(q.Name); ok && t.At == at {
				return true
			}
		}
	}
	return false
}

// columnsOf cuts the columns to the weeks of the month.
func (b *bench) columnsOf(m *Month) {
	lo, hi := b.cal.month(m.Year, m.Month)
	first, last := m.Weeks[0].lo, m.Weeks[len(m.Weeks)-1].hi
	mass := map[int]bool{}
	for _, l := range m.Lines {
		if st, ok := plant.StatisticOf(l.Limit.Statistic); ok && st.Mass {
			mass[l.Column] = true
		}
	}
	for i, c := range b.columns {
		out := Column{Kind: c.kind, At: c.at, Title: b.title(c), Sample: c.sample, Unit: c.unit.Symbol, Decimals: 3,
			Days: append([]Day(nil), c.days[first:last]...), MonthLo: lo - first, MonthHi: hi - first, HasLoad: mass[i]}
		out.Short = fmt.Sprintf("%s, %s", shortTitle(c.kind), b.in.Plant.Title(c.at))
		out.Choice = b.choice(c, c.unit)
		if out.Variant = b.variant(c); out.Variant != "" {
			out.Title, out.Short = out.Title+", "+out.Variant, out.Short+", "+out.Variant
		}
		if !c.signal() {
			out.Decimals = 0
			for _, r := range c.results {
				if finite(r.Value.V) {
					out.Decimals = max(out.Decimals, DecimalsOf(shortest(r.Value.V)))
				}
				if r.day >= first && r.day < last {
					out.Results = append(out.Results, r)
				}
			}
		}
		if c.flow != nil {
			out.FlowTag = c.flow.Tag.Name
		}
		for _, t := range c.tags {
			out.Tags = append(out.Tags, t.Tag.Name)
		}
		m.Columns = append(m.Columns, out)
	}
}

func shortTitle(k quantity.Kind) string {
	switch k {
	case quantity.TSS:
		return "TSS"
	case quantity.ChlorineTotal:
		return "Total chlorine"
	case quantity.ChlorineFree:
		return "Free chlorine"
	case quantity.AmmoniaN:
		return "Ammonia N"
	}
	info, _ := quantity.Of(k)
	return info.Title
}

// sourcesOf tells for each tag what the month rests on.
func (b *bench) sourcesOf(m *Month) {
	used := map[string]bool{}
	for _, c := range b.columns {
		for _, t := range c.tags {
			used[t.Tag.Name] = true
		}
		if c.flow != nil {
			used[c.flow.Tag.Name] = true
		}
	}
	lo, hi := b.cal.month(m.Year, m.Month)
	start, end := b.cal.windows[lo].Start, b.cal.windows[hi-1].End
	for _, t := range b.in.Tags {
		if !used[t.Tag.Name] {
			continue
		}
		for _, x := range t.Unread {
			m.Unread += x.N
		}
		s := Source{Tag: t.Tag.Name, Measures: string(t.Tag.Measures), At: t.Tag.At, Unit: t.Tag.Working.Symbol, Reading: t.Tag.Reading.String(),
			Hours: math.NaN(), HoursOf: float64(end-start) / 3_600_000, Accuracy: accuracyWords(t.Tag)}
		count := map[string]int{}
		a, z := t.Series.Between(start, end)
		for i := a; i < z; i++ {
			s.Readings++
			if t.Series.Usable(i) {
				s.Used++
				continue
			}
			why := "no number"
			if n := (t.Series.F[i] & series.Unusable).Names(); len(n) > 0 {
				why = n[0]
			}
			count[why]++
		}
		for why, n := range count {
			s.LeftOut = append(s.LeftOut, Count{why, n})
		}
		sort.Slice(s.LeftOut, func(i, j int) bool { return s.LeftOut[i].Reason < s.LeftOut[j].Reason })
		if !t.Tag.Sampled() {
			s.Hours = 0
			for i, st := range b.signalDays(t) {
				if i < lo || i >= hi {
					continue
				}
				s.Hours += st.Cover * b.cal.hours(i)
				switch {
				case st.Cover > 0.999:
					s.DaysWhole++
				case st.Cover+1e-9 >= b.in.Settings.DayCover:
					s.DaysPart++
				default:
					s.DaysShort++
				}
			}
		}
		m.Sources = append(m.Sources, s)
	}
}

func accuracyWords(t plant.Tag) string {
	switch {
	case finite(t.Percent) && finite(t.Absolute):
		return fmt.Sprintf("%s %% + %s %s", shortest(t.Percent), shortest(t.Absolute), t.Working.Symbol)
	case finite(t.Percent):
		return shortest(t.Percent) + " %"
	case finite(t.Absolute):
		return shortest(t.Absolute) + " " + t.Working.Symbol
	}
	return "not stated"
}

// CountsAs is the number that a result of column i counts for under the rule of
// its limits.
func (m *Month) CountsAs(i int, v Value) float64 { return m.Columns[i].Choice.Used(v) }

// variant names what a column does otherwise than [reporting] has it.
func (b *bench) variant(c *column) string {
	usual := b.treatmentOf(plant.Limit{Parameter: c.kind}, !c.signal())
	var parts []string
	if c.treat.rule != usual.rule || c.treat.fixed != usual.fixed {
		parts = append(parts, string(c.treat.rule))
	}
	if c.treat.level > 0 {
		parts = append(parts, "from "+shortest(c.treat.level))
	}
	if c.treat.compositeDay != "" && c.treat.compositeDay != usual.compositeDay {
		parts = append(parts, c.treat.compositeDay)
	}
	return strings.Join(parts, ", ")
}

// unnamed says which names in the laboratories' sheets no tag has.
func (b *bench) unnamed(m *Month) {
	const most = 12
	m.Unnamed = b.in.Unnamed
	var names []string
	for i, x := range m.Unnamed {
		if i == most {
			names = append(names, fmt.Sprintf("%d more", len(m.Unnamed)-i))
			break
		}
		names = append(names, fmt.Sprintf("%q (%d row%s)", x.Reason, x.N, plural(x.N)))
	}
	if len(names) > 0 {
		m.Remarks = append(m.Remarks, fmt.Sprintf("The sheets hold results under names that tags.csv does not: %s. They are in no figure; where one is a tag typed otherwise, give it that tag's measures, at and reading in tags.csv.", strings.Join(names, ", ")))
	}
}
