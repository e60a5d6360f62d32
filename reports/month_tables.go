package reports

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/reports/table"
	"weirbook/reports/workbook"
)

// reportedCell is a figure as it is reported, zeros and sign kept.
func reportedCell(s string) table.Cell {
	if s == "" {
		return table.NA("n.d.")
	}
	sign := ""
	if s[0] == '<' || s[0] == '>' {
		sign, s = s[:1], s[1:]
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || sign != "" { // a bound as it stands
		return table.Str(sign + s)
	}
	return table.Num(v, discharge.DecimalsOf(s))
}

// resultCell is a result as the laboratory gave it: a bound with the digits it
// needs, a measured value with its column's decimals.
func resultCell(v discharge.Value, decimals int) table.Cell {
	if v.Sign != discharge.Exact {
		return table.Str(string(v.Sign) + table.Plain(v.V))
	}
	return table.Num(v.V, decimals)
}

func limitWords(l discharge.Line) string {
	switch {
	case l.Limit.ReportOnly:
		return "report only"
	case l.LimitText == "":
		return ""
	case l.State == discharge.NotInSeason:
		return l.LimitText + " (" + l.Limit.Season + ")"
	case l.AtLeast:
		return "≥ " + l.LimitText
	}
	return "≤ " + l.LimitText
}

func statWords(l discharge.Line) string {
	if l.Part != "" {
		return l.Statistic + ", " + l.Part
	}
	return l.Statistic
}

// monthTable is the summary ready to copy.
func monthTable(m *discharge.Month, forPlant bool) *table.Table {
	t := &table.Table{Columns: []table.Column{{Name: "Parameter"}, {Name: "Point"}, {Name: "Statistic"}, {Name: "Report", Align: table.Right}, {Name: "Unit"},
		{Name: "Limit", Align: table.Left}, {Name: "Result against limit"}, {Name: "Margin", Align: table.Right}, {Name: "Excursions", Align: table.Right}, {Name: "Samples"}}}
	for _, l := range m.Lines {
		if l.ForPlant != forPlant {
			continue
		}
		rep := reportedCell(l.Report).Bold()
		margin := table.Str("")
		if !math.IsNaN(l.MarginPct) && l.Report != "" {
			margin = table.Str(strings.Replace(fmt.Sprintf("%.0f %%", l.MarginPct), "-", "−", 1))
		}
		ex := table.Str("")
		if l.Report != "" && !math.IsNaN(l.LimitValue) {
			ex = table.Int(len(l.Excursions))
		}
		st := table.Str(workbook.Standing(l.State))
		if l.State.Outside() {
			st = st.Bold()
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(l.Parameter), table.Str(l.Point), table.Str(statWords(l)), rep, table.Str(l.Unit),
			table.Str(limitWords(l)), st, margin, ex, table.Str(workbook.Samples(l))})
	}
	return t
}

// monthKeys are the columns of month.csv and what they hold.
var monthKeys = [][2]string{
	{"parameter", "what is measured, as in tags.csv"}, {"at", "the sampling point"}, {"statistic", "the permit's words"}, {"part", "lowest or highest of a range; time outside"},
	{"in_plant_file", "yes: a [[limit]] of plant.toml; no: measured, and no limit asks for it"}, {"report", "what is copied into the form: rounded once, with its sign"},
	{"unrounded", "the same before rounding"}, {"unit", "of report, unrounded and limit"}, {"limit", "as written in plant.toml"}, {"limit_value", "the same as a number"},
	{"result_against_limit", "how the two numbers lie; no statement about the permit"}, {"margin", "to the good side positive"}, {"margin_percent", "of the limit"},
	{"when", "of the value that decides"}, {"excursions", "values on the wrong side"}, {"excursion_list", "each of them"}, {"cannot_tell", "values whose sign hides on which side they lie"},
	{"values", "days, weeks or results that went in"}, {"below_limit", "of these, below a reporting limit"}, {"non_detect_rule", "what those count for"}, {"by_rule", "the figure under every rule"},
	{"rounded_to", "places, and what a 5 does"}, {"samples_taken", "in the month"}, {"samples_required", "as the limit's frequency asks; 0: not stated"}, {"samples_missing", "of those required"},
	{"sampling", "the same in words"}, {"accuracy", "of the measurement at the result; empty: not stated"}, {"within_accuracy", "the result lies nearer to the limit than that"},
	{"coverage", "share of the month that a signal covers"}, {"how", "how it was computed"}, {"definition", "the definition followed, and its source"}, {"source", "of the limit, as plant.toml states it"},
	{"plant_toml_line", "of the limit"}, {"remarks", "what else must be known of the figure"},
}

