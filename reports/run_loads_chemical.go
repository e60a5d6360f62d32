package reports

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/loading"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/reports/table"
)

// unitOf is the unit a quantity kept in the working unit is shown in.
func unitOf(r *analysis.Result, working string) string {
	return inSystem(quantity.MustUnit(working), r.Plant.Units).Symbol
}

// sig shows a quantity kept in a working unit in the reader's, with three
// significant digits.
func sig(r *analysis.Result, v float64, working string) table.Cell {
	v, _ = shown(v, working, r.Plant.Units)
	return table.Sig(v, 3)
}

// chemicalTable is what each feed used, what it cost, and how long what is in
// store lasts.
func chemicalTable(r *analysis.Result) *table.Table {
	perVolume, k := "lb/MG", 1.0
	if r.Plant.Units == plant.Metric {
		perVolume, k = "kg/1000 m³", quantity.KilogramsPerPound/quantity.LitresPerGallon
	}
	t := &table.Table{Caption: "Chemical used", Columns: []table.Column{{Name: "Feed"}, {Name: "Active chemical", Unit: unitOf(r, "lb")}, {Name: "Solution", Unit: unitOf(r, "gal")},
		{Name: "Per volume", Unit: perVolume}, {Name: "Dose, flow-weighted", Unit: "mg/L"}, {Name: "Cost"}, {Name: "In store", Unit: unitOf(r, "gal")}, {Name: "Lasts", Unit: "days"}, {Name: "Stands for", Unit: "%"}}}
	for _, u := range r.Chemicals {
		cost := table.NA("no price")
		if !math.IsNaN(u.Cost) {
			cost = table.Str(fmt.Sprintf("%s %s", table.Group(u.Cost, 0), u.Feed.Currency))
		}
		solution, store := table.NA("gas"), table.NA("not known")
		if !math.IsNaN(u.Gallons) {
			solution = sig(r, u.Gallons, "gal")
		}
		if !math.IsNaN(u.InStore) {
			store = sig(r, u.InStore, "gal")
		}
		left := table.NA("not known")
		if !math.IsNaN(u.DaysLeft) {
			left = table.Num(u.DaysLeft, 1)
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(u.Feed.Title), sig(r, u.Pounds, "lb"), solution, table.Sig(u.LbPerMG*k, 3), table.Sig(u.DoseMgL, 3),
			cost, store, left, table.Num(100*u.Cover, 0)})
		note := u.Feed.Title + ": "
		if u.ByTank {
			note += "use by the tank's drop, day by day. "
		}
		if u.StoredBy != "" {
			note += "in store " + u.StoredBy + ". "
		}
		if u.Drawn > 0 {
			note += fmt.Sprintf("The tank's drop comes to %s %s on the days it is known. ", sig(r, u.Drawn, "gal"), unitOf(r, "gal"))
		}
		if len(note) > len(u.Feed.Title)+2 {
			t.Notes = append(t.Notes, note[:len(note)-1])
		}
	}
	if len(t.Rows) > 0 {
		t.Notes = append([]string{"Active chemical: as chlorine for chlorine feeds, the salt or gas for dechlorination. The sums are those of the hours (for a tank: days) that are known; the last column says what share of the period they stand for."}, t.Notes...)
	}
	return t
}

// doseTable is dose, demand and where the water lies on the breakpoint curve.
func doseTable(r *analysis.Result) *table.Table {
	t := &table.Table{Caption: "Dose, demand and ammonia", Columns: []table.Column{{Name: "Feed"}, {Name: "Figure"}, {Name: "Unit"}, {Name: "Lowest hour"}, {Name: "Mean"}, {Name: "Highest hour"}, {Name: "Hours"}}}
	for _, f := range r.Feeds {
		if !f.Chlorinates() {
			continue
		}
		for _, q := range []struct {
			kind        *analysis.ColumnKind
			title, unit string
		}{{analysis.Dose, "dose", "mg/L"}, {analysis.Demand, "demand of the water leaving", "mg/L"},
			{analysis.DemandPerAmmonia, "demand per mg/L of ammonia N", ""}, {analysis.Cl2ToN, "Cl2:N by weight", ""}} {
			c, ok := r.Hourly.Find(q.kind, f.Name)
			if !ok {
				continue
			}
			low, mean, high, n := spread(c.Values)
			if n > 0 {
				t.Rows = append(t.Rows, []table.Cell{table.Str(f.Title), table.Str(q.title), table.Str(q.unit), table.Sig(low, 3), table.Sig(mean, 3), table.Sig(high, 3), table.Int(n)})
			}
			if q.kind == analysis.Cl2ToN && n > 0 {
				t.Notes = append(t.Notes, f.Title+": "+positions(r, f.Name)+" By the ratio alone; organic nitrogen, pH and contact time move the real curve.")
			}
		}
	}
	if len(t.Rows) > 0 {
		t.Notes = append([]string{"Demand is the dose that the water leaving was given when it came in, less the residual it leaves with. Ratios to ammonia are not calculated below 0.05 mg/L of it."}, t.Notes...)
	}
	return t
}

