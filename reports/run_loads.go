package reports

import (
	"fmt"

	"weirbook/analysis"
	"weirbook/analysis/plant"
	"weirbook/reports/chart"
	"weirbook/reports/page"
	"weirbook/reports/table"
)

// loadPanels is how many loads a chart holds; more make more charts.
const loadPanels = 8

// loadPictures draws the hourly loads, a panel for each: steps, since each value
// stands for its hour.
func loadPictures(r *analysis.Result) ([]page.Picture, error) {
	var panels []chart.Panel
	t := make([]int64, len(r.Hours))
	for i, h := range r.Hours {
		t[i] = h.Start
	}
	for _, col := range r.Hourly.Columns {
		if col.Kind != analysis.Load {
			continue
		}
		u := inSystem(col.Unit, r.Plant.Units)
		panels = append(panels, chart.Panel{Name: col.Title, Unit: u.Symbol, Include: []float64{0},
			Series: []chart.Series{{Name: "mean over the hour", T: t, Y: in(col.Values, col.Unit, r.Plant.Units), Form: chart.Step, Width: 3600_000, Colour: colourOf(tagOf(r, col).Measures)}}})
	}
	var out []page.Picture
	for k := 0; k < len(panels); k += loadPanels {
		c := &chart.Timeline{Title: "Hourly loads", Zone: r.Plant.Zone, Start: r.From, End: r.To, Panels: panels[k:min(k+loadPanels, len(panels))]}
		file := "charts/hourly-loadings.png"
		if k > 0 {
			file = fmt.Sprintf("charts/hourly-loadings-%d.png", k/loadPanels+1)
		}
		pic, err := picture(file, c, "")
		if err != nil {
			return nil, err
		}
		out = append(out, pic)
	}
	return out, nil
}

// tagOf is the tag that a column comes from; the empty tag for basins and feeds.
func tagOf(r *analysis.Result, c analysis.Column) plant.Tag {
	t, _ := r.Plant.Tag(c.Tag)
	return t
}

// loadTables are the tables of loads, dose and chemical, in the order of the
// report; those with nothing to say have no rows.
func loadTables(r *analysis.Result) []*table.Table {
	out := []*table.Table{chemicalTable(r), doseTable(r), dechlorinationTable(r)}
	out = append(out, dailyTables(r)...)
	return append(out, samplesTable(r), removalTable(r), processTable(r))
}