// monthCSV is month.csv: every line with everything known of it, the unrounded
// value beside the reported one.
func monthCSV(m *discharge.Month) ([]byte, error) {
	t := table.Table{}
	for _, k := range monthKeys {
		t.Columns = append(t.Columns, table.Column{Key: k[0]})
	}
	for _, l := range m.Lines {
		yes := func(b bool) table.Cell {
			if b {
				return table.Str("yes")
			}
			return table.Str("no")
		}
		count := func(n int) table.Cell { return table.Int(n) }
		var ex []string
		for _, e := range l.Excursions {
			ex = append(ex, e.Text)
		}
		acc := table.Num(l.Accuracy, 6)
		line := table.Int(l.Limit.Line)
		if !l.ForPlant {
			line = table.NA("")
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(string(l.Limit.Parameter)), table.Str(l.Limit.At), table.Prose(l.Statistic), table.Str(l.Part), yes(l.ForPlant),
			table.Prose(l.Report), table.Num(l.Value, 9), table.Prose(l.Unit), table.Prose(l.LimitText), table.Num(l.LimitValue, 6), table.Str(string(l.State)), table.Num(l.Margin, 6), table.Num(l.MarginPct, 1),
			table.Prose(l.When), count(len(l.Excursions)), table.Prose(strings.Join(ex, "; ")), count(l.Undecided), count(l.Values), count(l.NonDetects), table.Str(string(l.Rule)), table.Prose(l.SpreadText),
			table.Prose(l.RoundedTo), count(l.Taken), count(l.Required), count(l.Missing), table.Prose(l.Sampling), acc, yes(l.WithinAccuracy), table.Num(l.Cover, 4),
			table.Prose(l.How), table.Prose(l.Law), table.Str(l.Limit.Source), line, table.Prose(strings.Join(l.Remarks, " "))})
	}
	var b bytes.Buffer
	err := t.WriteCSV(&b)
	return b.Bytes(), err
}

// monthsCSV holds the lines of several months below one another.
func monthsCSV(ms []*discharge.Month) ([]byte, error) {
	t := table.Table{}
	for _, k := range []string{"month", "parameter", "at", "statistic", "part", "report", "unrounded", "unit", "limit", "result_against_limit", "excursions", "samples_taken", "samples_required", "samples_missing", "remarks"} {
		t.Columns = append(t.Columns, table.Column{Key: k})
	}
	for _, m := range ms {
		for _, l := range m.Lines {
			t.Rows = append(t.Rows, []table.Cell{table.Str(m.First().Format("2006-01")), table.Str(string(l.Limit.Parameter)), table.Str(l.Limit.At), table.Prose(l.Statistic), table.Str(l.Part),
				table.Prose(l.Report), table.Num(l.Value, 9), table.Prose(l.Unit), table.Prose(l.LimitText), table.Str(string(l.State)), table.Int(len(l.Excursions)),
				table.Int(l.Taken), table.Int(l.Required), table.Int(l.Missing), table.Prose(strings.Join(l.Remarks, " "))})
		}
	}
	var b bytes.Buffer
	err := t.WriteCSV(&b)
	return b.Bytes(), err
}

// dayColumn is a column of month-days.csv, and what it holds.
type dayColumn struct {
	key, quantity, unit, definition string
	of                              func(i int) table.Cell // of the day i of the weeks that touch the month
}

