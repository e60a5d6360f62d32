package reports

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"weirbook/analysis"
	"weirbook/analysis/contact"
	"weirbook/analysis/finding"
	"weirbook/analysis/formula"
	"weirbook/analysis/orp"
	"weirbook/analysis/upset"
	"weirbook/reports/chart"
	"weirbook/reports/page"
)

// runPage lays out the whole report.
func runPage(r *analysis.Result, version string) (*page.Page, error) {
	stand, word := standing(r)
	p := &page.Page{Lang: "en", Kind: "Disinfection report", Plant: r.Plant.Name, Period: periodText(r),
		Verdict: page.Verdict{Standing: stand, Word: word, Sentences: Verdict(r), Figures: figures(r)},
		Foot:    "weirbook " + version + ". It advises; the permit, the plant's own procedures and its licensed operators decide."}
	var err error
	p.Sections, err = sectionsOf(r, glanceSection, findingsSection, timelineSection, eventsSection, loadsSection, orpSection, dataSection, howSection, cautionsSection)
	return p, err
}

// sectionsOf makes a page's sections in order and leaves out those with nothing to say.
func sectionsOf[R any](r R, makers ...func(R) (page.Section, error)) ([]page.Section, error) {
	var out []page.Section
	for _, section := range makers {
		s, err := section(r)
		if err != nil {
			return nil, err
		}
		if len(s.Blocks) > 0 {
			out = append(out, s)
		}
	}
	return out, nil
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

// openRows is how many events the list shows before it folds.
const openRows = 6

func findingsSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "attention", Title: "What needs attention", Lead: "One row an event, worst first: by how far and how long a limit or a requirement was missed, then instruments by how long. How sure: " + page.SureScale}
	events := gathered(r)
	if len(events) == 0 {
		s.Lead = ""
		s.Blocks = append(s.Blocks, page.Text("Nothing was found."))
	}
	var rows []page.FindingRow
	for i := range events {
		link := ""
		if i < maxEvents {
			link = eventID(i)
		}
		row := page.Row(named(r, events[i].Finding), r.Plant.Zone, link)
		row.Number = i + 1
		row.Parts = partsWords(r, &events[i])
		rows = append(rows, row)
	}
	n := min(len(rows), openRows)
	if n > 0 {
		s.Blocks = append(s.Blocks, page.Findings(rows[:n]))
	}
	if rest := rows[n:]; len(rest) > 0 {
		s.Blocks = append(s.Blocks, page.Fold(plural(len(rest), "more event")+", less grave", "", page.Findings(rest)))
	}
	var look []page.FindingRow
	for _, f := range suspicions(r) {
		look = append(look, page.Row(named(r, f), r.Plant.Zone, ""))
	}
	if len(look) > 0 {
		s.Blocks = append(s.Blocks, page.Fold("Worth a look: "+plural(len(look), "suspicion"), "nothing has confirmed them; they count against nothing above", page.Findings(look)))
	}
	return s, nil
}

func eventID(i int) string { return fmt.Sprintf("event-%d", i+1) }

func timelineSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "timeline", Title: "Everything on one clock", Lead: "Shaded: the events, by their number in the list. Gaps are gaps in the data."}
	worst := worstBasin(r)
	for i := range r.Basins {
		b := &r.Basins[i]
		c := timeline(r, b, r.From, r.To, sentenceCase(b.Title)+": the whole period"+strings.Replace(hoursMet(b), ":", ",", 1), timelineMessage(r, b), eventSpans(r), nil)
		if marked(c) {
			s.Lead = "Shaded: the events, by their number in the list. Hatched: readings of an instrument in doubt. Gaps are gaps in the data."
		}
		if tooManyGrabs(r, b) {
			s.Lead += " There are too many grabs to draw here; the charts of the events and of ORP against residual show them."
		}
		pic, err := picture("charts/timeline-"+fileSlug(b.Name)+".png", c, "")
		if err != nil {
			return s, err
		}
		if b == worst {
			s.Blocks = append([]page.Block{page.Chart(pic)}, s.Blocks...)
			continue
		}
		s.Blocks = append(s.Blocks, page.Fold(sentenceCase(b.Title), "", page.Chart(pic)))
	}
	return s, nil
}

// eventSpans are the events on the clock of the whole period, by their numbers.
func eventSpans(r *analysis.Result) []chart.Span {
	var out []chart.Span
	for i, e := range gathered(r) {
		if i < maxEvents {
			out = append(out, chart.Span{From: max(e.Start, r.From), To: min(e.End, r.To), Name: fmt.Sprint(i + 1)})
		}
	}
	return out
}

// worstBasin is the basin with the most hours short, whose timeline stands open.
func worstBasin(r *analysis.Result) *analysis.Basin {
	var worst *analysis.Basin
	most := -1
	for i := range r.Basins {
		if s := r.Basins[i].Summary(); s.Short+s.ShortWithin > most {
			worst, most = &r.Basins[i], s.Short+s.ShortWithin
		}
	}
	return worst
}

