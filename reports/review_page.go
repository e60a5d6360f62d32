package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/review"
	"weirbook/reports/page"
	"weirbook/reports/table"
)

// reviewPage lays the performance review out: its first page is a summary, then one
// section for each question that a consultant is asked.
func reviewPage(r *analysis.ReviewResult, version string) (*page.Page, error) {
	v := r.Review
	at := func(ms int64) string { return time.UnixMilli(ms).In(r.Plant.Zone).Format("2 January 2006") }
	period := fmt.Sprintf("%s to %s, plant clock %s", at(r.Record.Start(v.Main)), at(r.Record.End(v.Main)-1), r.Plant.ZoneName)
	if v.Other != nil {
		period += fmt.Sprintf("; held against %s to %s", at(r.Record.Start(*v.Other)), at(r.Record.End(*v.Other)-1))
	}
	p := &page.Page{Lang: "en", Kind: "Performance review", Plant: r.Plant.Name, Period: period, Verdict: reviewVerdict(r),
		Foot: "weirbook " + version + ". It advises; what it means for the permit is for the regulator and the engineer who signs to say."}
	var err error
	p.Sections, err = sectionsOf(r, reviewWorth, reviewReliability, reviewLimits, reviewCapacity, reviewDrivers, reviewTrends, reviewInstruments, reviewHow, reviewCautions)
	return p, err
}

func reviewVerdict(r *analysis.ReviewResult) page.Verdict {
	out := page.Verdict{Standing: page.Plain, Word: "Summary", Sentences: r.Review.Summary.Sentences}
	if s := Unread(r.Read); s != "" {
		out.Sentences = append([]string{s}, out.Sentences...)
	}
	for _, k := range r.Review.Summary.Key {
		out.Figures = append(out.Figures, page.Figure{Name: k.Name, Value: k.Value, Unit: k.Unit, Note: k.Note})
	}
	return out
}

func reviewWorth(r *analysis.ReviewResult) (page.Section, error) {
	s := page.Section{ID: "worth", Title: "Three things worth doing next"}
	var steps []string
	for _, w := range r.Review.Summary.Worth {
		steps = append(steps, fmt.Sprintf("%s Worth: %s. It rests on %s.", w.Do, w.Value, w.Rests))
	}
	s.Blocks = append(s.Blocks, page.Steps(steps...))
	if len(r.Review.Limited) > 0 {
		s.Blocks = append(s.Blocks, page.Heading("What this record does not bear"))
		const open = 5
		list := r.Review.Limited
		s.Blocks = append(s.Blocks, page.Points(list[:min(open, len(list))]...))
		if len(list) > open {
			s.Blocks = append(s.Blocks, page.Fold("More of the same", plural(len(list)-open, "remark"), page.Points(list[open:]...)))
		}
	}
	return s, nil
}

// share writes a share of values with its interval.
func shareCells(s review.Share) []table.Cell {
	if s.N == 0 {
		na := table.NA("n.d.")
		return []table.Cell{na, na, table.Int(0), na, table.Int(0), na}
	}
	return []table.Cell{percentCell(s.Value()), table.Str(fmt.Sprintf("%s to %s", percentText(s.Low), percentText(s.High))), table.Int(s.N), table.Num(s.Effective, 0), table.Int(s.InDoubt), percentCell(s.Sure())}
}

func percentText(v float64) string {
	if math.IsNaN(v) {
		return "n.d."
	}
	// 100 and 0 are said of the whole and of nothing only.
	p := 100 * v
	if v < 1 && p >= 99.95 {
		return "99.9\u00a0%"
	}
	if v > 0 && p < 0.05 {
		return "<\u00a00.1\u00a0%"
	}
	return fmt.Sprintf("%.1f\u00a0%%", p)
}

func percentCell(v float64) table.Cell {
	if math.IsNaN(v) {
		return table.NA("n.d.")
	}
	return table.Str(percentText(v))
}

// in gives a cell of a working unit in the reader's units, four figures.
func (u readerUnits) cell(v float64, unit string, digits int) table.Cell {
	w, _ := review.In(u.p.Plant.Units, v, unit)
	return table.Sig(w, digits)
}

