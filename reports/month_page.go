package reports

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/discharge"
	"weirbook/reports/page"
	"weirbook/reports/table"
	"weirbook/reports/workbook"
)

// monthPage lays the monthly discharge summary out.
func monthPage(r *analysis.MonthResult, version string) (*page.Page, error) {
	m := r.Month
	name := m.Plant
	if m.Facility != "" {
		name = m.Facility
	}
	period := m.Name() + ", plant clock " + m.Zone
	if m.PermitNumber != "" {
		period += ", permit " + m.PermitNumber
	}
	p := &page.Page{Lang: "en", Kind: "Monthly discharge summary", Plant: name, Period: period, Verdict: monthVerdict(r),
		Foot: "weirbook " + version + ". It advises; the permit, the laboratory and the responsible licensed operator decide."}
	var err error
	p.Sections, err = sectionsOf(r, copySection, monthAttention, monthCharts, monthYear, monthBelow, monthDays, monthProcess, monthLog, monthData, monthHow, monthCautions)
	return p, err
}

// What the page of a month shows open, so that it has a bound whatever is measured;
// the rest is folded behind its name.
const (
	openRemarks    = 3
	openParameters = 5 // charts
	openDayColumns = 6
)

func copySection(r *analysis.MonthResult) (page.Section, error) {
	m := r.Month
	s := page.Section{ID: "summary", Title: "Ready to copy", Lead: "The column Report is rounded by the permit's rule, once. " + workbook.Name(m) + " holds each figure as a live formula over the day cells."}
	t := monthTable(m, true)
	if len(t.Rows) == 0 {
		s.Blocks = append(s.Blocks, page.Text("plant.toml states no limits. Add [[limit]] tables to have results held against them."))
	} else {
		s.Blocks = append(s.Blocks, page.Table(t))
	}
	also := monthTable(m, false)
	s.Blocks = append(s.Blocks, foldOf("Also measured; plant.toml states nothing for it", len(also.Rows), "figure", page.Table(also))...)
	if len(m.Remarks) > openRemarks {
		s.Blocks = append(s.Blocks, foldPoints("Remarks on the month", "remark", m.Remarks)...)
	} else if len(m.Remarks) > 0 {
		s.Blocks = append(s.Blocks, page.Heading("Remarks on the month"), page.Points(m.Remarks...))
	}
	return s, nil
}

// monthAttention lists what lies beyond a limit, cannot be told, is missing or
// near.
func monthAttention(r *analysis.MonthResult) (page.Section, error) {
	s := page.Section{ID: "attention", Title: "What needs attention"}
	sampling, said := map[string]bool{}, map[string]bool{}
	for _, l := range r.Month.Lines {
		var points []string
		for i, e := range l.Excursions {
			if i == 20 {
				points = append(points, fmt.Sprintf("%d more; month.csv lists them all", len(l.Excursions)-i))
				break
			}
			points = append(points, e.Text)
		}
		for _, x := range l.Remarks { // what several lines of one parameter share stands at the first
			if key := fmt.Sprint(l.Column, x); !said[key] {
				said[key] = true
				points = append(points, x)
			}
		}
		if l.Missing > 0 && !sampling[l.Limit.At+l.Sampling] {
			sampling[l.Limit.At+l.Sampling] = true
			points = append(points, "Samples: "+l.Sampling+".")
		}
		if len(points) > 0 && (l.ForPlant || len(l.Excursions) > 0) {
			head := fmt.Sprintf("%s: %s", monthLineName(l), workbook.Standing(l.State))
			if l.Report != "" {
				head = fmt.Sprintf("%s: %s %s, %s", monthLineName(l), l.Report, l.Unit, workbook.Standing(l.State))
			}
			s.Blocks = append(s.Blocks, page.Heading(head), page.Points(points...))
		}
	}
	if len(s.Blocks) == 0 {
		s.Blocks = append(s.Blocks, page.Text("Nothing lies beyond a limit, near one or in doubt, and every required sample was taken."))
	}
	return s, nil
}