// timelineMessage says in words what the whole period's timeline shows.
func timelineMessage(r *analysis.Result, b *analysis.Basin) string {
	s := b.Summary()
	return fmt.Sprintf("Flow, dose, residual, ORP and CT of the %s over the whole period on one clock: everything required was met in %s of the %s hours that could be determined; %s found, hatched where an instrument was in doubt.",
		b.Title, count(s.Determined-s.Short-s.ShortWithin), count(s.Determined), plural(len(r.Findings), "event"))
}

func loadsSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "loads", Title: "Loads, dose and chemical"}
	pics, err := loadPictures(r)
	if err != nil {
		return s, err
	}
	s.Blocks = openCharts(pics)
	for i, t := range loadTables(r) {
		if len(t.Rows) == 0 {
			continue
		}
		if i == 0 {
			s.Blocks = append(s.Blocks, page.Table(t))
			continue
		}
		s.Blocks = append(s.Blocks, page.Fold(t.Caption, plural(len(t.Rows), "row"), page.Table(t)))
	}
	return s, nil
}

func orpSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "orp", Title: "ORP against residual", Lead: "ORP is in millivolts and is not a concentration. The band is what this probe normally reads at this plant for the residual, pH and temperature of the moment."}
	var undrawn []string
	for _, j := range r.Judgements {
		for _, m := range j.Models {
			b := basinNamed(r, j.Basin)
			if b == nil || len(m.Expected) != r.Grid.N {
				if m.Note != "" {
					undrawn = append(undrawn, modelWords(m))
				}
				continue
			}
			if m.Place == orp.Final {
				undrawn = append(undrawn, modelWords(m))
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
			blocks := []page.Block{page.Chart(pic)}
			if m.Note != "" {
				blocks = append(blocks, page.Text(modelWords(m)))
			}
			s.Blocks = append(s.Blocks, page.Fold(m.Tag+", "+r.Plant.Title(pointOf(r, m.Tag)), "", blocks...))
		}
		undrawn = append(undrawn, j.Notes...)
	}
	s.Blocks = append(s.Blocks, foldPoints("Probes that no relation is drawn for", "remark", undrawn)...)
	return s, nil
}

func pointOf(r *analysis.Result, tag string) string {
	t, _ := r.Plant.Tag(tag)
	return t.At
}

func basinNamed(r *analysis.Result, name string) *analysis.Basin {
	for i := range r.Basins {
		if r.Basins[i].Name == name {
			return &r.Basins[i]
		}
	}
	return nil
}

// fittedLaws tells what each probe's law came to.
func fittedLaws(r *analysis.Result) []string {
	var out []string
	for _, j := range r.Judgements {
		for _, m := range j.Models {
			if m.Law != "" {
				out = append(out, fmt.Sprintf("%s: %s (standard error %.0f mV), scatter %.1f mV, %.0f min behind the residual, fitted on %.0f h.",
					m.Tag, m.Law, m.SlopeSD, m.Scale, m.LagMin, float64(m.Used)/2))
			}
		}
	}
	return out
}

func howSection(r *analysis.Result) (page.Section, error) {
	s := page.Section{ID: "how", Title: "How it was computed"}
	s.Blocks = formulasFold("Formulas and their sources", analysis.Formulas())
	if len(r.Basins) > 0 {
		s.Blocks = append(s.Blocks, foldPoints("The three CTs, and why they differ", "line", contact.Explain())...)
	}
	s.Blocks = slices.Concat(s.Blocks, foldPoints("What ORP should read, and who is wrong", "line", append(orp.Method(), fittedLaws(r)...)),
		foldPoints("How an upset is explained", "line", upset.Method()),
		settingsFold(r.Settings, page.Fact{Name: "headline.sure_enough", Value: fmt.Sprint(sureEnough), Note: "confidence from which the verdict takes an instrument to be at fault"}),
		inputsFold(r.Read))
	return s, nil
}

func formulasFold(title string, entries []formula.Entry) []page.Block {
	var facts []page.Fact
	for _, e := range entries {
		facts = append(facts, page.Fact{Name: e.Title, Value: e.Formula, Note: e.Reference()})
	}
	return foldOf(title, len(facts), "formula", page.Facts(facts...))
}

func cautionsSection(r *analysis.Result) (page.Section, error) {
	return page.Section{ID: "cautions", Title: "Cautions, and who decides", Blocks: []page.Block{page.Cautions(
		"This report is advice calculated from readings. The permit, local codes, the plant's own procedures and its licensed operators decide; nothing here orders or allows a change of dose.",
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

// span writes a setting that is a stretch of time as people do: 15 min for 15m0s.
func span(setting string) string {
	d, err := time.ParseDuration(setting)
	if err != nil || setting == "0" || d%time.Minute != 0 {
		return setting
	}
	return finding.Length(d)
}