func (u readerUnits) of(unit string) string {
	_, w := review.In(u.p.Plant.Units, 1, unit)
	return w
}

type readerUnits struct{ p *analysis.ReviewResult }

func (u readerUnits) when(ms int64, layout string) table.Cell {
	if ms == 0 {
		return table.NA("")
	}
	return table.When(time.UnixMilli(ms).In(u.p.Plant.Zone), layout)
}

func reviewReliability(r *analysis.ReviewResult) (page.Section, error) {
	s := page.Section{ID: "reliability", Title: "1. How reliably was it disinfected?", Lead: "An hour is met or short by what plant.toml requires; hours not determined stand apart and count for neither. Hours follow one another, so the interval is for as many independent values as they are worth."}
	u := readerUnits{r}
	head := []table.Column{{Name: "Basin"}, {Name: "Required"}, {Name: "Met", Align: table.Right}, {Name: "95 % interval", Align: table.Right}, {Name: "n"}, {Name: "Effective n"}, {Name: "In doubt"}, {Name: "Met, the believed ones", Align: table.Right}}
	t := &table.Table{Caption: "Share met", Columns: head}
	for _, x := range r.Review.Reliability {
		for _, k := range []struct {
			n string
			s review.Share
		}{{"hours", x.Hours}, {"days", x.Days}, {"months", x.Months}} {
			if k.n != "hours" && x.What != "all that is asked" {
				continue
			}
			t.Rows = append(t.Rows, append([]table.Cell{table.Str(x.Basin), table.Str(x.What + ", " + k.n)}, shareCells(k.s)...))
		}
	}
	t.Notes = []string{"A day or month is met if none of its determined hours is short. In doubt: hours that rest on an instrument judged not to be believed; of days and months, those short by such hours only count here if they are short.",
		"Effective n: from the correlation of neighbours, and never more than the days: short hours come in episodes."}
	s.Blocks = append(s.Blocks, openTable(t)...)
	c := &table.Table{Caption: "Short hours by cause", Columns: []table.Column{{Name: "Basin"}, {Name: "Short"}}}
	var causes []review.Cause // those that occur
	for _, k := range review.Causes() {
		for _, x := range r.Review.Reliability {
			if x.What == "all that is asked" && x.Causes[k] > 0 {
				causes = append(causes, k)
				c.Columns = append(c.Columns, table.Column{Name: sentenceCase(string(k))})
				break
			}
		}
	}
	c.Columns = append(c.Columns, table.Column{Name: "Longest", Unit: "h"}, table.Column{Name: "Began"}, table.Column{Name: "Worst, of what was required", Align: table.Right})
	for _, x := range r.Review.Reliability {
		if x.What != "all that is asked" || x.Hours.N == x.Hours.Met {
			continue
		}
		row := []table.Cell{table.Str(x.Basin), table.Int(x.Hours.N - x.Hours.Met)}
		for _, k := range causes {
			row = append(row, table.Int(x.Causes[k]))
		}
		row = append(row, table.Int(x.Longest.Hours), u.when(x.Longest.Start, "2 Jan 2006 15:04"))
		if x.Worst.Known {
			w := percentText(x.Worst.Value / x.Worst.Required)
			if x.Worst.Doubt != "" {
				w += " (" + x.Worst.Doubt + " in doubt)"
			}
			row = append(row, table.Str(w+", "+u.when(x.Worst.At, "2 Jan 2006 15:04").String()))
		} else {
			row = append(row, table.NA("n.d."))
		}
		c.Rows = append(c.Rows, row)
	}
	c.Notes = []string{"The cause is what took most CT in that hour by the account of its upset; one account is made, the same as in the report of a run."}
	s.Blocks = append(s.Blocks, openTable(c)...)
	if pic, ok, err := reviewMonthsPicture(r); err != nil {
		return s, err
	} else if ok {
		s.Blocks = append(s.Blocks, page.Chart(pic))
	}
	s.Blocks = append(s.Blocks, openTable(limitMonthsTable(r))...)
	whole, grouped := percentileTables(r)
	s.Blocks = append(s.Blocks, openTable(whole)...)
	s.Blocks = append(s.Blocks, foldTable("Percentiles by "+byWords(r.Review.Asked.By), "row", grouped)...)
	pics, err := reviewPlots(r)
	if err != nil {
		return s, err
	}
	s.Blocks = append(s.Blocks, openCharts(pics)...)
	s.Blocks = append(s.Blocks, foldTable("Levels of technology performance", "row", technologyTable(r))...)
	return s, nil
}

