package discharge

import (
	"fmt"
	"math"
	"time"

	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
)

// parts are the lines that a statistic makes: a range has two ends.
func parts(s plant.Statistic) []int {
	if s.Range {
		return []int{0, 1}
	}
	return []int{0}
}

// lines makes the line or lines of one limit, with the year to date.
func (b *bench) lines(l plant.Limit, listed bool) []Line {
	st, ok := plant.StatisticOf(l.Statistic)
	if !ok {
		return nil // refused when the plant was read
	}
	var out []Line
	for _, part := range parts(st) {
		line := b.line(l, st, part, b.in.Year, b.in.Month)
		line.ForPlant = listed
		for mo := time.January; mo <= b.in.Month; mo++ {
			if b.cal.windows[b.cal.at[date(b.in.Year, mo+1, 0)]].End <= b.from {
				continue // before the exports begin
			}
			past := line
			if mo != b.in.Month {
				past = b.line(l, st, part, b.in.Year, mo)
			}
			if past.Report != "" || mo == b.in.Month {
				lo, hi := b.cal.month(b.in.Year, mo)
				// Samples are days apart, so a month without its first days may be whole.
				part := b.from > b.cal.windows[lo+6].End || b.to < b.cal.windows[hi-7].Start
				line.ToDate = append(line.ToDate, MonthFigure{b.in.Year, mo, past.Value, past.Report, past.State, part})
			}
		}
		out = append(out, line)
	}
	return out
}

func (b *bench) line(l plant.Limit, st plant.Statistic, part int, year int, mo time.Month) Line {
	nan := math.NaN()
	info, _ := quantity.Of(l.Parameter)
	line := Line{Limit: l, Parameter: info.Title, Point: b.in.Plant.Title(l.At), Statistic: l.Statistic, Against: -1, Column: -1,
		Unit: l.Unit, AtLeast: st.AtLeast, Value: nan, Rounded: nan, LimitValue: l.Value, Margin: nan, MarginPct: nan, Accuracy: nan, Cover: nan,
		Law: statisticOf(l.Statistic).law, LimitText: l.Written}
	if line.LimitText == "" && finite(l.Value) {
		line.LimitText = shortest(l.Value)
	}
	sample := l.Sample
	if st.OnSignal {
		sample = "continuous"
	}
	col := b.find(l.Parameter, l.At, sample, l)
	j := &job{b: b, l: &line, col: col, stat: st, year: year, month: mo, half: HalfRule(b.in.Plant.Reporting.Rounding), all: l.Season == ""}
	for i, c := range b.columns {
		if c == col {
			line.Column = i
		}
	}
	j.unit = col.unit
	if u, err := quantity.ParseUnit(l.Unit); err == nil && l.Unit != "" {
		j.unit = u
	}
	j.ch = b.choice(col, j.unit)
	j.lo, j.hi = b.cal.month(year, mo)
	if !j.all {
		j.season, _ = plant.ParseSeason(l.Season)
	}
	j.places = j.placesFor(line.LimitText)
	if !j.seasonTouches() {
		j.run1(part, false)
		line.State = NotInSeason
		return line
	}
	if st.Months > 0 && int(mo)%st.Months != 0 {
		line.State, line.LimitText, line.Sampling = NotDue, l.Written, "not due"
		line.Remarks = append(line.Remarks, fmt.Sprintf("Due in %s, when its %d months end.", time.Month((int(mo)-1)/st.Months*st.Months+st.Months), st.Months))
		return line
	}
	j.run1(part, true)
	j.finish()
	if !col.signal() {
		j.wordsOfResults()
	}
	if line.Unit != "min" {
		j.offScaleRemark()
	}
	return line
}

// run1 computes the statistic; without results it only names the parts.
func (j *job) run1(part int, compute bool) {
	if !compute {
		j.l.LimitText = j.l.Limit.Written
		if j.stat.Range {
			j.l.Part = []string{"lowest", "highest"}[part]
			if j.stat.OnSignal {
				j.l.Part = []string{"time outside, total", "longest excursion"}[part]
			}
		}
		j.l.Sampling = "not in season"
		return
	}
	statisticOf(j.stat.Name).run(j, part)
	j.sampling()
}

func (j *job) seasonTouches() bool {
	for i := j.lo; i < j.hi; i++ {
		if j.inSeason(j.b.cal.dates[i]) {
			return true
		}
	}
	return false
}
