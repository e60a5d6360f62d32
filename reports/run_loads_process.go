package reports

import (
	"fmt"
	"math"
	"strings"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/contact"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/reports/table"
)

func unit(symbol string) quantity.Unit { return quantity.MustUnit(symbol) }

func kindTitle(k quantity.Kind) string {
	info, _ := quantity.Of(k)
	return info.Title
}

// removalTable is what was taken out between two points, over the days on which
// both loads are known.
func removalTable(r *analysis.Result) *table.Table {
	rate := unitOf(r, "lb/d")
	t := &table.Table{Caption: "Removal", Columns: []table.Column{{Name: "Of"}, {Name: "From"}, {Name: "To"}, {Name: "Days"}, {Name: "Load in", Unit: rate}, {Name: "Load out", Unit: rate}, {Name: "Removal by load", Unit: "%"},
		{Name: "Mean in", Unit: "mg/L"}, {Name: "Mean out", Unit: "mg/L"}, {Name: "Removal by concentration", Unit: "%"}}}
	for _, m := range r.Removals {
		t.Rows = append(t.Rows, []table.Cell{table.Str(kindTitle(m.To.Measures)), table.Str(r.Plant.Title(m.From.At)), table.Str(r.Plant.Title(m.To.At)), table.Int(m.Days),
			sig(r, m.LoadIn, "lb/d"), sig(r, m.LoadOut, "lb/d"), table.Num(m.ByLoad, 1), table.Sig(m.MgLIn, 3), table.Sig(m.MgLOut, 3), table.Num(m.ByMgL, 1)})
	}
	if len(t.Rows) > 0 {
		t.Notes = []string{"Of the days on which both are known: removal of the summed loads, and of the mean concentrations. The permit says which of the two counts; daily.csv has each day."}
	}
	return t
}

// processTable holds each unit process against its sizes and design figures.
func processTable(r *analysis.Result) *table.Table {
	t := &table.Table{Caption: "Loading of unit processes", Columns: []table.Column{{Name: "Process"}, {Name: "Rate"}, {Name: "Unit"}, {Name: "Average"}, {Name: "Design average"}, {Name: "Of design", Unit: "%"},
		{Name: "Peak hour"}, {Name: "Design peak"}, {Name: "Of design peak", Unit: "%"}}}
	design := func(v, k float64) table.Cell {
		if math.IsNaN(v) {
			return table.NA("not stated")
		}
		return table.Sig(v*k, 3)
	}
	share := func(v float64) table.Cell {
		if math.IsNaN(v) {
			return table.NA("–")
		}
		return table.Num(v, 0)
	}
	for _, p := range r.Processes {
		for _, row := range p.Rows {
			us, metric, k := row.Rate.Unit()
			u := metric
			if r.Plant.Units != plant.Metric {
				u, k = us, 1
			}
			t.Rows = append(t.Rows, []table.Cell{table.Str(p.Title), table.Str(row.Rate.Title()), table.Str(u), table.Sig(row.Average*k, 3), design(row.DesignAverage, k), share(row.OfDesignAverage),
				table.Sig(row.Peak*k, 3), design(row.DesignPeak, k), share(row.OfDesignPeak)})
		}
		note := fmt.Sprintf("%s: average %s %s, peak hour %s %s", p.Title, sig(r, p.AverageMGD, "MGD"), unitOf(r, "MGD"), sig(r, p.PeakMGD, "MGD"), unitOf(r, "MGD"))
		if p.PeakAt > 0 {
			note += " on " + time.UnixMilli(p.PeakAt).In(r.Plant.Zone).Format("2 Jan 15:04")
		}
		t.Notes = append(t.Notes, strings.Join(append([]string{note}, p.Notes...), "; ")+".")
	}
	if len(t.Rows) > 0 {
		t.Notes = append([]string{"Over 100 % means loaded beyond design; for a detention time, shorter than design."}, t.Notes...)
	}
	return t
}

// verdictTable counts each basin's hours by their verdict.
func verdictTable(r *analysis.Result) *table.Table {
	words := []contact.Verdict{contact.Met, contact.MetWithin, contact.ShortWithin, contact.Short, contact.NotDetermined}
	t := &table.Table{Caption: "Hours by verdict", Columns: []table.Column{{Name: "Basin"}, {Name: "Required"}}}
	for _, w := range words {
		t.Columns = append(t.Columns, table.Column{Name: strings.ToUpper(string(w[:1])) + string(w[1:]), Unit: "h"})
	}
	for i := range r.Basins {
		b := &r.Basins[i]
		var order []string
		count := map[string]map[contact.Verdict]int{}
		asked := map[string]string{}
		add := func(what string, v contact.Verdict) {
			if count[what] == nil {
				count[what] = map[contact.Verdict]int{}
				order = append(order, what)
			}
			count[what][v]++
		}
		for _, h := range b.Hours {
			if !h.Asked {
				continue
			}
			add("", h.Verdict)
			for _, j := range h.Judged {
				asked[j.What] = fmt.Sprintf("%s of %.4g %s", j.What, j.Required, j.Unit)
				add(j.What, j.Verdict)
			}
		}
		for n, what := range order {
			name, row := b.Title, asked[what]
			if n == 0 {
				row = "everything required"
			} else {
				name = ""
			}
			cells := []table.Cell{table.Str(name), table.Str(row)}
			for _, w := range words {
				c := table.Int(count[what][w])
				if n == 0 {
					c = c.Bold()
				}
				cells = append(cells, c)
			}
			t.Rows = append(t.Rows, cells)
		}
	}
	if len(t.Rows) > 0 {
		t.Notes = []string{"An hour's verdict is the worst of all that is required of it. Within the instruments' accuracy: with the accuracies stated in tags.csv and plant.toml the figure may lie on either side of what is required. Where no accuracy is stated, none is allowed for."}
	}
	return t
}
