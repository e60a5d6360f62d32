package reports

import (
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/quantity"
	"weirbook/reports/chart"
	"weirbook/reports/table"
)

// loadingsChart draws the hourly loads, a panel for each: steps, since each
// value stands for its hour.
func loadingsChart(r *analysis.Result) *chart.Timeline {
	c := &chart.Timeline{Title: "Hourly loads", Zone: r.Plant.Zone, Start: r.From, End: r.To}
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
			Series: []chart.Series{{Name: "mean over the hour", T: t, Y: in(col.Values, col.Unit, r.Plant.Units), Form: chart.Step, Width: 3600_000, Colour: loadColour(col.Name)}}})
	}
	if len(c.Panels) == 0 {
		return nil
	}
	return c
}

// loadColour is the colour of what a column of loads carries.
func loadColour(column string) chart.Colour {
	for _, k := range []quantity.Kind{quantity.ChlorineTotal, quantity.ChlorineFree, quantity.AmmoniaN, quantity.NitriteN} {
		if strings.Contains(column, string(k)) {
			return colourOf(k)
		}
	}
	return chart.ColourOther
}

// loadTables are the tables of loads, dose and chemical, in the order of the
// report; those with nothing to say have no rows.
func loadTables(r *analysis.Result) []*table.Table {
	out := []*table.Table{chemicalTable(r), doseTable(r), dechlorinationTable(r)}
	out = append(out, dailyTables(r)...)
	return append(out, samplesTable(r), removalTable(r), processTable(r))
}
