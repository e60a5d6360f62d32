package reports

import (
	"fmt"
	"math"
	"strings"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/review"
	"weirbook/reports/page"
	"weirbook/reports/table"
)

func money(v float64, currency string) table.Cell {
	if math.IsNaN(v) {
		return table.NA("no price")
	}
	return table.Str(table.Group(v, 0) + "\u00a0" + currency)
}

func reviewDrivers(r *analysis.ReviewResult) (page.Section, error) {
	s := page.Section{ID: "drivers", Title: "4. What drives it, and what does it cost?"}
	u := readerUnits{r}
	pic, ok, err := reviewDayPicture(r)
	if err != nil {
		return s, err
	}
	if ok {
		s.Blocks = append(s.Blocks, page.Chart(pic))
	}
	s.Blocks = append(s.Blocks, foldTable("Over the week", "row", weekTable(r))...)
	d := &table.Table{Caption: "What the demand goes with, by daily means, one thing at a time", Columns: []table.Column{{Name: "Demand"}, {Name: "With"}, {Name: "Slope"}, {Name: "95 % interval", Align: table.Right}, {Name: "Unit"}, {Name: "r²"}, {Name: "Days"}, {Name: "Effective n"}}}
	for _, x := range r.Review.Drivers {
		unit := "mg/L per " + x.Unit
		slope, shown := review.In(r.Plant.Units, x.Slope, unit)
		lo, _ := review.In(r.Plant.Units, x.Low, unit)
		hi, _ := review.In(r.Plant.Units, x.High, unit)
		d.Rows = append(d.Rows, []table.Cell{table.Str(x.Demand), table.Str(x.With), table.Sig(slope, 3), table.Str(minus(fmt.Sprintf("%.2g to %.2g", lo, hi))), table.Str(shown), table.Num(x.R2, 2), table.Int(x.N), table.Num(x.Effective, 0)})
		if x.Note != "" && len(d.Notes) == 0 {
			d.Notes = append(d.Notes, "Demand is dose less residual of the water leaving. On ammonia, "+x.Note+". Things that move together (season, flow, temperature) share one another's slope.")
		}
	}
	s.Blocks = append(s.Blocks, openTable(d)...)
	o := &table.Table{Caption: "Fed against needed", Columns: []table.Column{{Name: "What"}, {Name: "Hours"}, {Name: "Coverage", Align: table.Right}, {Name: "Given", Unit: "mg/L"}, {Name: "Needed", Unit: "mg/L"}, {Name: "Beyond", Unit: u.of("lb")}, {Name: "Share of what was fed", Align: table.Right}, {Name: "Its cost", Align: table.Right}, {Name: "Lacking", Unit: u.of("lb")}}}
	for _, x := range r.Review.Overfeeds {
		o.Rows = append(o.Rows, []table.Cell{table.Str("Residual, " + x.Basin), table.Int(x.Hours), percentCell(x.Coverage), table.Num(x.Given, 2), table.Num(x.Needed, 2), u.cell(x.Excess, "lb", 3), percentCell(x.Share), money(x.Cost, x.Currency), u.cell(x.Lacking, "lb", 3)})
		if len(o.Notes) == 0 {
			o.Notes = append(o.Notes, "Chlorine: "+x.Assumption+".")
		}
	}
	for _, x := range r.Review.Dechlors {
		o.Rows = append(o.Rows, []table.Cell{table.Str("Dechlorination, " + x.Feed), table.Int(x.Hours), percentCell(float64(x.Hours) / float64(r.Review.Main.Len())), table.Num(x.Applied, 2), table.Num(x.Needed, 2), u.cell(x.Excess, "lb", 3), percentCell(x.Share), money(x.Cost, x.Currency), table.NA(fmt.Sprintf("%d h with less than needed", x.Under))})
	}
	s.Blocks = append(s.Blocks, openTable(o)...)
	if pic, ok, err = reviewUsePicture(r); err != nil {
		return s, err
	} else if ok {
		s.Blocks = append(s.Blocks, page.Chart(pic))
	}
	s.Blocks = append(s.Blocks, foldTable("Chemical by month", "row", useTable(r))...)
	curves, err := reviewCurvePictures(r)
	if err != nil {
		return s, err
	}
	var blocks []page.Block
	for _, p := range curves {
		blocks = append(blocks, page.Chart(p))
	}
	if t := zoneTable(r); len(t.Rows) > 0 {
		blocks = append(blocks, page.Table(t))
	}
	if len(blocks) > 0 {
		s.Blocks = append(s.Blocks, page.Fold("How often each level was exceeded, and loads by flow", plural(len(curves), "chart"), blocks...))
	}
	return s, nil
}