// spread is the lowest, mean and highest of the values that are known.
func spread(values []float64) (low, mean, high float64, n int) {
	low, high = math.NaN(), math.NaN()
	for _, v := range values {
		if math.IsNaN(v) {
			continue
		}
		if n == 0 || v < low {
			low = v
		}
		if n == 0 || v > high {
			high = v
		}
		mean += v
		n++
	}
	return low, mean / float64(n), high, n
}

// positions counts a feed's hours by their place on the breakpoint curve.
func positions(r *analysis.Result, feed string) string {
	var parts []string
	for _, w := range r.Hourly.Words {
		if w.Name != feed+".breakpoint_position" {
			continue
		}
		count := map[string]int{}
		for _, v := range w.Values {
			count[v]++
		}
		for p := loading.Monochloramine; p <= loading.DemandUnknown; p++ {
			if n := count[p.String()]; n > 0 {
				parts = append(parts, fmt.Sprintf("%s %s", plural(n, "hour"), p))
			}
		}
	}
	return strings.Join(parts, "; ") + "."
}

// dechlorinationTable is what was applied against what the residual needs, by
// molar masses and by the ratio in use.
func dechlorinationTable(r *analysis.Result) *table.Table {
	t := &table.Table{Caption: "Dechlorination", Columns: []table.Column{{Name: "Feed"}, {Name: "Applied", Unit: "mg/L"}, {Name: "Needed by molar masses", Unit: "mg/L"}, {Name: "Needed by the ratio in use", Unit: "mg/L"},
		{Name: "Stoichiometric", Unit: "mg/mg"}, {Name: "Ratio in use", Unit: "mg/mg"}, {Name: "Applied per residual", Unit: "mg/mg"}, {Name: "Hours below need"}, {Name: "Hours"}}}
	for _, f := range r.Feeds {
		needed, ok := r.Hourly.Find(analysis.Needed, f.Name)
		if f.Chlorinates() || !ok {
			continue
		}
		applied, _ := r.Hourly.Find(analysis.Dose, f.Name)
		stoich, known := r.Hourly.Find(analysis.NeededByMolarMasses, f.Name)
		var sumA, sumN, sumS float64
		n, below := 0, 0
		for i := range needed.Values {
			a, w := applied.Values[i], needed.Values[i]
			if math.IsNaN(a) || math.IsNaN(w) {
				continue
			}
			n++
			sumA, sumN = sumA+a, sumN+w
			limit := w
			if known {
				sumS += stoich.Values[i]
				limit = stoich.Values[i]
			}
			if a < limit {
				below++
			}
		}
		if n == 0 {
			continue
		}
		k := float64(n)
		s := table.NA("not stated")
		if known {
			s = table.Sig(sumS/k, 3)
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(f.Title), table.Sig(sumA/k, 3), s, table.Sig(sumN/k, 3), table.Sig(f.Stoichiometric, 4), table.Sig(f.Ratio, 3),
			table.Sig(sumA/sumN*f.Ratio, 3), table.Int(below), table.Int(n)})
		t.Notes = append(t.Notes, fmt.Sprintf("%s: ratio in use from %s.", f.Title, f.RatioFrom))
	}
	if len(t.Rows) > 0 {
		t.Notes = append([]string{"Means of the hours in which both are known. Hours below need: less applied than molar masses require. The reaction is nearly instantaneous and mixing governs; more sulfite than is needed uses up dissolved oxygen."}, t.Notes...)
	}
	return t
}
