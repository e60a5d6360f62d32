package reports

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/finding"
	"weirbook/analysis/quantity"
	"weirbook/reports/chart"
	"weirbook/reports/page"
	"weirbook/reports/table"
)

// maxEvents is how many events a report tells, most of them folded behind their
// titles; the list holds them all.
const maxEvents = 12

// openEvents is how many stand open: what a busy person reads.
const openEvents = 3

// eventPanels is how many panels the chart of an event has, so that it fits a
// screen and a printed page; the page of the upset command has all.
const eventPanels = 7

// eventCaption tells the marks of an event's chart.
const eventCaption = "Shaded: the event. Upright lines: when a signal began to move. Hatched: readings of an instrument in doubt."

func eventsSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "events", Title: "Each event", Lead: eventCaption}
	for i, e := range gathered(r) {
		if i >= maxEvents {
			s.Blocks = append(s.Blocks, page.Text(fmt.Sprintf("%s more stand in the list above; findings.csv has each with its evidence.", plural(len(gathered(r))-maxEvents, "event"))))
			break
		}
		ev, err := eventOf(r, &e, i)
		if err != nil {
			return s, err
		}
		if i < openEvents {
			s.Blocks = append(s.Blocks, page.OneEvent(ev))
			continue
		}
		s.Blocks = append(s.Blocks, page.Fold(ev.Title, page.Row(e.Finding, r.Plant.Zone, "").Length+", "+string(e.Severity), page.OneEvent(ev)))
	}
	return s, nil
}

// eventOf lays one event out: what happened, one chart, what to check, and the
// whole evidence folded.
func eventOf(r *analysis.Result, e *event, i int) (page.Event, error) {
	title := time.UnixMilli(e.Start).In(r.Plant.Zone).Format("Mon 2 Jan 15:04") + ": " + kindName(e.Kind)
	ev := page.EventOf(named(r, e.Finding), r.Plant.Zone, eventID(i), fmt.Sprintf("%d. %s", i+1, title))
	ev.Evidence = nil
	if e.Upset >= 0 { // the cause stands once, above
		ev.CheckNext = slices.DeleteFunc(slices.Clone(ev.CheckNext), func(s string) bool {
			return strings.Contains(s, strings.TrimRight(r.Upsets[e.Upset].Cause.Says, "."))
		})
	}
	for _, words := range []string{causeWords(r, e), partsWords(r, e)} {
		if words != "" {
			ev.Blocks = append(ev.Blocks, page.Text(words))
		}
	}
	ev.Blocks = append(ev.Blocks, logBlocks(r, e.Start, e.End)...)
	if e.Upset >= 0 {
		if err := explainInEvent(r, &ev, e.Upset, i < openEvents); err != nil {
			return ev, err
		}
	} else if b := basinOf(r, e.Finding); b != nil {
		from, to := around(r, e.Start, e.End)
		c := timeline(r, b, from, to, title, e.Summary, []chart.Span{{From: max(e.Start, from), To: min(e.End, to), Name: "event"}}, about(r, e.Finding))
		pic, err := picture(fmt.Sprintf("charts/event-%d.png", i+1), c, "")
		if err != nil {
			return ev, err
		}
		ev.Pictures = append(ev.Pictures, pic)
	}
	var whole []page.Block
	for _, f := range append([]finding.Finding{e.Finding}, e.Parts...) {
		if f.Start == e.Start && f.Kind == e.Kind && e.Upset >= 0 {
			continue // explained above
		}
		if blocks := evidence(f); len(blocks) > 0 {
			whole = append(append(whole, page.Heading("The evidence for "+kindName(f.Kind)), page.Text(f.Summary)), blocks...)
		}
	}
	ev.Folded = append(ev.Folded, whole...)
	if len(ev.Folded) > 0 {
		ev.Folded = []page.Block{page.Fold("The whole evidence", "", ev.Folded...)}
	}
	return ev, nil
}

// evidence is what a finding stands on: its witnesses, and what they do not say.
func evidence(f finding.Finding) []page.Block {
	var out []page.Block
	if len(f.Votes) > 0 {
		out = append(out, page.Table(witnesses(f)))
	}
	if more := untold(f); len(more) > 0 {
		out = append(out, page.Points(more...))
	}
	return out
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

// explainInEvent gives an upset the same explanation that the upset command gives
// it on a page of its own: its timeline open, the rest folded part by part.
func explainInEvent(r *analysis.Result, e *page.Event, n int, week bool) error {
	sections, err := upsetSections(&r.Upsets[n], n+1, false, eventPanels)
	if err != nil {
		return err
	}
	for _, s := range sections {
		if strings.HasSuffix(s.ID, "-week") && !week {
			continue // a year's file would be too large to send
		}
		blocks := s.Blocks
		if strings.HasSuffix(s.ID, fmt.Sprintf("upset-%d", n+1)) {
			blocks = nil
			for _, b := range s.Blocks {
				if b.Picture != nil {
					pic := *b.Picture
					pic.Caption = ""
					e.Pictures = append(e.Pictures, pic)
					continue
				}
				blocks = append(blocks, b)
			}
		}
		if s.Lead != "" {
			blocks = append([]page.Block{page.Text(s.Lead)}, blocks...)
		}
		if strings.HasSuffix(s.ID, "-held") {
			blocks = withoutTables(blocks, fmt.Sprintf("Hour by hour: would-have-held-%d.csv.", n+1))
		}
		e.Folded = append(append(e.Folded, page.Heading(s.Title)), blocks...)
	}
	return nil
}

// withoutTables leaves tables to the file that holds them.
func withoutTables(bs []page.Block, where string) []page.Block {
	var out []page.Block
	for _, b := range bs {
		if b.Table == nil {
			out = append(out, b)
		} else if where != "" {
			out, where = append(out, page.Text(where)), ""
		}
	}
	return out
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
	t := &table.Table{Caption: "What each piece of evidence says", Columns: []table.Column{{Name: "Evidence"}, {Name: "Points to"}, {Name: "Weight", Align: table.Right}, {Name: "Says"}}}
	for _, v := range f.Votes {
		who := "could not tell"
		if v.For != "" {
			who = page.PartyName(v.For)
		}
		t.Rows = append(t.Rows, []table.Cell{table.Str(v.Witness), table.Str(who), table.Num(v.Weight, 1), table.Str(v.Says)})
	}
	t.Notes = []string{"Weight: how strongly this evidence points there rather than to the next best explanation (difference of log likelihood): 3 is strong, 10 leaves little doubt."}
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