func weekTable(r *analysis.ReviewResult) *table.Table {
	u := readerUnits{r}
	t := &table.Table{Caption: "Over the week: median of the hours (10 to 90 %)", Columns: []table.Column{{Name: "Quantity"}, {Name: "Unit"}}}
	for k := range 7 {
		t.Columns = append(t.Columns, table.Column{Name: time.Weekday((k + 1) % 7).String()[:3], Align: table.Right})
	}
	for _, p := range r.Review.Week {
		row := []table.Cell{table.Str(p.Name + ", " + p.Point), table.Str(u.of(p.Unit))}
		for k := range 7 {
			if p.N[k] == 0 || math.IsNaN(p.P10[k]) {
				row = append(row, table.NA("n.d."))
				continue
			}
			row = append(row, table.Str(fmt.Sprintf("%s (%s to %s)", u.cell(p.P50[k], p.Unit, 3), u.cell(p.P10[k], p.Unit, 2), u.cell(p.P90[k], p.Unit, 2))))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func zoneTable(r *analysis.ReviewResult) *table.Table {
	u := readerUnits{r}
	t := &table.Table{Caption: "Daily loads by how often the day's flow was reached", Columns: []table.Column{{Name: "Load of"}, {Name: "Flows"}, {Name: "Days"}, {Name: "Daily flow", Unit: u.of("MGD"), Align: table.Right}, {Name: "Median load", Unit: u.of("lb/d")}, {Name: "Nine days in ten", Unit: u.of("lb/d")}}}
	for _, z := range r.Review.Zones {
		flows := table.NA("none")
		if z.Days > 0 {
			flows = table.Str(fmt.Sprintf("%s to %s", u.cell(z.FlowLow, "MGD", 3), u.cell(z.FlowHigh, "MGD", 3)))
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(z.Parameter + ", " + z.Point), table.Str(z.Name), table.Int(z.Days), flows, u.cell(z.Median, "lb/d", 3), u.cell(z.P90, "lb/d", 3)})
	}
	t.Notes = []string{"A load that grows with the flow comes with the water; one that is the same in all zones comes from a constant excess or lack of feed."}
	return t
}

func useTable(r *analysis.ReviewResult) *table.Table {
	u := readerUnits{r}
	t := &table.Table{Columns: []table.Column{{Name: "Feed"}, {Name: "Month"}, {Name: "Used", Unit: u.of("lb")}, {Name: "Water dosed", Unit: u.of("MG")}, {Name: "Per volume", Unit: u.of("lb/MG")}, {Name: "Cost per volume", Align: table.Right}, {Name: "Coverage", Align: table.Right}}}
	for _, x := range r.Review.Use {
		cost := table.NA("no price")
		if !math.IsNaN(x.CostPerMG) {
			v, unit := review.In(r.Plant.Units, x.CostPerMG, x.Currency+"/MG")
			cost = table.Str(fmt.Sprintf("%.2f %s", v, unit))
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(x.Feed), u.when(x.Start, "Jan 2006"), u.cell(x.Pounds, "lb", 4), u.cell(x.MG, "MG", 4), u.cell(x.PoundsPerMG, "lb/MG", 3), cost, percentCell(x.Coverage)})
	}
	t.Notes = []string{"Sums over the hours in which feed and flow are both known; a mean of daily ratios would be another number."}
	return t
}

func reviewTrends(r *analysis.ReviewResult) (page.Section, error) {
	s := page.Section{ID: "trend", Title: "5. Did anything change?", Lead: "By monthly medians: hours and days are far too alike for a trend test. A step and a slope can look alike; look at the chart."}
	t := &table.Table{Caption: "Trend over the record", Columns: []table.Column{{Name: "Quantity"}, {Name: "Unit"}, {Name: "Months"}, {Name: "Slope a year"}, {Name: "95 % interval", Align: table.Right}, {Name: "p", Align: table.Right}, {Name: "Likeliest step"}, {Name: "by"}, {Name: "Slope at equal flow"}, {Name: "p at equal flow", Align: table.Right}, {Name: "What that comes to"}}}
	why := map[string]bool{}
	for _, x := range r.Review.Trends {
		if x.Why != "" {
			why[x.Why] = true
			continue
		}
		n := 0
		for _, v := range x.Median {
			if !math.IsNaN(v) {
				n++
			}
		}
		unit := x.Unit
		slope, shown := review.In(r.Plant.Units, x.Slope, unit)
		lo, _ := review.In(r.Plant.Units, x.Slopes.Low, unit)
		hi, _ := review.In(r.Plant.Units, x.Slopes.High, unit)
		by, _ := review.In(r.Plant.Units, x.StepBy, unit)
		interval := table.NA("n.d.")
		if !math.IsNaN(lo) && !math.IsNaN(hi) {
			interval = table.Str(minus(fmt.Sprintf("%.2g to %.2g", lo, hi)))
		}
		atFlow, atFlowP := table.NA("not adjusted"), table.NA("")
		if a := x.AtFlow; a != nil {
			v, _ := review.In(r.Plant.Units, a.Slope, unit)
			atFlow, atFlowP = table.Sig(v, 2), table.Str(pText(a.P))
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(x.Name + ", " + x.Point), table.Str(shown), table.Int(n), table.Sig(slope, 2), interval, table.Str(pText(x.P)), readerUnits{r}.when(x.StepAt, "Jan 2006"), table.Sig(by, 2), atFlow, atFlowP, table.Prose(x.Says)})
	}
	t.Notes = []string{"Sen's slope; with three years or more within the years of each calendar month. p for as many independent months as what the slope leaves is worth; from ten years on with the covariance between months (Hirsch and Slack 1984). Flow, weather and set points move residual and demand: a trend says that something moved, not why. What counts as one is parted among all that is tested."}
	if len(t.Rows) > 0 {
		pics, err := reviewTrendPicture(r)
		if err != nil {
			return s, err
		}
		s.Blocks = append(append(s.Blocks, openCharts(pics)...), foldTable(t.Caption, "row", t)...)
	} else {
		for w := range why {
			s.Blocks = append(s.Blocks, page.Text("No trend is tested: "+w+"."))
			break
		}
	}
	if r.Review.Other == nil {
		s.Blocks = append(s.Blocks, page.Text("No other period was given to hold this one against; --compare FROM..TO does."))
		return s, nil
	}
	s.Blocks = append(s.Blocks, page.Table(compareTable(r)))
	return s, nil
}

