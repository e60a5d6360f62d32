package reports

import (
	"fmt"
	"math"
	"strings"
	"time"

	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/reports/chart"
)

func parseUnit(s string) (quantity.Unit, error) {
	if s == "" {
		return quantity.MustUnit("none"), nil
	}
	return quantity.ParseUnit(s)
}

// monthChart shows one parameter's month with the limits it is held against;
// false when it has nothing to show.
func monthChart(m *discharge.Month, i int) (*chart.Monthly, bool) {
	c := m.Columns[i]
	out := &chart.Monthly{Title: c.Title + ", " + m.Name(), Name: c.Short, Unit: c.Unit, First: m.First(), Days: len(m.Days), Log: c.Unit == "per 100 mL",
		Free: c.Kind == quantity.PH || c.Kind == quantity.Temp}
	if c.Kind == quantity.PH {
		out.Unit = "" // its name says it
	}
	for _, d := range c.Days[c.MonthLo:c.MonthHi] {
		if c.Sample == "continuous" && !math.IsNaN(d.Value.V) {
			out.Results = append(out.Results, chart.Result{Day: d.Date, Value: d.Value.V})
		}
	}
	for _, r := range c.Results {
		if r.Note == "" && r.Date.Year() == m.Year && r.Date.Month() == m.Month {
			out.Results = append(out.Results, chart.Result{Day: r.Date, Value: r.Value.V, Sign: signRune(r.Value.Sign)})
		}
	}
	if out.Log {
		for k := range out.Results {
			out.Results[k].Value = math.Max(out.Results[k].Value, m.Settings.CountFloor)
		}
	}
	unit, err := parseUnit(c.Unit)
	if err != nil {
		return out, false
	}
	weekly := false
	for _, l := range m.Lines {
		st, ok := plant.StatisticOf(l.Limit.Statistic)
		if !ok || l.Column != i || st.Mass || st.Removal {
			continue
		}
		lim := []struct {
			name  string
			value float64
		}{{statWords(l), l.LimitValue}}
		if st.Name == "range continuous" {
			if l.Part != "time outside, total" {
				continue
			}
			lim[0].name, lim[0].value = "range, low", l.Limit.Low
			lim = append(lim, struct {
				name  string
				value float64
			}{"range, high", l.Limit.High})
		} else if st.Name == "not more than one in 30 days" {
			lim[0].value = l.Limit.Value
		}
		for _, x := range lim {
			u, err := parseUnit(l.Limit.Unit)
			if err != nil || math.IsNaN(x.value) || l.State.Idle() {
				continue
			}
			if v, err := quantity.Convert(x.value, u, unit); err == nil {
				out.Limits = append(out.Limits, chart.Limit{Name: x.name, Value: v})
			}
		}
		weekly = weekly || st.Weekly
	}
	if weekly {
		out.Averages = weekAverages(m, c)
	}
	n, below := len(out.Results), 0
	for _, r := range out.Results {
		if r.Sign == '<' {
			below++
		}
	}
	out.Message = fmt.Sprintf("%s in %s: %d %s", c.Title, m.Name(), n, map[bool]string{true: "daily means", false: "results"}[c.Sample == "continuous"])
	if below > 0 {
		out.Message += fmt.Sprintf(", %d below the reporting limit", below)
	}
	for _, l := range m.Lines {
		if l.Column == i && l.Report != "" {
			out.Message += fmt.Sprintf("; %s %s %s (%s)", statWords(l), l.Report, l.Unit, l.State)
		}
	}
	out.Message += "."
	out.Title += monthMessage(m, i)
	return out, n > 0
}

// monthMessage is what a column's chart says: its figures beyond their limits, or
// that all of them lie within.
func monthMessage(m *discharge.Month, i int) string {
	held, unsure := 0, false
	var beyond []string
	for _, l := range m.Lines {
		if l.Column != i || !l.ForPlant || l.Report == "" || math.IsNaN(l.LimitValue) {
			continue
		}
		held++
		switch {
		case l.State.Outside():
			beyond = append(beyond, fmt.Sprintf("%s %s beyond %s", statWords(l), grouped(l.Report), grouped(l.LimitText)))
		case l.State != discharge.Within:
			unsure = true
		}
	}
	switch {
	case len(beyond) > 0:
		return ": " + strings.Join(beyond, "; ")
	case held == 0 || unsure:
		return ""
	case held == 1:
		return ": within its limit"
	}
	return ": within its limits"
}

// reportSign is the sign of a reported figure.
func reportSign(report string) rune {
	if report != "" && (report[0] == '<' || report[0] == '>') {
		return rune(report[0])
	}
	return 0
}

func signRune(s discharge.Sign) rune {
	switch s {
	case discharge.Less:
		return '<'
	case discharge.Greater:
		return '>'
	}
	return 0
}

// weekAverages draws each whole week's mean of the numbers counted.
func weekAverages(m *discharge.Month, c discharge.Column) []chart.Average {
	var out []chart.Average
	for k, w := range m.Weeks {
		if !w.Counted {
			continue
		}
		sum, n, logs := 0.0, 0, 0.0
		for d := 7 * k; d < min(7*k+7, len(c.Days)); d++ {
			if v := c.Days[d].Used; !math.IsNaN(v) {
				sum += v
				logs += math.Log(math.Max(v, m.Settings.CountFloor))
				n++
			}
		}
		if n == 0 {
			continue
		}
		v, name := sum/float64(n), "weekly average"
		if c.Unit == "per 100 mL" {
			v, name = math.Exp(logs/float64(n)), "weekly geometric mean"
		}
		from, to := later(w.First, m.First()), earlier(w.Last, m.First().AddDate(0, 1, -1))
		out = append(out, chart.Average{Name: name, From: from, To: to, Value: v})
	}
	return out
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// yearChart is the strip of the year to date of one line: a bar's length each
// month; false when there is but this month.
func yearChart(m *discharge.Month, l discharge.Line) (*chart.Monthly, bool) {
	first := time.Date(m.Year, time.January, 1, 0, 0, 0, 0, time.UTC)
	last := m.First().AddDate(0, 1, -1)
	out := &chart.Monthly{Title: fmt.Sprintf("%s, %s: %s, year to date", l.Parameter, l.Point, statWords(l)), Name: l.Parameter, Unit: l.Unit,
		First: first, Days: int(last.Sub(first).Hours()/24) + 1, Include: []float64{0}}
	text := ""
	for _, f := range l.ToDate {
		if f.Report == "" || math.IsNaN(f.Value) {
			continue
		}
		a := time.Date(f.Year, f.Month, 1, 0, 0, 0, 0, time.UTC)
		if f.Part { // a few days are no month
			text += fmt.Sprintf("; %s only in part", f.Month)
			continue
		}
		out.Averages = append(out.Averages, chart.Average{Name: "the month's figure", From: a, To: a.AddDate(0, 1, -1), Value: f.Value})
		out.Results = append(out.Results, chart.Result{Day: a.AddDate(0, 0, 14), Value: f.Value, Sign: reportSign(f.Report)})
		text += fmt.Sprintf("; %s %s", f.Month, f.Report)
	}
	if !math.IsNaN(l.LimitValue) {
		out.Limits = []chart.Limit{{Name: "limit", Value: l.LimitValue}}
	}
	out.Message = out.Title + text + " " + l.Unit + "."
	return out, len(out.Averages) > 1
}