// monthCharts draws each parameter: those with a limit stand open, beyond it or
// nearest to it first to be chosen, in the order of the columns.
func monthCharts(r *analysis.MonthResult) (page.Section, error) {
	m := r.Month
	s := page.Section{ID: "parameters", Title: "Each parameter over the month"}
	open := nearestLimits(m, openParameters)
	for i, c := range m.Columns {
		ch, ok := monthChart(m, i)
		if !ok {
			continue
		}
		pic, err := picture("charts/"+fileSlug(strings.TrimSuffix(string(c.Kind)+"-"+c.At+"-"+c.Sample+"-"+c.Variant, "-"))+".png", ch, "")
		if err != nil {
			return s, err
		}
		var facts []page.Fact
		for _, l := range m.Lines {
			if l.Column == i && l.Report != "" {
				facts = append(facts, page.Fact{Name: statWords(l), Value: fmt.Sprintf("%s %s", l.Report, l.Unit), Note: factNote(l)})
			}
		}
		switch {
		case !open[i]:
			blocks := []page.Block{page.Chart(pic)}
			if len(facts) > 0 {
				blocks = append(blocks, page.Facts(facts...))
			}
			s.Blocks = append(s.Blocks, page.Fold(c.Title, "its chart and how its figures were computed", blocks...))
		case len(facts) == 0:
			s.Blocks = append(s.Blocks, page.Chart(pic))
		default:
			s.Blocks = append(s.Blocks, page.Chart(pic), page.Fold("How "+oneOfMany(len(facts), "this figure was", "these %d figures were")+" computed", "", page.Facts(facts...)))
		}
	}
	return s, nil
}

func oneOfMany(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return fmt.Sprintf(many, n)
}

// nearestLimits picks at most n columns that a limit is held against: those beyond
// it, then those with the least margin.
func nearestLimits(m *discharge.Month, n int) map[int]bool {
	least := map[int]float64{}
	for _, l := range m.Lines {
		if !l.ForPlant || l.Column < 0 || l.Report == "" || l.Limit.ReportOnly {
			continue
		}
		margin := l.MarginPct
		switch {
		case l.State.Outside():
			margin = math.Inf(-1)
		case math.IsNaN(margin): // not in percent, or it cannot be told
			margin = 0
		}
		if was, ok := least[l.Column]; !ok || margin < was {
			least[l.Column] = margin
		}
	}
	columns := slices.SortedFunc(maps.Keys(least), func(a, b int) int {
		return cmp.Or(cmp.Compare(least[a], least[b]), cmp.Compare(a, b))
	})
	open := map[int]bool{}
	for _, c := range columns[:min(n, len(columns))] {
		open[c] = true
	}
	return open
}

func factNote(l discharge.Line) string {
	note := l.How
	if l.When != "" {
		note += "; " + l.When
	}
	return fmt.Sprintf("%s; unrounded %s, rounded to %s. %s", note, table.Plain(l.Value), l.RoundedTo, l.Law)
}

func monthYear(r *analysis.MonthResult) (page.Section, error) {
	s := page.Section{ID: "year", Title: "The year to date", Lead: "From earlier months among the exports, by the same rules."}
	for i, l := range r.Month.Lines {
		ch, ok := yearChart(r.Month, l)
		if !ok || !l.ForPlant {
			continue
		}
		pic, err := picture(fmt.Sprintf("charts/year-%02d-%s.png", i+1, fileSlug(string(l.Limit.Parameter)+"-"+l.Statistic)), ch, "")
		if err != nil {
			return s, err
		}
		s.Blocks = append(s.Blocks, page.Chart(pic))
	}
	return s, nil
}

// monthBelow shows what the choice of the non-detect rule does.
func monthBelow(r *analysis.MonthResult) (page.Section, error) {
	s := page.Section{ID: "below", Title: "Results below the reporting limit", Lead: "The permit's rule made the figure; the others show how much the choice matters."}
	t := &table.Table{Columns: []table.Column{{Name: "Figure"}, {Name: "Below"}, {Name: "Rule used"}, {Name: "Report", Align: table.Right}, {Name: "By each rule"}}}
	for _, l := range r.Month.Lines {
		if l.NonDetects > 0 {
			t.Rows = append(t.Rows, []table.Cell{table.Str(monthLineName(l)), table.Str(fmt.Sprintf("%d of %d", l.NonDetects, l.Values)), table.Str(string(l.Rule)),
				table.Str(l.Report + " " + l.Unit), table.Str(l.SpreadText)})
			for _, r := range l.Spread {
				if r.Note != "" {
					if n := fmt.Sprintf("%s, %s: %s.", monthLineName(l), r.Rule, strings.TrimSuffix(r.Note, "; the limit was taken instead")); !slices.Contains(t.Notes, n) {
						t.Notes = append(t.Notes, n)
					}
				}
			}
		}
	}
	if len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, page.Table(t))
	}
	return s, nil
}

