package reports

import (
	"fmt"
	"strings"
	"time"
	"unicode"

	"weirbook/analysis"
	"weirbook/analysis/contact"
	"weirbook/analysis/finding"
	"weirbook/analysis/orp"
	"weirbook/analysis/quantity"
	"weirbook/analysis/upset"
	"weirbook/reports/chart"
	"weirbook/reports/page"
	"weirbook/reports/table"
)

// maxEvents is how many events get a section of their own in the report; the
// table of findings holds them all.
const maxEvents = 12

// runPage lays out the whole report.
func runPage(r *analysis.Result, version string) (*page.Page, error) {
	stand, word := standing(r)
	p := &page.Page{Lang: "en", Kind: "Disinfection report", Plant: r.Plant.Name, Period: periodText(r),
		Verdict: page.Verdict{Standing: stand, Word: word, Sentences: Verdict(r), Figures: figures(r)},
		Foot:    "weirbook " + version + ". It advises; the permit, the plant's own procedures and its licensed operators decide."}
	for _, make := range []func(*analysis.Result) (page.Section, error){
		glanceSection, findingsSection, timelineSection, eventsSection, loadsSection, orpSection, dataSection, howSection, cautionsSection,
	} {
		s, err := make(r)
		if err != nil {
			return nil, err
		}
		if len(s.Blocks) > 0 {
			p.Sections = append(p.Sections, s)
		}
	}
	return p, nil
}

// periodText says which days the report covers, by the plant's clock.
func periodText(r *analysis.Result) string {
	a, b := time.UnixMilli(r.From).In(r.Plant.Zone), time.UnixMilli(r.To).In(r.Plant.Zone)
	za, _ := a.Zone()
	zb, _ := b.Zone()
	clock := za
	if za != zb {
		clock += " and " + zb
	}
	return fmt.Sprintf("%s to %s, plant clock %s (%s)", a.Format("2 January 2006 15:04"), b.Format("2 January 2006 15:04"), r.Plant.ZoneName, clock)
}

func glanceSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "glance", Title: "The period at a glance", Lead: "Each square is one hour of the plant's clock, held against what the plant description asks of the basin." + clockChanges(r)}
	for i := range r.Basins {
		b := &r.Basins[i]
		if len(b.Hours) == 0 {
			continue
		}
		for _, month := range byQuarter(r, b) {
			pic, err := picture(fmt.Sprintf("charts/glance-%s%s.png", fileSlug(b.Name), month.suffix), month.chart, "")
			if err != nil {
				return s, err
			}
			s.Blocks = append(s.Blocks, page.Chart(pic))
		}
		pic, err := picture("charts/ct-by-day-"+fileSlug(b.Name)+".png", dailyCT(r, b), "")
		if err != nil {
			return s, err
		}
		s.Blocks = append(s.Blocks, page.Chart(pic))
		if b.Note != "" {
			s.Blocks = append(s.Blocks, page.Text(sentenceCase(b.Note)+"."))
		}
	}
	if t := verdictTable(r); len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, page.Table(t))
	}
	return s, nil
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
			out += fmt.Sprintf(" On %s the clock went forward: the blank square is an hour that there was not.", b.Format("2 January"))
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

func findingsSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "attention", Title: "What needs attention", Lead: "One row an event, worst first."}
	if len(r.Findings) == 0 {
		s.Lead = ""
		s.Blocks = append(s.Blocks, page.Text("Nothing was found."))
		return s, nil
	}
	var rows []page.FindingRow
	for i, f := range r.Findings {
		link := ""
		if i < maxEvents {
			link = eventID(i)
		}
		rows = append(rows, page.Row(named(r, f), r.Plant.Zone, link))
	}
	s.Blocks = append(s.Blocks, page.Findings(rows))
	return s, nil
}

func eventID(i int) string { return fmt.Sprintf("event-%d", i+1) }

func timelineSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "timeline", Title: "Everything on one clock", Lead: "Gaps are gaps in the data."}
	for i := range r.Basins {
		b := &r.Basins[i]
		c := timeline(r, b, r.From, r.To, sentenceCase(b.Title)+": the whole period", timelineMessage(r, b), nil, nil)
		if marked(c) {
			s.Lead = "Hatched: readings of an instrument judged not to be believed. Gaps are gaps in the data."
		}
		if tooManyGrabs(r, b) {
			s.Lead += " The grabs are too many to draw here; they stand in the charts of the events and of ORP against residual."
		}
		pic, err := picture("charts/timeline-"+fileSlug(b.Name)+".png", c, "")
		if err != nil {
			return s, err
		}
		s.Blocks = append(s.Blocks, page.Chart(pic))
	}
	return s, nil
}

