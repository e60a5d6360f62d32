package reports

import (
	"math"
	"strings"
	"time"

	"weirbook/analysis"
	"weirbook/reports/chart"
	"weirbook/reports/table"
)

// loadingsChart draws the hourly loads, a panel for each: steps, since each
// value stands for its hour.
func loadingsChart(r *analysis.Result) *chart.Timeline {
	c := &chart.Timeline{Title: "Hourly loadings", Zone: r.Plant.Zone, Start: r.From, End: r.To}
	t := make([]int64, len(r.Hours))
	for i, h := range r.Hours {
		t[i] = h.Start
	}
	for _, col := range r.Hourly.Columns {
		if !strings.HasSuffix(col.Name, "_load") {
			continue
		}
		u := inSystem(col.Unit, r.Plant.Units)
		c.Panels = append(c.Panels, chart.Panel{Name: col.Title, Unit: u.Symbol, Include: []float64{0},
			Series: []chart.Series{{Name: "mean over the hour", T: t, Y: in(col.Values, col.Unit, r.Plant.Units), Form: chart.Step, Width: 3600_000}}})
	}
	if len(c.Panels) == 0 {
		return nil
	}
	return c
}

// dailyTables show the day's figures that people ask for: disinfection and
// chemical, then loads. daily.csv has all.
func dailyTables(r *analysis.Result) []*table.Table {
	note := "Calendar days on the plant's clock; n.d.: too little of the day is covered. "
	return []*table.Table{
		dailyTable(r, "Disinfection and chemical, day by day", note+"daily.csv has every column.",
			func(n string) bool {
				return oneOf(n, ".flow", ".contact_time_min", ".ct_min", ".dose", ".demand", ".chlorine_used", ".solution_used") && !strings.HasPrefix(n, "influent")
			}),
		dailyTable(r, "Loads, day by day", note+"Pounds by the trade's factor, lb/d = MGD × mg/L × 8.34; metric figures by the exact factor. On-line loads integrate flow times concentration; composites stand for their own 24 hours.",
			func(n string) bool { return oneOf(n, "_load") }),
	}
}

func oneOf(name string, ends ...string) bool {
	for _, e := range ends {
		if strings.HasSuffix(name, e) {
			return true
		}
	}
	return false
}

func dailyTable(r *analysis.Result, caption, note string, wanted func(string) bool) *table.Table {
	t := &table.Table{Caption: caption, Columns: []table.Column{{Name: "Day"}}, Notes: []string{note}}
	var cols []analysis.Column
	seen := map[string]bool{}
	for _, c := range r.Daily.Columns {
		// A basin's flow and the flow at its outlet are often one and the same.
		if !wanted(c.Name) || strings.HasSuffix(c.Name, ".flow") && seen[".flow"] {
			continue
		}
		if strings.HasSuffix(c.Name, ".flow") {
			seen[".flow"] = true
		}
		cols = append(cols, c)
		t.Columns = append(t.Columns, table.Column{Name: c.Title, Unit: inSystem(c.Unit, r.Plant.Units).Symbol})
	}
	if len(cols) == 0 {
		return t
	}
	values := make([][]float64, len(cols))
	for i, c := range cols {
		values[i] = in(c.Values, c.Unit, r.Plant.Units)
	}
	for d, w := range r.Daily.Windows {
		row := []table.Cell{table.When(time.UnixMilli(w.Start).In(r.Plant.Zone), "Mon 2 Jan")}
		for i := range cols {
			if v := values[i][d]; math.IsNaN(v) {
				row = append(row, table.NA("n.d."))
			} else {
				row = append(row, table.Sig(v, 3))
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