// monthDays is the daily table, one for each parameter group that fits a page.
func monthDays(r *analysis.MonthResult) (page.Section, error) {
	m := r.Month
	s := page.Section{ID: "days", Title: "Day by day", Lead: "Daily values on the plant's calendar; the weeks' days outside of the month stand in month-days.csv and the workbook."}
	for a, b := 0, 0; a < len(m.Columns); a = b {
		for n := 0; b < len(m.Columns) && n < openDayColumns; b++ {
			n++
			if m.Columns[b].HasLoad {
				n++
			}
		}
		cols := m.Columns[a:b]
		t := &table.Table{Columns: []table.Column{{Name: "Day"}}}
		for _, c := range cols {
			t.Columns = append(t.Columns, table.Column{Name: c.Short + " (" + c.Sample + ")", Unit: c.Unit, Align: table.Right})
			if c.HasLoad {
				t.Columns = append(t.Columns, table.Column{Name: "load", Unit: "lb/d", Align: table.Right})
			}
		}
		for i := range m.Days {
			row := []table.Cell{table.Str(m.Days[i].Date.Format("Mon 2"))}
			for _, c := range cols {
				d := c.Days[c.MonthLo+i]
				v := table.Cell{}
				switch {
				case d.NoDischarge:
					v = table.Str("no discharge")
				case !math.IsNaN(d.Value.V):
					v = resultCell(d.Value, min(c.Decimals, 3))
				case d.Text != "":
					v = table.Str(d.Text)
				case c.Sample == "continuous":
					v = table.NA("n.d.")
				}
				row = append(row, v)
				if c.HasLoad {
					l := table.Cell{}
					if !math.IsNaN(d.Load) {
						l = table.Num(d.Load, 1)
					}
					row = append(row, l)
				}
			}
			t.Rows = append(t.Rows, row)
		}
		if a == 0 {
			s.Blocks = append(s.Blocks, page.Table(t))
			continue
		}
		var names []string
		for _, c := range cols {
			names = append(names, c.Short)
		}
		s.Blocks = append(s.Blocks, page.Fold("Day by day: "+strings.Join(names, "; "), "", page.Table(t)))
	}
	return s, nil
}

func monthData(r *analysis.MonthResult) (page.Section, error) {
	s := page.Section{ID: "data", Title: "Can the data be trusted?"}
	t := &table.Table{Caption: "Tags that the month rests on", Columns: []table.Column{{Name: "Tag"}, {Name: "Measures"}, {Name: "At"}, {Name: "Kind"}, {Name: "Readings"}, {Name: "Used"}, {Name: "Left out"},
		{Name: "Hours covered"}, {Name: "Days whole / in part / not determined"}, {Name: "Accuracy"}}}
	for _, x := range r.Month.Sources {
		var left []string
		for _, c := range x.LeftOut {
			left = append(left, fmt.Sprintf("%d %s", c.N, c.Reason))
		}
		hours, days := "", ""
		if !math.IsNaN(x.Hours) {
			hours, days = fmt.Sprintf("%.1f of %.0f", x.Hours, x.HoursOf), fmt.Sprintf("%d / %d / %d", x.DaysWhole, x.DaysPart, x.DaysShort)
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(x.Tag), table.Str(x.Measures), table.Str(x.At), table.Str(x.Reading), table.Int(x.Readings), table.Int(x.Used),
			table.Str(strings.Join(left, ", ")), table.Str(hours), table.Str(days), table.Str(x.Accuracy)})
	}
	s.Blocks = append(s.Blocks, page.Text(usedWords(r.Read.Ledger)))
	s.Blocks = slices.Concat(s.Blocks, foldOf(t.Caption, len(t.Rows), "tag", page.Table(t)), readFolds(r.Missing, r.Screen, r.Read))
	return s, nil
}

func monthHow(r *analysis.MonthResult) (page.Section, error) {
	s := page.Section{ID: "how", Title: "How it was computed"}
	var facts []page.Fact
	seen := map[string]bool{}
	for _, l := range r.Month.Lines {
		if !seen[l.Statistic] {
			seen[l.Statistic] = true
			facts = append(facts, page.Fact{Name: l.Statistic, Value: l.Law})
		}
	}
	s.Blocks = slices.Concat(foldPoints("The permit's rules that were followed", "rule", r.Month.Rules),
		foldOf("Definitions followed", len(facts), "statistic", page.Facts(facts...)), inputsFold(r.Read))
	return s, nil
}

func monthCautions(r *analysis.MonthResult) (page.Section, error) {
	return page.Section{ID: "cautions", Title: "Cautions, and who decides", Blocks: []page.Block{page.Cautions(r.Month.Cautions...),
		page.Heading("Signatures"), page.Blanks("Prepared by, date", "Responsible licensed operator, licence, date")}}, nil
}