func byWords(g review.Grouping) string {
	if g == review.BySeason {
		return "season and month"
	}
	return string(g)
}

func limitMonthsTable(r *analysis.ReviewResult) *table.Table {
	t := &table.Table{Caption: "Limits of the permit, month by month, by their legal definitions", Columns: []table.Column{{Name: "Parameter"}, {Name: "Statistic"}, {Name: "Limit"}, {Name: "Months within", Align: table.Right}, {Name: "95 % interval", Align: table.Right},
		{Name: "Cannot be told"}, {Name: "cv of the months"}, {Name: "Coefficient of reliability", Align: table.Right}, {Name: "Mean over limit", Align: table.Right}, {Name: "Expected within", Align: table.Right}}}
	for _, l := range r.Review.Limits {
		if l.Within.N == 0 && l.Undecided == 0 {
			continue
		}
		limit := l.Months[len(l.Months)-1].Limit
		t.Rows = append(t.Rows, []table.Cell{table.Str(l.Parameter + ", " + l.Point), table.Str(l.Statistic), table.Str(l.Limit), table.Str(fmt.Sprintf("%d of %d", l.Within.Met, l.Within.N)),
			table.Str(percentText(l.Within.Low) + " to " + percentText(l.Within.High)), table.Int(l.Undecided), table.Sig(l.CV, 2), table.Sig(l.Reliability, 2), table.Sig(l.Mean/limit, 2), percentCell(l.Expected)})
	}
	t.Notes = []string{"The coefficient of reliability is the mean, as a share of the limit, that holds it in 95 of 100 months if months are log-normal (Niku, Schroeder and Samaniego 1979, from memory); expected within is what mean and cv of these months come to. A clean record of 36 months still allows 8 % of months beyond."}
	return t
}

// shownLevels are the percentiles that the page shows, by their place; review.csv
// and review.xlsx have all.
var shownLevels = []struct {
	at   int
	name string
}{{1, "5 %"}, {2, "25 %"}, {3, "50 %"}, {4, "75 %"}, {5, "95 %"}, {6, "99 %"}}

func percentileTables(r *analysis.ReviewResult) (whole, grouped *table.Table) {
	u := readerUnits{r}
	make := func(caption string) *table.Table {
		t := &table.Table{Caption: caption, Columns: []table.Column{{Name: "Quantity"}}}
		for _, k := range shownLevels {
			t.Columns = append(t.Columns, table.Column{Name: k.name})
		}
		t.Columns = append(t.Columns, table.Column{Name: "n"}, table.Column{Name: "Effective n"}, table.Column{Name: "In doubt"}, table.Column{Name: "Coverage", Align: table.Right})
		return t
	}
	whole, grouped = make("Percentiles"), make("")
	for _, p := range r.Review.Percentiles {
		name := strings.TrimSuffix(p.Parameter+", "+p.Point+", "+u.of(p.Unit), ", ")
		if p.Group != "whole" {
			name += ": " + p.Group
		}
		row := []table.Cell{table.Str(name)}
		for _, k := range shownLevels {
			c := u.cell(p.Values[k.at], p.Unit, 3)
			if p.Below != nil && p.Below[k.at] && c.Kind == table.Number {
				c.Sign = "<"
			}
			row = append(row, c)
		}
		row = append(row, table.Int(p.N), table.Num(p.Effective, 0), table.Int(p.InDoubt), percentCell(p.Coverage))
		if p.Group == "whole" {
			whole.Rows = append(whole.Rows, row)
		} else {
			grouped.Rows = append(grouped.Rows, row)
		}
	}
	whole.Notes = []string{fmt.Sprintf("Definition %d of Hyndman and Fan (1996), which spreadsheets call exclusive; a percentile beyond 1/(n+1) is not given. Results below detection by Kaplan and Meier's method.", r.Review.Settings.Percentile)}
	return whole, grouped
}

