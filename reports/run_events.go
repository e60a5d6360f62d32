package reports

import (
	"fmt"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/finding"
	"weirbook/analysis/quantity"
	"weirbook/reports/chart"
	"weirbook/reports/page"
	"weirbook/reports/table"
)

func eventsSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "events", Title: "Each event"}
	for i, f := range r.Findings {
		if i >= maxEvents {
			s.Blocks = append(s.Blocks, page.Text(fmt.Sprintf("%s more stand in the table above and in findings.csv.", plural(len(r.Findings)-maxEvents, "event"))))
			break
		}
		title := time.UnixMilli(f.Start).In(r.Plant.Zone).Format("Mon 2 Jan 15:04") + ": " + kindName(f.Kind)
		e := page.EventOf(named(r, f), r.Plant.Zone, eventID(i), title)
		if n := upsetOf(r, f); n >= 0 {
			if err := explainInEvent(r, &e, n); err != nil {
				return s, err
			}
			s.Blocks = append(s.Blocks, page.OneEvent(e))
			continue
		}
		if b := basinOf(r, f); b != nil {
			from, to := around(r, f.Start, f.End)
			c := timeline(r, b, from, to, title, f.Summary, []chart.Span{{From: max(f.Start, from), To: min(f.End, to), Name: "event"}}, about(r, f))
			caption := "Shaded: the event."
			if marked(c) {
				caption += " Hatched: readings of an instrument in doubt."
			}
			pic, err := picture(fmt.Sprintf("charts/event-%d.png", i+1), c, caption)
			if err != nil {
				return s, err
			}
			e.Pictures = append(e.Pictures, pic)
		}
		if len(f.Votes) > 0 {
			e.Evidence = nil // told by the table and below it
			e.Blocks = append(e.Blocks, page.Table(witnesses(f)))
			if more := untold(f); len(more) > 0 {
				e.Blocks = append(e.Blocks, page.Points(more...))
			}
		}
		s.Blocks = append(s.Blocks, page.OneEvent(e))
	}
	return s, nil
}

// upsetOf finds the explained episode that a finding stands for; -1: none.
func upsetOf(r *analysis.Result, f finding.Finding) int {
	for i := range r.Upsets {
		u := &r.Upsets[i]
		if u.Subject == f.Subject && u.Episode.Start == f.Start && u.Episode.End == f.End {
			return i
		}
	}
	return -1
}

// explainInEvent gives an episode the same explanation that the upset command
// gives it on a page of its own.
func explainInEvent(r *analysis.Result, e *page.Event, n int) error {
	sections, err := upsetSections(&r.Upsets[n], n+1, false)
	if err != nil {
		return err
	}
	e.Evidence = nil // told in full below
	for _, s := range sections {
		e.Blocks = append(e.Blocks, page.Heading(s.Title))
		if s.Lead != "" {
			e.Blocks = append(e.Blocks, page.Text(s.Lead))
		}
		e.Blocks = append(e.Blocks, s.Blocks...)
	}
	return nil
}

// about picks the panels that bear on a finding: a chart of ten panels prints
// too small to read.
func about(r *analysis.Result, f finding.Finding) func(role) bool {
	past := f.Kind == "dechlorination-lost"
	if t, ok := r.Plant.Tag(f.Subject); ok {
		q, _ := r.Plant.Point(t.At)
		past = past || q.Dechlorinated || q.Outfall || t.Measures == quantity.BisulfiteFeed || t.Measures == quantity.SulfurDioxideFeed
	}
	return func(what role) bool {
		switch what {
		case pastPanel:
			return past
		case ammoniaPanel:
			return f.AtFault == finding.Process && !past
		case dosePanel:
			return !past
		}
		return true
	}
}

// witnesses is the table of who said what about an event.
func witnesses(f finding.Finding) *table.Table {
	t := &table.Table{Caption: "What each witness says", Columns: []table.Column{{Name: "Witness"}, {Name: "Points at"}, {Name: "Weight", Align: table.Right}, {Name: "Says"}}}
	for _, v := range f.Votes {
		who := "could not tell"
		if v.For != "" {
			who = page.PartyName(v.For)
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(v.Witness), table.Str(who), table.Num(v.Weight, 1), table.Str(v.Says)})
	}
	t.Notes = []string{"Weight: how strongly a witness speaks for that party against the next best explanation (difference of log likelihood); 3 is strong, 10 leaves little doubt."}
	return t
}

// basinOf finds the basin that a finding is about: by its name, by the judgement
// that the finding comes from, or by the tag's place.
func basinOf(r *analysis.Result, f finding.Finding) *analysis.Basin {
	if b := basinNamed(r, f.Subject); b != nil {
		return b
	}
	for _, j := range r.Judgements {
		for _, g := range j.Findings {
			if g.Kind == f.Kind && g.Subject == f.Subject && g.Start < f.End && g.End > f.Start {
				if b := basinNamed(r, j.Basin); b != nil {
					return b
				}
			}
		}
	}
	tag, _ := r.Plant.Tag(f.Subject)
	for i := range r.Basins {
		b := &r.Basins[i]
		if f.Subject == b.FlowTag.Name || f.Subject == b.ResidualTag.Name || tag.At != "" && (tag.At == b.Outlet || tag.At == b.Inlet) {
			return b
		}
	}
	if len(r.Basins) > 0 {
		return &r.Basins[0]
	}
	return nil
}

// around widens a stretch by half its length on both sides, at least six hours
// and at most two days, within the readings.
func around(r *analysis.Result, start, end int64) (from, to int64) {
	const hour = 3600_000
	pad := min(max((end-start)/2, 6*hour), 48*hour)
	from, to = max(start-pad, r.Grid.Milli(0)), min(end+pad, r.Grid.Milli(r.Grid.N))
	return from - from%hour, to
}
