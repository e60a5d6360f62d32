package reports

import (
	"math"
	"strings"
	"time"

	"weirbook/analysis"
	"weirbook/reports/table"
)

// dailyTables show the day's figures that people ask for: disinfection and
// chemical, then loads. daily.csv has all.
func dailyTables(r *analysis.Result) []*table.Table {
	note := "Calendar days on the plant's clock; n.d.: too little of the day is covered; –: no sample. "
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
	for _, c := range r.Daily.Columns {
		if !wanted(c.Name) || strings.HasSuffix(c.Name, ".flow") && shownAlready(cols, c) {
			continue
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
				why := "n.d."
				if strings.HasSuffix(cols[i].Name, "_composite_load") {
					why = "–" // no sample that day
				}
				row = append(row, table.NA(why))
			} else {
				row = append(row, table.Sig(v, 3))
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// shownAlready says that a column's values are in one already taken: a basin's
// flow and the flow at its outlet are often one and the same.
func shownAlready(cols []analysis.Column, c analysis.Column) bool {
	for _, o := range cols {
		same := o.Unit == c.Unit
		for i := range c.Values {
			a, b := o.Values[i], c.Values[i]
			same = same && (a == b || math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) <= 1e-3*math.Abs(b))
		}
		if same {
			return true
		}
	}
	return false
}
