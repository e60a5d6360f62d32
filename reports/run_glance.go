package reports

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/quantity"
	"weirbook/reports/chart"
	"weirbook/reports/page"
)

func glanceSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "glance", Title: "The period at a glance", Lead: "Each square is one hour of the plant's clock, held against what the plant description requires of the basin." + clockChanges(r)}
	open := openSquares(r)
	for i := range r.Basins {
		b := &r.Basins[i]
		if len(b.Hours) == 0 {
			continue
		}
		var squares []page.Block
		for _, month := range byQuarter(r, b) {
			pic, err := picture(fmt.Sprintf("charts/glance-%s%s.png", fileSlug(b.Name), month.suffix), month.chart, "")
			if err != nil {
				return s, err
			}
			squares = append(squares, page.Chart(pic))
		}
		byDay := dailyCT(r, b)
		pic, err := picture("charts/ct-by-day-"+fileSlug(b.Name)+".png", byDay, "")
		if err != nil {
			return s, err
		}
		switch {
		case !open[b]:
			s.Blocks = append(s.Blocks, page.Fold(glance(r, b).Title, "", append(squares, page.Chart(pic))...))
		case len(r.Basins) > 1:
			s.Blocks = append(append(s.Blocks, squares...), page.Fold(byDay.Title, "", page.Chart(pic)))
		default:
			s.Blocks = append(append(s.Blocks, squares...), page.Chart(pic))
		}
		if b.Note != "" {
			s.Blocks = append(s.Blocks, page.Text(sentenceCase(b.Note)+"."))
		}
	}
	if t := verdictTable(r); len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, page.Fold(t.Caption, "what was required, and in how many hours it was met", page.Table(t)))
	}
	return s, nil
}

// openSquares picks the basins whose hours stand open: the worst, and one more that
// was short too, while the period is a month or so.
func openSquares(r *analysis.Result) map[*analysis.Basin]bool {
	short := func(b *analysis.Basin) int { s := b.Summary(); return s.Short + s.ShortWithin }
	var bs []*analysis.Basin
	for i := range r.Basins {
		if len(r.Basins[i].Hours) > 0 {
			bs = append(bs, &r.Basins[i])
		}
	}
	slices.SortStableFunc(bs, func(a, b *analysis.Basin) int { return cmp.Compare(short(b), short(a)) })
	open := map[*analysis.Basin]bool{}
	for i, b := range bs {
		if i == 0 || i == 1 && short(b) > 0 && len(r.Days) <= longestDaily {
			open[b] = true
		}
	}
	return open
}

// clockChanges says why a square is missing, or stands for two hours.
func clockChanges(r *analysis.Result) string {
	out := ""
	for i := 1; i < len(r.Hours); i++ {
		a, b := time.UnixMilli(r.Hours[i-1].Start).In(r.Plant.Zone), time.UnixMilli(r.Hours[i].Start).In(r.Plant.Zone)
		_, was := a.Zone()
		_, is := b.Zone()
		switch {
		case is > was:
			out += fmt.Sprintf(" On %s the clock went forward: the blank square is the hour that the clock skipped.", b.Format("2 January"))
		case is < was:
			out += fmt.Sprintf(" On %s the clock went back: one hour came twice.", b.Format("2 January"))
		}
	}
	return out
}

// tooManyGrabs says whether the timeline of the whole period leaves grabs out.
func tooManyGrabs(r *analysis.Result, b *analysis.Basin) bool {
	for _, k := range []quantity.Kind{quantity.ChlorineTotal, quantity.ChlorineFree} {
		for _, t := range r.Plant.TagsAt(k, b.Outlet) {
			if s := r.Series[t.Name]; t.Sampled() && s != nil {
				if lo, hi := s.Between(r.From, r.To); hi-lo > mostGrabs {
					return true
				}
			}
		}
	}
	return false
}

// marked says whether a timeline hatches anything.
func marked(c *chart.Timeline) bool {
	for _, p := range c.Panels {
		if len(p.Marked) > 0 {
			return true
		}
	}
	return false
}

type quarter struct {
	suffix string
	chart  *chart.DayHour
}

// byQuarter cuts the day and hour grid of a long period into pieces of at most
// 92 days, so that an hour stays large enough to see.
func byQuarter(r *analysis.Result, b *analysis.Basin) []quarter {
	whole := glance(r, b)
	if len(r.Days) <= 92 {
		return []quarter{{"", whole}}
	}
	var out []quarter
	for k := 0; k < len(r.Days); k += 92 {
		end := r.To
		if k+92 < len(r.Days) {
			end = r.Days[k+92].Start
		}
		part := *whole
		part.Hours = nil
		if k > 0 {
			part.Title = "The " + b.Title + ", hour by hour" // the message stands over the first
		}
		for _, h := range whole.Hours {
			if h.Start >= r.Days[k].Start && h.Start < end {
				part.Hours = append(part.Hours, h)
			}
		}
		if len(part.Hours) > 0 {
			out = append(out, quarter{fmt.Sprintf("-%d", len(out)+1), &part})
		}
	}
	return out
}