func technologyTable(r *analysis.ReviewResult) *table.Table {
	u := readerUnits{r}
	t := &table.Table{Caption: "Levels of technology performance, daily means", Columns: []table.Column{{Name: "Quantity"}, {Name: "Unit"}, {Name: "Best fortnight (3.84 %)"}, {Name: "Lowest 14 days running"}, {Name: "Median"}, {Name: "Reliable (95 %)"}, {Name: "Days"}}}
	for _, x := range r.Review.Technology {
		t.Rows = append(t.Rows, []table.Cell{table.Str(x.Parameter + ", " + x.Point), table.Str(u.of(x.Unit)), u.cell(x.Best, x.Unit, 3), u.cell(x.BestRunning, x.Unit, 3), u.cell(x.Median, x.Unit, 3), u.cell(x.Reliable, x.Unit, 3), table.Int(x.N)})
	}
	t.Notes = []string{"The percentile of daily means and the lowest running fortnight are two numbers (names and 3.84 % from memory: WERF NUTR1R06k). Three years of stable operation are required."}
	return t
}

func reviewLimits(r *analysis.ReviewResult) (page.Section, error) {
	s := page.Section{ID: "limits", Title: "2. What if more were required?", Lead: "The record as it was run, held against other figures. What operators would have done about them is not in it."}
	u := readerUnits{r}
	t := &table.Table{Caption: "What if", Columns: []table.Column{{Name: "Where"}, {Name: "Change"}, {Name: "Figure", Align: table.Right}, {Name: "Of"}, {Name: "n"}, {Name: "Would be short"}, {Name: "Share", Align: table.Right}, {Name: "In doubt"}, {Name: "Chlorine needed more", Unit: u.of("lb")}, {Name: "Its cost", Align: table.Right}}}
	notes := map[string]bool{}
	for _, w := range r.Review.WhatIf {
		cost := table.NA("")
		if w.Cost > 0 {
			cost = table.Str(table.Group(w.Cost, 0) + "\u00a0" + w.Currency)
		}
		pounds := table.NA("")
		if !math.IsNaN(w.Pounds) && w.What == "CT" {
			pounds = u.cell(w.Pounds, "lb", 3)
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(w.Basin + ": " + w.What), table.Str(w.Change), table.Str(fmt.Sprintf("%.4g %s", w.Asked, w.Unit)), table.Str(w.What2), table.Int(w.N), table.Int(w.Short), percentCell(w.Share()), table.Int(w.InDoubt), pounds, cost})
		if !notes[w.Assumption] {
			notes[w.Assumption] = true
			t.Notes = append(t.Notes, sentenceCase(w.Assumption)+".")
		}
	}
	s.Blocks = append(s.Blocks, openTable(t)...)
	d := &table.Table{Caption: "Reasonable potential and derived limits, as arithmetic for the permit writer to decide on", Columns: []table.Column{{Name: "Parameter"}, {Name: "n"}, {Name: "cv", Align: table.Right}, {Name: "Highest"},
		{Name: "Factor 99/99"}, {Name: "Projected"}, {Name: "Factor 95/95"}, {Name: "Projected"}, {Name: "Long-term average"}, {Name: "Daily maximum"}, {Name: "Monthly average"}}}
	for _, x := range r.Review.Potentials {
		cv := fmt.Sprintf("%.2f", x.CV)
		if x.Fallback {
			cv += " (taken)"
		}
		name := x.Parameter + ", " + x.Point + ", " + x.Unit
		if !math.IsNaN(x.Limit) {
			name += fmt.Sprintf("; allocation taken %.3g (%s)", x.Limit, x.LimitName)
		}
		if x.NonDetects > 0 {
			name += fmt.Sprintf("; %d below detection", x.NonDetects)
		}
		d.Rows = append(d.Rows, []table.Cell{table.Str(name), table.Int(x.N), table.Str(cv), table.Sig(x.Highest, 3), table.Sig(x.Factor99, 3), table.Sig(x.Projected99, 3), table.Sig(x.Factor95, 3), table.Sig(x.Projected95, 3),
			table.Sig(x.LongTerm, 3), table.Sig(x.DailyMaximum, 3), table.Sig(x.MonthlyAverage, 3)})
	}
	d.Notes = []string{"EPA/505/2-90-001 (1991), chapters 3 and 5, tables from memory: factor = exp((z of the percentile - z of (1 - confidence)^(1/n))·σ), σ² = ln(1 + cv²); a factor below 1 leaves the highest result. Log-normal, independent results; cv 0.6 is taken for fewer than 10 results or 80 % below detection. The allocation is the present limit, for want of one: put in the receiving water's own."}
	s.Blocks = append(s.Blocks, foldTable("Reasonable potential and derived limits", "parameter", d)...)
	return s, nil
}

