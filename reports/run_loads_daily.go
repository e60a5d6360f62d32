package reports

import (
	"math"
	"slices"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/quantity"
	"weirbook/reports/table"
)

// dailyTables show the day's figures that people ask for: disinfection and
// chemical, then loads. daily.csv has all.
func dailyTables(r *analysis.Result) []*table.Table {
	by, note := "day by day", "Calendar days on the plant's clock; n.d.: too little of the day is covered; –: no sample; > and <: at least and at most, where an instrument stood at the end of its scale. daily.csv has every column."
	layout := dailyTable
	if len(r.Days) > longestDaily {
		by, note = "month by month", "Calendar months, as far as the period reaches; what was used is the sum of the days known, contact time and CT the lowest of them, all else their mean. daily.csv has each day."
		layout = monthlyTable
	}
	var disinfection, loads []analysis.Column
	for _, c := range r.Daily.Columns {
		switch {
		case ofDisinfection(r, c) && !(flowOf(r, c) && shownAlready(disinfection, c)):
			disinfection = append(disinfection, c)
		case c.Kind == analysis.Load || c.Kind == analysis.CompositeLoad:
			loads = append(loads, c)
		}
	}
	return []*table.Table{
		layout(r, "Disinfection and chemical, "+by, disinfection, note),
		layout(r, "Loads, "+by, loads, note, "Pounds by the trade's factor, lb/d = MGD × mg/L × 8.34; metric figures by the exact factor. On-line loads integrate flow times concentration; composites stand for their own 24 hours."),
	}
}

// longestDaily is the longest period, in days, that is told day by day; a longer
// one is told by months.
const longestDaily = 92

// flowOf says that a column is a flow: a meter's, or through a basin.
func flowOf(r *analysis.Result, c analysis.Column) bool {
	return c.Kind == analysis.BasinFlow || c.Kind == analysis.SignalMean && tagOf(r, c).Measures == quantity.Flow
}

func ofDisinfection(r *analysis.Result, c analysis.Column) bool {
	switch c.Kind {
	case analysis.ContactTimeLeast, analysis.CTLeast, analysis.Dose, analysis.Demand, analysis.ChlorineUsed, analysis.SolutionUsed:
		return true
	}
	q, _ := r.Plant.Point(tagOf(r, c).At)
	return flowOf(r, c) && !q.Influent
}

// monthlyTable condenses the days of a long period: sums of what was used, the
// lowest of what is a day's lowest, else the mean of the days known.
func monthlyTable(r *analysis.Result, caption string, cols []analysis.Column, notes ...string) *table.Table {
	t := columnsTable(r, caption, "Month", cols, notes)
	t.Columns = slices.Insert(t.Columns, 1, table.Column{Name: "Days"})
	ws := r.Daily.Windows
	for lo := 0; lo < len(ws) && len(cols) > 0; {
		at := time.UnixMilli(ws[lo].Start).In(r.Plant.Zone)
		hi := lo
		for hi < len(ws) && time.UnixMilli(ws[hi].Start).In(r.Plant.Zone).Month() == at.Month() {
			hi++
		}
		row := []table.Cell{table.When(at, "Jan 2006"), table.Int(hi - lo)}
		for _, c := range cols {
			x := folded(in(c.Values[lo:hi], c.Unit, r.Plant.Units), c.Kind.Fold)
			for i := lo; i < hi && x.Kind == table.Number; i++ {
				if s := c.Sign(i); s != "" {
					x.Sign = string(s)
				}
			}
			row = append(row, x)
		}
		t.Rows = append(t.Rows, row)
		lo = hi
	}
	return t
}

// folded is what days come to.
func folded(days []float64, how analysis.Fold) table.Cell {
	low, mean, high, n := spread(days)
	switch {
	case n == 0:
		return table.NA("n.d.")
	case how == analysis.FoldSum:
		return table.Sig(mean*float64(n), 4)
	case how == analysis.FoldLowest:
		return table.Sig(low, 3)
	case how == analysis.FoldHighest:
		return table.Sig(high, 3)
	}
	return table.Sig(mean, 3)
}

func columnsTable(r *analysis.Result, caption, first string, cols []analysis.Column, notes []string) *table.Table {
	t := &table.Table{Caption: caption, Columns: []table.Column{{Name: first}}, Notes: notes}
	for _, c := range cols {
		t.Columns = append(t.Columns, table.Column{Name: c.Title, Key: c.Name, Unit: inSystem(c.Unit, r.Plant.Units).Symbol})
	}
	return t
}

func dailyTable(r *analysis.Result, caption string, cols []analysis.Column, notes ...string) *table.Table {
	t := columnsTable(r, caption, "Day", cols, notes)
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
				if cols[i].Kind == analysis.CompositeLoad {
					why = "–" // no sample that day
				}
				row = append(row, table.NA(why))
			} else {
				c := table.Sig(v, 3)
				c.Sign = string(cols[i].Sign(d))
				row = append(row, c)
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
