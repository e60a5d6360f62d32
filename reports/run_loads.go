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

// dailyTable shows the day's figures that people ask for; daily.csv has all.
func dailyTable(r *analysis.Result) *table.Table {
	t := &table.Table{Caption: "Day by day", Columns: []table.Column{{Name: "Day"}},
		Notes: []string{"Days are calendar days on the plant's clock; n.d.: too little of the day is covered. Pounds by the trade's factor, lb/d = MGD × mg/L × 8.34; metric figures by the exact factor."}}
	var cols []analysis.Column
	for _, c := range r.Daily.Columns {
		if wantedDaily(c.Name) {
			cols = append(cols, c)
			t.Columns = append(t.Columns, table.Column{Name: c.Title, Unit: inSystem(c.Unit, r.Plant.Units).Symbol})
		}
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
			v := values[i][d]
			if math.IsNaN(v) {
				row = append(row, table.NA("n.d."))
			} else {
				row = append(row, table.Sig(v, 3))
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func wantedDaily(name string) bool {
	for _, end := range []string{".flow", "_load", ".chlorine_used", ".dose", ".demand", ".ct_least", ".solution_used"} {
		if strings.HasSuffix(name, end) {
			return true
		}
	}
	return false
}