func bindingCell(u readerUnits, b review.Binding) table.Cell {
	if math.IsNaN(b.Flow) {
		return table.NA(b.Why)
	}
	return u.cell(b.Flow, "MGD", 3)
}

func reviewCapacity(r *analysis.ReviewResult) (page.Section, error) {
	s := page.Section{ID: "capacity", Title: "3. At what flow does it stop?", Lead: "CT binds where the residual that the basin was seen to hold at a flow, times the contact time at that flow, comes to what is required. A median line would fail half of the time there; the careful line is held nine hours in ten. Where the data end, the line ends."}
	u := readerUnits{r}
	pics, err := reviewCapacityPictures(r)
	if err != nil {
		return s, err
	}
	s.Blocks = append(s.Blocks, openCharts(pics)...)
	t := &table.Table{Caption: "Flow at which CT binds", Columns: []table.Column{{Name: "Basins"}, {Name: "In service"}, {Name: "Half of the hours", Unit: u.of("MGD"), Align: table.Right}, {Name: "Nine hours in ten", Unit: u.of("MGD"), Align: table.Right}, {Name: "Hours"}, {Name: "Left out, in doubt"}, {Name: "Effective n"}, {Name: "Largest flow seen", Unit: u.of("MGD")}}}
	for _, c := range r.Review.Capacity {
		if len(c.Basins) == 0 {
			continue
		}
		b := c.Basins[0]
		t.Rows = append(t.Rows, []table.Cell{table.Str(c.Name), table.Str("all"), bindingCell(u, c.All[0]), bindingCell(u, c.All[1]), table.Int(b.N), table.Int(b.Out), table.Num(b.NEff, 0), u.cell(b.MaxFlow, "MGD", 3)},
			[]table.Cell{table.Str(c.Name), table.Str(c.Out + " out"), bindingCell(u, c.LargestOut[0]), bindingCell(u, c.LargestOut[1]), table.NA(""), table.NA(""), table.NA(""), table.NA("")})
		for _, b := range c.Basins {
			if !math.IsNaN(b.Careful.Flow) {
				t.Notes = append(t.Notes, fmt.Sprintf("%s: %s of the %s fitted had the flow at which the careful line binds, or more.", sentenceCase(b.Basin), plural(b.Careful.Above, "hour"), count(b.Fitted)))
			}
			w, unit := review.In(r.Plant.Units, b.Decay.Flow, "MGD")
			switch {
			case !math.IsNaN(w):
				t.Notes = append(t.Notes, fmt.Sprintf("%s: taken as falling with time (%.2g per minute) and not along a straight line, the residual of nine hours in ten holds CT up to %.3g %s.", sentenceCase(b.Basin), b.DecayRate, w, unit))
			case !math.IsNaN(b.Careful.Flow) && !b.Control:
				t.Notes = append(t.Notes, fmt.Sprintf("%s, taken as falling with time: %s.", sentenceCase(b.Basin), b.Decay.Why))
			}
			if b.Control {
				t.Notes = append(t.Notes, sentenceCase(b.Basin)+": the residual does not fall with the flow: the dose follows it, and the line shows the controller as much as the basin.")
			}
			if !math.IsNaN(b.ByTime) {
				w, unit := review.In(r.Plant.Units, b.ByTime, "MGD")
				t.Notes = append(t.Notes, fmt.Sprintf("%s: the least contact time required binds at %.3g %s.", sentenceCase(b.Basin), w, unit))
			}
		}
	}
	s.Blocks = append(s.Blocks, openTable(t)...)
	k := &table.Table{Caption: "Flows beside the average", Columns: []table.Column{{Name: "Flow"}, {Name: "At"}, {Name: "Value", Unit: u.of("MGD")}, {Name: "Factor"}, {Name: "When"}, {Name: "Defined as"}}}
	for _, set := range r.Review.Peaks {
		for _, x := range set.Peaks {
			k.Rows = append(k.Rows, []table.Cell{table.Str(x.Name), table.Str(set.Point), u.cell(x.Flow, "MGD", 3), table.Num(x.Factor, 2), u.when(x.When, "2 Jan 2006"), table.Prose(x.Note)})
		}
	}
	s.Blocks = append(s.Blocks, foldTable("Flows beside the average", "flow", k)...)
	f := &table.Table{Caption: "Feeds", Columns: []table.Column{{Name: "Feed"}, {Name: "Unit"}, {Name: "Can deliver"}, {Name: "5 %"}, {Name: "Median"}, {Name: "95 %"}, {Name: "Highest hour"}, {Name: "Hours at the top"}, {Name: "Range, 95 % over 5 %"}, {Name: "n"}}}
	for _, x := range r.Review.Feeds {
		f.Rows = append(f.Rows, []table.Cell{table.Str(x.Feed), table.Str(u.of(x.Unit)), u.cell(x.Capacity, x.Unit, 3), u.cell(x.P5, x.Unit, 3), u.cell(x.Median, x.Unit, 3), u.cell(x.P95, x.Unit, 3), u.cell(x.Max, x.Unit, 3), table.Int(x.AtTop), table.Num(x.Turndown, 1), table.Int(x.N)})
	}
	f.Notes = []string{"Hourly means. Hours at the top: 95 % of what the feed can deliver, or above: it could give no more."}
	s.Blocks = append(s.Blocks, openTable(f)...)
	return s, nil
}