func compareTable(r *analysis.ReviewResult) *table.Table {
	c := &table.Table{Caption: "What changed and what did not, the later period against the earlier, month against like month", Columns: []table.Column{{Name: "Quantity"}, {Name: "Unit"}, {Name: "Earlier, median"}, {Name: "Later, median"}, {Name: "Shift"}, {Name: "95 % interval", Align: table.Right}, {Name: "Values"}, {Name: "Effective n"}, {Name: "Hours in doubt"}, {Name: "What that comes to"}}}
	for _, x := range r.Review.Comparisons {
		u := readerUnits{r}
		says := x.Says
		if x.Why != "" {
			says = "not compared: " + x.Why
		}
		lo, shown := review.In(r.Plant.Units, x.Limits.Low, x.Unit)
		hi, _ := review.In(r.Plant.Units, x.Limits.High, x.Unit)
		interval := table.NA("n.d.")
		if !math.IsNaN(lo) && !math.IsNaN(hi) {
			interval = table.Str(minus(fmt.Sprintf("%.2g to %.2g", lo, hi)))
		}
		c.Rows = append(c.Rows, []table.Cell{table.Str(x.Name + ", " + x.Point), table.Str(shown), u.cell(x.Before, x.Unit, 3), u.cell(x.After, x.Unit, 3), u.cell(x.By, x.Unit, 2), interval, table.Str(fmt.Sprintf("%d + %d", x.N1, x.N2)), table.Num(x.Effective, 0), table.Int(x.InDoubt), table.Prose(says)})
	}
	c.Notes = []string{fmt.Sprintf("Hodges-Lehmann shift of medians of %d days, only of calendar months that both periods hold; the interval is for the values' worth in independent ones. What counts as a change is parted among all that is compared, so that a plant without change says so in 95 of 100; single intervals are at 95 in 100. Flow and weather stand in the same table: what else moved with them is not told apart.", r.Review.Settings.CompareDays)}
	return c
}

// minus spells negative numbers of a text as people do.
func minus(s string) string { return strings.ReplaceAll(s, "-", "−") }

func pText(p float64) string {
	switch {
	case math.IsNaN(p):
		return "n.d."
	case p < 0.001:
		return "< 0.001"
	}
	return fmt.Sprintf("%.3f", p)
}