// dayColumns are those of month-days.csv behind the day's own.
func dayColumns(m *discharge.Month, system plant.System) (out []dayColumn) {
	add := func(key, quantity, unit, definition string, of func(i int) table.Cell) {
		out = append(out, dayColumn{key, quantity, unit, definition, of})
	}
	for _, c := range m.Columns {
		base := c.At + "." + string(c.Kind) + "_" + c.Sample
		if c.Variant != "" {
			base += "_" + strings.ReplaceAll(fileSlug(c.Variant), "-", "_")
		}
		unit := columnUnit(c.Unit)
		if c.Sample == "continuous" {
			add(base+"_mean_"+unit, c.Title, c.Unit, "mean of the day; > where the instrument stood at the end of its scale", func(i int) table.Cell {
				return table.Signed(string(c.Days[i].Value.Sign), c.Days[i].Value.V, 6)
			})
			add(base+"_min_"+unit, c.Title, c.Unit, "least of the day", func(i int) table.Cell { return table.Num(c.Days[i].Min, 6) })
			add(base+"_max_"+unit, c.Title, c.Unit, "most of the day", func(i int) table.Cell {
				return table.Signed(string(c.Days[i].Value.Sign), c.Days[i].Max, 6)
			})
			add(base+"_coverage", c.Title+": coverage", "share, 0 to 1", "how much of the day is covered by readings that could be used", func(i int) table.Cell { return table.Num(c.Days[i].Cover, 4) })
		} else {
			add(base+"_"+unit, c.Title, c.Unit, "the day's value, with its sign", func(i int) table.Cell {
				return table.Signed(string(c.Days[i].Value.Sign), c.Days[i].Value.V, c.Decimals)
			})
			add(base+"_counted_as_"+unit, c.Title, c.Unit, "the number that the value counts for under the permit's rule", func(i int) table.Cell { return table.Num(c.Days[i].Used, c.Decimals) })
			add(base+"_results", c.Title+": results", "", "how many results the day has", func(i int) table.Cell { return table.Int(c.Days[i].N) })
		}
		if c.HasLoad {
			add(base+"_flow_mgd", "flow that carries the load", "MGD", "mean of the day, "+c.FlowTag, func(i int) table.Cell { return table.Num(c.Days[i].FlowMGD, 4) })
			add(base+"_load_lb_per_d", c.Title+": load", "lb/d", "the day's mass by the permit's rule", func(i int) table.Cell { return table.Num(c.Days[i].Load, 2) })
		}
	}
	lo := 0
	if len(m.Columns) > 0 {
		lo = m.Columns[0].MonthLo
	}
	for _, p := range m.Process {
		from, to := processUnit(p, system)
		for _, x := range p.Parts() {
			add(p.Key+"_"+x.Word+"_"+columnUnit(to.Symbol), p.Title, to.Symbol, x.Word+" of the day, "+p.Tag+"; with > or < where an instrument stood at the end of its scale", func(i int) table.Cell {
				if i -= lo; i < 0 || i >= len(p.Days) {
					return table.NA("")
				}
				return processCell(x.Of(p.Days[i]), from, to, 4)
			})
		}
	}
	return out
}

// monthDailyCSV is month-days.csv: a row per local day of the month and
// of the weeks that touch it.
func monthDailyCSV(m *discharge.Month, zone *time.Location, system plant.System) ([]byte, error) {
	t := table.Table{Columns: []table.Column{{Key: "day_start"}, {Key: "time_utc"}, {Key: "hours"}, {Key: "in_month"}}}
	cols := dayColumns(m, system)
	for _, c := range cols {
		t.Columns = append(t.Columns, table.Column{Key: c.key})
	}
	for i, d := range monthDaysOf(m) {
		start := time.UnixMilli(align.StartOfDay(d.Date.Year(), d.Date.Month(), d.Date.Day(), zone)).In(zone)
		in := "no"
		if d.Date.Month() == m.Month && d.Date.Year() == m.Year {
			in = "yes"
		}
		row := []table.Cell{table.When(start, ""), table.When(start.UTC(), ""), table.Num(d.Hours, 2), table.Str(in)}
		for _, c := range cols {
			row = append(row, c.of(i))
		}
		t.Rows = append(t.Rows, row)
	}
	var b bytes.Buffer
	err := t.WriteCSV(&b)
	return b.Bytes(), err
}

// monthDaysOf are the days of the sheet: those of the weeks that touch the month, where
// it has a parameter.
func monthDaysOf(m *discharge.Month) (out []discharge.CalendarDay) {
	if len(m.Columns) == 0 {
		if len(m.Process) > 0 {
			return m.Days
		}
		return nil
	}
	for _, d := range m.Columns[0].Days {
		out = append(out, discharge.CalendarDay{Date: d.Date, Hours: d.Hours})
	}
	return out
}

// columnUnit is a unit's symbol as it stands in a column's name.
func columnUnit(symbol string) string {
	if u, err := parseUnit(symbol); err == nil && u.Slug != "" {
		return u.Slug
	}
	return slug(symbol)
}