func reviewHow(r *analysis.ReviewResult) (page.Section, error) {
	s := page.Section{ID: "method", Title: "7. How it was computed, and from what"}
	s.Blocks = append(s.Blocks, page.Text(fmt.Sprintf("The record was read in %s, each screened, aligned and judged as a run does with the ten days before it. Every figure stands in review.csv with its n, coverage, definition and source; the percentiles and what-if tables are live in review.xlsx. %s",
		plural(r.Windows, "part"), usedWords(r.Read.Ledger))))
	s.Blocks = slices.Concat(s.Blocks, formulasFold("Formulas of the review and their sources", review.Formulas()),
		foldPoints("What the stretches had to do without, and what screening found", "remark", r.Record.Notes),
		foldPoints("Remarks on reading the files", "remark", readerWords(r.Read, export.Warning)),
		settingsFold(r.Settings), inputsFold(r.Read))
	return s, nil
}

func reviewCautions(r *analysis.ReviewResult) (page.Section, error) {
	return page.Section{ID: "cautions", Title: "Cautions, and who decides", Blocks: []page.Block{page.Cautions(
		"This review is advice calculated from readings. What it means for the permit is for the regulator to say; what is done about it, for the licensed operators and the engineer who signs.",
		"CT credit, baffling factors, non-detect rules, averaging and every permit figure are for the regulator to set. Derived limits are arithmetic, not limits.",
		"A test at higher flow, another dose or a basin out of service is planned with the plant and the regulator, by the plant's own procedures.",
		"Chlorine, hypochlorite and bisulfite hurt people: protective equipment and ventilation before any sampling, cleaning or calibration; keep hypochlorite away from acids and bisulfite. Lock out and tag out pumps and mixers before working on them.",
	)}}, nil
}