func reviewInstruments(r *analysis.ReviewResult) (page.Section, error) {
	s := page.Section{ID: "instruments", Title: "6. Which instrument can be trusted?", Lead: "Ranked by what each cost: hours that were not determined while it was silent, or that rest on it while it was in doubt."}
	t := &table.Table{Caption: "Instruments on line", Columns: []table.Column{{Name: "Tag"}, {Name: "Measures"}, {Name: "It cost", Unit: "h"}, {Name: "Believed", Unit: "h"}, {Name: "In doubt", Unit: "h"}, {Name: "No reading", Unit: "h"}, {Name: "Failures"}, {Name: "Mean time between", Unit: "d"}, {Name: "95 % interval", Align: table.Right}, {Name: "Services"}}}
	a := &table.Table{Caption: "Against grabs", Columns: []table.Column{{Name: "Tag"}, {Name: "Unit"}, {Name: "Pairs"}, {Name: "Left out, in doubt"}, {Name: "Bias, signal less grab"}, {Name: "95 % of the bias", Align: table.Right}, {Name: "Limits of agreement", Align: table.Right}}}
	d := &table.Table{Caption: "After a cleaning or calibration", Columns: []table.Column{{Name: "Tag"}, {Name: "Services"}, {Name: "Left its band after"}, {Name: "One in ten by", Unit: "d"}, {Name: "Half by", Unit: "d"}, {Name: "Remark"}}}
	for _, x := range r.Review.Instruments {
		interval := fmt.Sprintf("%.0f to %.0f", x.Between.Limits.Low/24, x.Between.Limits.High/24)
		if math.IsInf(x.Between.Limits.High, 1) {
			interval = fmt.Sprintf("over %.0f", x.Between.Limits.Low/24)
		}
		if math.IsNaN(x.Between.Mean) {
			interval = "n.d."
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(x.Tag), table.Str(x.What + ", " + x.Point), table.Int(x.CostHours), table.Int(x.Believed), table.Int(x.InDoubt), table.Int(x.Gone), table.Int(len(x.Failures)), table.Num(x.Between.Mean/24, 0), table.Str(interval), table.Int(x.Services)})
		if g := x.Agreement; g != nil {
			a.Rows = append(a.Rows, []table.Cell{table.Str(x.Tag), table.Str(x.AgreeUnit), table.Int(g.N), table.Int(x.AgreeDoubt), table.Num(g.Bias, 3), table.Str(minus(fmt.Sprintf("%.3f to %.3f", g.BiasInt.Low, g.BiasInt.High))), table.Str(minus(fmt.Sprintf("%.2f to %.2f", g.Limits.Low, g.Limits.High)))})
		} else if x.AgreeWhy != "" {
			na := table.NA("n.d.")
			a.Rows = append(a.Rows, []table.Cell{table.Str(x.Tag), table.Str(x.AgreeUnit), table.Int(x.AgreePairs), table.Int(x.AgreeDoubt), table.NA(x.AgreeWhy), na, na})
		}
		if k := x.Drift; k != nil && k.Failed > 0 {
			d.Rows = append(d.Rows, []table.Cell{table.Str(x.Tag), table.Int(k.Services), table.Int(k.Failed), table.Num(k.Tenth, 0), table.Num(k.Median, 0), table.Prose(k.Why)})
		}
	}
	t.Notes = []string{"What is judged at fault is told from the other instruments and the grabs, not from a standard: a fault that all share is not seen. Failures: doubts and silences of two hours or more, those within a day one. Without failures the lower limit is one-sided."}
	s.Blocks = append(s.Blocks, openTable(t)...)
	pics, err := reviewAgreementPictures(r)
	if err != nil {
		return s, err
	}
	s.Blocks = append(s.Blocks, openCharts(pics)...)
	a.Notes = []string{"Signal: median of the eleven minutes about the grab. 95 of 100 differences lie within the limits of agreement if they are normal (Bland and Altman 1986, from memory); the grab has an error of its own."}
	s.Blocks = append(s.Blocks, openTable(a)...)
	d.Notes = []string{"A failure lies between the last good and the first bad day, not on the day that it was found; services before which nothing was seen end the watch. Weibull life by maximum likelihood."}
	s.Blocks = append(s.Blocks, foldTable("After a cleaning or calibration", "tag", d)...)
	m := &table.Table{Caption: "Flow meters against one another, daily means", Columns: []table.Column{{Name: "Meters"}, {Name: "Days"}, {Name: "Ratio"}, {Name: "5 to 95 %", Align: table.Right}, {Name: "First quarter"}, {Name: "Last quarter"}, {Name: "Days over 10 % off"}}}
	for _, x := range r.Review.Meters {
		m.Rows = append(m.Rows, []table.Cell{table.Str(fmt.Sprintf("%s (%s) over %s (%s)", x.A, x.AtA, x.B, x.AtB)), table.Int(x.N), table.Num(x.Ratio, 3), table.Str(minus(fmt.Sprintf("%.3f to %.3f", x.Low, x.High))), table.Num(x.First, 3), table.Num(x.Last, 3), table.Int(x.DaysBeyond)})
	}
	s.Blocks = append(s.Blocks, openTable(m)...)
	f := &table.Table{Caption: "Sampling required", Columns: []table.Column{{Name: "Parameter"}, {Name: "How often"}, {Name: "Taken"}, {Name: "Required"}, {Name: "Months kept", Align: table.Right}}}
	for _, x := range r.Review.Sampling {
		f.Rows = append(f.Rows, []table.Cell{table.Str(x.Parameter + ", " + x.Point), table.Str(x.Asked), table.Int(x.Taken), table.Int(x.Required), table.Str(fmt.Sprintf("%d of %d", x.MonthsHeld, x.Months))})
	}
	s.Blocks = append(s.Blocks, openTable(f)...)
	return s, nil
}