// timelineMessage says in words what the whole period's timeline shows.
func timelineMessage(r *analysis.Result, b *analysis.Basin) string {
	s := b.Summary()
	return fmt.Sprintf("Flow, dose, residual, ORP and CT of the %s over the whole period on one clock: the requirement was met in %s of %s hours determined; %s found, hatched where an instrument was in doubt.",
		b.Title, count(s.Determined-s.Short-s.ShortWithin), count(s.Determined), plural(len(r.Findings), "event"))
}

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
		if u.Basin == f.Subject && u.Episode.Start == f.Start && u.Episode.End == f.End {
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

func loadsSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "loads", Title: "Loads, dose and chemical"}
	if c := loadingsChart(r); c != nil {
		pic, err := picture("charts/hourly-loadings.png", c, "")
		if err != nil {
			return s, err
		}
		s.Blocks = append(s.Blocks, page.Chart(pic))
	}
	for _, t := range loadTables(r) {
		if len(t.Rows) > 0 {
			s.Blocks = append(s.Blocks, page.Table(t))
		}
	}
	return s, nil
}

func orpSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "orp", Title: "ORP against residual", Lead: "ORP is in millivolts and is not a concentration. The band is what this probe has read at this plant for the residual, pH and temperature of the moment."}
	for _, j := range r.Judgements {
		for _, m := range j.Models {
			b := basinNamed(r, j.Basin)
			if b == nil || len(m.Expected) != r.Grid.N {
				if m.Note != "" {
					s.Blocks = append(s.Blocks, page.Text(modelWords(m)))
				}
				continue
			}
			if m.Place == orp.Final {
				s.Blocks = append(s.Blocks, page.Text(modelWords(m)))
				continue
			}
			var fs []finding.Finding
			stands := lawResidual(r, b, m)
			for _, f := range r.Findings {
				if f.Subject == m.Tag || f.AtFault == finding.ResidualAnalyser && f.Subject == stands.tag.Name {
					fs = append(fs, f)
				}
			}
			c := orpScatter(r, b, m, stands, fs)
			if len(c.Groups) == 0 {
				continue
			}
			pic, err := picture("charts/orp-against-residual-"+fileSlug(m.Tag)+".png", c, "")
			if err != nil {
				return s, err
			}
			s.Blocks = append(s.Blocks, page.Chart(pic))
			if m.Note != "" {
				s.Blocks = append(s.Blocks, page.Text(modelWords(m)))
			}
		}
		for _, n := range j.Notes {
			s.Blocks = append(s.Blocks, page.Text(n))
		}
	}
	return s, nil
}

func basinNamed(r *analysis.Result, name string) *analysis.Basin {
	for i := range r.Basins {
		if r.Basins[i].Name == name {
			return &r.Basins[i]
		}
	}
	return nil
}

func howSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "how", Title: "How it was computed"}
	var facts []page.Fact
	for _, e := range analysis.Formulas() {
		facts = append(facts, page.Fact{Name: e.Title, Value: e.Formula, Note: strings.TrimSpace(e.Source + " (" + string(e.Mark) + ")")})
	}
	s.Blocks = append(s.Blocks, page.Heading("Formulas and their sources"), page.Facts(facts...))
	if len(r.Basins) > 0 {
		s.Blocks = append(s.Blocks, page.Heading("The three CTs, and why they differ"), page.Points(contact.Explain()...))
	}
	if len(r.Upsets) > 0 {
		s.Blocks = append(s.Blocks, page.Heading("How an upset is explained"), page.Points(upset.Method()...))
	}
	facts = nil
	for _, x := range r.Settings {
		facts = append(facts, page.Fact{Name: x.Name, Value: x.Value, Note: x.Why})
	}
	s.Blocks = append(s.Blocks, page.Heading("Settings used"), page.Facts(facts...))
	facts = nil
	for _, f := range r.Read.Files {
		if f.SHA256 != "" {
			facts = append(facts, page.Fact{Name: f.Name, Value: fmt.Sprintf("%s bytes", table.Group(float64(f.Bytes), 0)), Note: "SHA-256 " + f.SHA256})
		}
	}
	s.Blocks = append(s.Blocks, page.Heading("Inputs"), page.Facts(facts...))
	return s, nil
}

func cautionsSection(r *analysis.Result) (page.Section, error) {
	return page.Section{ID: "cautions", Title: "Cautions, and who decides", Blocks: []page.Block{page.Cautions(
		"This report is advice reckoned from readings. The permit, local codes, the plant's own procedures and its licensed operators decide; nothing here orders or allows a change of dose.",
		"CT credit, baffling factors and every permit figure are for the regulator and the permit to set.",
		"Chlorine, hypochlorite and bisulfite hurt people: protective equipment and ventilation before any sampling, cleaning or calibration; keep hypochlorite away from acids and bisulfite.",
		"Lock out and tag out pumps and mixers before working on them. A reading or a report is never evidence that equipment is isolated.",
		"Contact basins, wet wells and vaults may be permit-required confined spaces.",
	)}}, nil
}

// fileSlug makes a name fit for a file on any system: letters of any script,
// digits and hyphens.
func fileSlug(s string) string {
	var b strings.Builder
	for _, c := range strings.ToLower(s) {
		if unicode.IsLetter(c) || unicode.IsDigit(c) {
			b.WriteRune(c)
		} else {
			b.WriteByte('-')
		}
	}
	return strings.Trim(b.String(), "-")
}
