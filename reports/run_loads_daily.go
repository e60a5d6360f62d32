package reports

import (
	"math"
	"slices"
	"strings"
	"time"

	"weirbook/analysis"
	"weirbook/reports/table"
)

// dailyTables show the day's figures that people ask for: disinfection and
// chemical, then loads. daily.csv has all.
func dailyTables(r *analysis.Result) []*table.Table {
	if len(r.Days) > longestDaily {
		return monthlyTables(r)
	}
	note := "Calendar days on the plant's clock; n.d.: too little of the day is covered; –: no sample. "
	return []*table.Table{
		dailyTable(r, "Disinfection and chemical, day by day", note+"daily.csv has every column.",
			ofDisinfection),
		dailyTable(r, "Loads, day by day", note+"Pounds by the trade's factor, lb/d = MGD × mg/L × 8.34; metric figures by the exact factor. On-line loads integrate flow times concentration; composites stand for their own 24 hours.",
			func(n string) bool { return oneOf(n, "_load") }),
	}
}

// longestDaily is the longest period, in days, that is told day by day; a longer
// one is told by months.
const longestDaily = 92

func ofDisinfection(n string) bool {
	return oneOf(n, ".flow", ".contact_time_min", ".ct_min", ".dose", ".demand", ".chlorine_used", ".solution_used") && !strings.HasPrefix(n, "influent")
}

// monthlyTables condense the daily tables of a long period: sums of what was
// used, the lowest of what is a day's lowest, else the mean of the days known.
func monthlyTables(r *analysis.Result) []*table.Table {
	note := "Calendar months, as far as the period reaches; what was used is the sum of the days known, contact time and CT the lowest of them, all else their mean. daily.csv has each day."
	return []*table.Table{
		byMonth(r, dailyTable(r, "Disinfection and chemical, month by month", note, ofDisinfection)),
		byMonth(r, dailyTable(r, "Loads, month by month", note+" Pounds by the trade's factor, lb/d = MGD × mg/L × 8.34; metric figures by the exact factor.",
			func(n string) bool { return oneOf(n, "_load") })),
	}
}

// byMonth condenses a table of days into one of months.
func byMonth(r *analysis.Result, days *table.Table) *table.Table {
	t := &table.Table{Caption: days.Caption, Columns: slices.Clone(days.Columns), Notes: days.Notes}
	t.Columns[0].Name = "Month"
	t.Columns = slices.Insert(t.Columns, 1, table.Column{Name: "Days"})
	for lo := 0; lo < len(days.Rows); {
		at := time.UnixMilli(r.Daily.Windows[lo].Start).In(r.Plant.Zone)
		hi := lo
		for hi < len(days.Rows) && time.UnixMilli(r.Daily.Windows[hi].Start).In(r.Plant.Zone).Month() == at.Month() {
			hi++
		}
		row := []table.Cell{table.When(at, "Jan 2006"), table.Int(hi - lo)}
		for c := 1; c < len(days.Columns); c++ {
			name := days.Columns[c].Key
			n, sum, least := 0, 0.0, math.Inf(1)
			for _, d := range days.Rows[lo:hi] {
				if d[c].Kind == table.Number {
					n, sum, least = n+1, sum+d[c].Value, math.Min(least, d[c].Value)
				}
			}
			switch {
			case n == 0:
				row = append(row, table.NA("n.d."))
			case oneOf(name, "_used"):
				row = append(row, table.Sig(sum, 4))
			case oneOf(name, "_min"):
				row = append(row, table.Sig(least, 3))
			default:
				row = append(row, table.Sig(sum/float64(n), 3))
			}
		}
		t.Rows = append(t.Rows, row)
		lo = hi
	}
	return t
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
		t.Columns = append(t.Columns, table.Column{Name: c.Title, Key: c.Name, Unit: inSystem(c.Unit, r.Plant.Units).Symbol})
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
