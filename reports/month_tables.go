package reports

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"weirbook/analysis/discharge"
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

// monthCSV is month.csv: every line with everything known of it, the unrounded
// value beside the reported one.
func monthCSV(m *discharge.Month) ([]byte, error) {
	keys := []string{"parameter", "at", "statistic", "part", "in_plant_file", "report", "unrounded", "unit", "limit", "limit_value", "result_against_limit", "margin", "margin_percent",
		"when", "excursions", "excursion_list", "cannot_tell", "values", "below_limit", "non_detect_rule", "by_rule", "rounded_to", "samples_taken", "samples_required", "samples_missing", "sampling",
		"accuracy", "within_accuracy", "coverage", "how", "definition", "source", "plant_toml_line", "remarks"}
	t := table.Table{}
	for _, k := range keys {
		t.Columns = append(t.Columns, table.Column{Key: k})
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

// monthDailyCSV is month-days.csv: a row per local day of the month and
// of the weeks that touch it.
func monthDailyCSV(m *discharge.Month, zone *time.Location) ([]byte, error) {
	t := table.Table{Columns: []table.Column{{Key: "day_start"}, {Key: "time_utc"}, {Key: "hours"}, {Key: "in_month"}}}
	for _, c := range m.Columns {
		base := c.At + "." + string(c.Kind) + "_" + c.Sample
		if c.Variant != "" {
			base += "_" + strings.ReplaceAll(fileSlug(c.Variant), "-", "_")
		}
		unit := columnUnit(c.Unit)
		if c.Sample == "continuous" {
			t.Columns = append(t.Columns, table.Column{Key: base + "_mean_" + unit}, table.Column{Key: base + "_min_" + unit}, table.Column{Key: base + "_max_" + unit}, table.Column{Key: base + "_coverage"})
		} else {
			t.Columns = append(t.Columns, table.Column{Key: base + "_" + unit}, table.Column{Key: base + "_counted_as_" + unit}, table.Column{Key: base + "_results"})
		}
		if c.HasLoad {
			t.Columns = append(t.Columns, table.Column{Key: base + "_flow_mgd"}, table.Column{Key: base + "_load_lb_per_d"})
		}
	}
	if len(m.Columns) > 0 {
		for i, d := range m.Columns[0].Days {
			start := time.Date(d.Date.Year(), d.Date.Month(), d.Date.Day(), 0, 0, 0, 0, zone)
			in := "no"
			if d.Date.Month() == m.Month && d.Date.Year() == m.Year {
				in = "yes"
			}
			row := []table.Cell{table.When(start, ""), table.When(start.UTC(), ""), table.Num(d.Hours, 2), table.Str(in)}
			for _, c := range m.Columns {
				row = append(row, dailyCells(c, c.Days[i])...)
			}
			t.Rows = append(t.Rows, row)
		}
	}
	var b bytes.Buffer
	err := t.WriteCSV(&b)
	return b.Bytes(), err
}

func dailyCells(c discharge.Column, d discharge.Day) []table.Cell {
	var row []table.Cell
	if c.Sample == "continuous" {
		row = []table.Cell{table.Num(d.Value.V, 6), table.Num(d.Min, 6), table.Num(d.Max, 6), table.Num(d.Cover, 4)}
	} else {
		v := table.Num(d.Value.V, c.Decimals)
		v.Sign = string(d.Value.Sign)
		row = []table.Cell{v, table.Num(d.Used, c.Decimals), table.Int(d.N)}
	}
	if c.HasLoad {
		row = append(row, table.Num(d.FlowMGD, 4), table.Num(d.Load, 2))
	}
	return row
}

// columnUnit is a unit's symbol as it stands in a column's name.
func columnUnit(symbol string) string {
	if u, err := parseUnit(symbol); err == nil && u.Slug != "" {
		return u.Slug
	}
	return slug(symbol)
}
