package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/finding"
	"weirbook/analysis/upset"
	"weirbook/reports/page"
)

// upsetPage lays out the report of one upset, or of the several basins that had
// one at the same time.
func upsetPage(r *analysis.Result, us []analysis.Upset, version string) (*page.Page, error) {
	first := &us[0]
	p := &page.Page{Lang: "en", Kind: "Upset, explained", Plant: r.Plant.Name, Period: upsetPeriod(first), Verdict: upsetVerdict(first),
		Foot: "weirbook " + version + ". It advises; the permit, the plant's own procedures and its licensed operators decide."}
	for i := range us {
		ss, err := upsetSections(&us[i], i+1, len(us) > 1, 0)
		if err != nil {
			return nil, err
		}
		p.Sections = append(p.Sections, ss...)
		if log := logBlocks(r, us[i].Window.Start, us[i].Window.End); len(log) > 0 {
			p.Sections = append(p.Sections, page.Section{ID: fmt.Sprintf("upset-%d-log", i+1), Title: "What people wrote down", Blocks: log})
		}
	}
	shared, err := sectionsOf(r, dataSection, howSection, cautionsSection)
	p.Sections = append(p.Sections, shared...)
	return p, err
}

func upsetPeriod(u *analysis.Upset) string {
	return page.Period(u.Episode.Start, u.Episode.End, u.Input.Loc)
}

// upsetVerdict is what a person must know in ten seconds.
func upsetVerdict(u *analysis.Upset) page.Verdict {
	in, x := &u.Input, &u.Explanation
	v := page.Verdict{Standing: page.Bad, Sentences: []string{upset.Short(in, x), x.Cause.Says + " " + sure(x)}}
	if len(x.Episode.Breaches) == 0 {
		v.Standing, v.Word = page.Good, "Nothing outside what is required"
		for _, m := range x.Moves {
			if m.Effect {
				v.Sentences = append(v.Sentences, "It shows in this: "+m.Words(x.Episode.Start, in.Loc)+".")
				break
			}
		}
		return v
	}
	m := x.Episode.Main()
	v.Sentences = append(v.Sentences, trustSentence(&m))
	v.Word = shortWord(m.What)
	if m.Trust.Doubtful > 0.5 {
		v.Standing, v.Word = page.Watch, "As measured, "+strings.ToLower(v.Word[:1])+v.Word[1:]+"; in doubt"
	}
	v.Figures = upsetFigures(u, m)
	return v
}

func sure(x *upset.Explanation) string {
	return "How sure that is: " + string(x.Cause.Level) + "."
}

func shortWord(w upset.What) string {
	return map[upset.What]string{upset.CTShort: "CT short", upset.ResidualLow: "Residual too low", upset.ContactShort: "Contact time short", upset.ResidualHigh: "Residual above its ceiling",
		upset.FinalHigh: "Chlorine at the outfall", upset.EColiHigh: "E. coli above its limit"}[w]
}

func trustSentence(m *upset.Breach) string {
	if m.Trust.Doubtful > 0.5 {
		return "Do not take it as it stands: " + m.Trust.Says + "."
	}
	return "Instruments: " + m.Trust.Says + "."
}

func upsetFigures(u *analysis.Upset, m upset.Breach) []page.Figure {
	in, x := &u.Input, &u.Explanation
	minutes := 0
	for _, b := range x.Episode.Of(m.What) {
		minutes += b.Minutes
	}
	figs := []page.Figure{{Name: "Time " + map[bool]string{true: "below the requirement", false: "above the limit"}[m.What.Below()],
		Value: finding.Length(time.Duration(minutes) * time.Minute), Standing: page.Bad, Word: "outside"}}
	if m.What == upset.EColiHigh {
		figs = nil
	}
	worst := page.Figure{Name: "Worst " + map[upset.What]string{upset.CTShort: "CT", upset.ResidualLow: "residual", upset.ContactShort: "contact time", upset.ResidualHigh: "residual",
		upset.FinalHigh: "final residual", upset.EColiHigh: "E. coli"}[m.What], Value: upset.Num(m.Worst), Unit: m.Unit,
		Note: fmt.Sprintf("%s %s, at %s", map[bool]string{true: "required", false: "limit"}[m.What.Below()],
			upset.Num(m.WorstLimit), time.UnixMilli(m.WorstAt).In(in.Loc).Format("15:04")), Standing: page.Bad, Word: "outside"}
	figs = append(figs, worst)
	if !math.IsNaN(x.Episode.MG) {
		v, unit := in.In(x.Episode.MG, "MG")
		figs = append(figs, page.Figure{Name: "Water that left in that state", Value: upset.Num(v), Unit: unit})
	}
	if f, ok := x.First(); ok {
		figs = append(figs, page.Figure{Name: map[bool]string{false: "First mover", true: "First to show it"}[f.Effect], Value: sentenceCase(f.Title), Note: time.UnixMilli(f.At).In(in.Loc).Format("Mon 2 Jan 15:04") + ", " + direction(&f)})
	}
	if r := &x.Receiving; r.Measured && !math.IsNaN(r.Pounds) && r.Hours > 0 {
		v, unit := in.In(r.Pounds, "lb")
		figs = append(figs, page.Figure{Name: "Chlorine past the outfall", Value: upset.Num(v), Unit: unit, Note: "in minutes at or above the detection limit"})
	}
	return figs
}

func direction(m *upset.Move) string {
	if math.IsNaN(m.From) || math.IsNaN(m.To) {
		return "moved"
	}
	return strings.TrimSpace(upset.Num(m.From) + " → " + upset.Num(m.To) + " " + m.Unit)
}

// upsetSections tells one upset; several on a page carry their basin's name. Its
// chart has at most so many panels (0: all).
func upsetSections(u *analysis.Upset, n int, many bool, panels int) ([]page.Section, error) {
	in, x := &u.Input, &u.Explanation
	id := fmt.Sprintf("upset-%d", n)
	of := ""
	if many {
		of = " (" + in.Basin.Title + ")"
	}
	what, err := upsetWhat(u, id, of, panels)
	if err != nil {
		return nil, err
	}
	out := []page.Section{what}
	out = append(out, upsetMoves(u, id, of))
	if split, err := upsetSplitSection(u, id, of); err != nil {
		return nil, err
	} else if len(split.Blocks) > 0 {
		out = append(out, split)
	}
	out = append(out, upsetChecked(u, id, of))
	if len(x.Held) > 0 {
		out = append(out, upsetHeld(u, id, of))
	}
	out = append(out, page.Section{ID: id + "-receiving", Title: "What the receiving water got" + of, Blocks: []page.Block{page.Points(upset.ReceivingLines(in, x)...)}})
	out = append(out, page.Section{ID: id + "-unknown", Title: "What is not known" + of,
		Blocks: []page.Block{page.Points(append(capitals(x.Unknown), "What people saw and did, the weather, deliveries and work on the plant: none of it is in the readings.")...)}})
	week, err := upsetWeek(u, id, of, n)
	if err != nil {
		return nil, err
	}
	return append(out, week), nil
}

// upsetWhat is the timeline, and what happened in words.
func upsetWhat(u *analysis.Upset, id, of string, panels int) (page.Section, error) {
	in, x := &u.Input, &u.Explanation
	s := page.Section{ID: id, Title: "What happened" + of}
	s.Blocks = append(s.Blocks, page.Points(upset.Headline(in, x)...))
	pic, err := picture("charts/"+id+"-timeline.png", upsetTimeline(u, x.Window, upsetTitle(u), true, panels), eventCaption)
	if err != nil {
		return s, err
	}
	s.Blocks = append(s.Blocks, page.Chart(pic))
	return s, nil
}

func upsetTitle(u *analysis.Upset) string {
	word := "What the plant did"
	if len(u.Episode.Breaches) > 0 {
		word = shortWord(u.Episode.Main().What)
	}
	return word + ", " + time.UnixMilli(u.Episode.Start).In(u.Input.Loc).Format("Monday 2 January 2006")
}

func upsetMoves(u *analysis.Upset, id, of string) page.Section {
	in, x := &u.Input, &u.Explanation
	s := page.Section{ID: id + "-moves", Title: "What moved first" + of}
	s.Blocks = append(s.Blocks, page.Text(x.Cause.Says+" "+sure(x)))
	if len(x.Moves) == 0 {
		s.Blocks = append(s.Blocks, page.Text("No signal left what is normal for the hour by more than its normal scatter."))
	} else {
		var lines []string
		for _, m := range x.Moves {
			lines = append(lines, upset.MoveLine(in, x, m))
		}
		s.Blocks = append(s.Blocks, page.Heading("In the order in which the water met them"), page.Steps(lines...))
	}
	if len(x.Aside) > 0 {
		var lines []string
		for _, m := range x.Aside {
			lines = append(lines, m.Words(x.Episode.Start, in.Loc)+".")
		}
		s.Blocks = append(s.Blocks, page.Heading("Also moved, but neither cause nor result of this"), page.Points(lines...))
	}
	if len(x.Cause.For) > 0 {
		s.Blocks = append(s.Blocks, page.Heading("What speaks for that cause"), page.Points(capitals(x.Cause.For)...))
	}
	if len(x.Cause.Against) > 0 {
		s.Blocks = append(s.Blocks, page.Heading("What speaks against it"), page.Points(capitals(x.Cause.Against)...))
	}
	s.Blocks = append(s.Blocks, page.Text("Normal means the same hours of "+upset.NormalDays(x)+"."))
	return s
}

func upsetSplitSection(u *analysis.Upset, id, of string) (page.Section, error) {
	s := page.Section{ID: id + "-split", Title: "Where the CT went" + of}
	c := upsetSplit(u)
	if c == nil {
		return s, nil
	}
	pic, err := picture("charts/"+id+"-split.png", c, "")
	if err != nil {
		return s, err
	}
	s.Blocks = append(s.Blocks, page.Chart(pic), page.Points(upset.SplitLines(&u.Input, &u.Explanation)...))
	if w := u.Split.Without; w != "" {
		s.Blocks = append(s.Blocks, page.Text(sentenceCase(w)+"."))
	}
	return s, nil
}

func upsetChecked(u *analysis.Upset, id, of string) page.Section {
	in, x := &u.Input, &u.Explanation
	s := page.Section{ID: id + "-checked", Title: "What was checked" + of}
	if len(x.Ruled) > 0 {
		s.Blocks = append(s.Blocks, page.Table(checkedTable(x)))
	}
	s.Blocks = append(s.Blocks, page.Heading("Were the instruments to be trusted"), page.Points(upset.TrustLines(in, x)...))
	return s
}

func upsetHeld(u *analysis.Upset, id, of string) page.Section {
	in, x := &u.Input, &u.Explanation
	s := page.Section{ID: id + "-held", Title: "What would have held it" + of, Lead: "Arithmetic about a past event for a licensed operator to judge; no instruction."}
	whole := heldTable(u)
	columns := []string{"Hour", "Flow", "CT", "Required", "Residual needed", "Demand", "Dose", "Dose needed"}
	for _, h := range x.Held {
		if h.Assumed || h.AtLeast {
			columns = slices.Insert(columns, 6, "Demand is")
			break
		}
	}
	s.Blocks = append(s.Blocks, page.Points(upset.HeldLines(in, x)...),
		page.Table(heldOnPage(whole, "Residual and dose that would have kept the CT at the requirement", nil, columns...)),
		page.Table(heldOnPage(whole, "The same as feed, and what dechlorination would have had to take out", whole.Notes,
			"Hour", "Fed from", "Chlorine needed", "Fed", "Feed needed", "Setting", "Deliverable", "Dechlorination needed", "as feed")),
		page.Cautions(upset.Cautions...))
	return s
}

func upsetWeek(u *analysis.Upset, id, of string, n int) (page.Section, error) {
	s := page.Section{ID: id + "-week", Title: "The week around it" + of}
	pic, err := picture("charts/"+id+"-week.png", upsetTimeline(u, u.Week, "The week around it", false, 0), "")
	if err != nil {
		return s, err
	}
	s.Blocks = append(s.Blocks, page.Chart(pic), page.Text(fmt.Sprintf("A draft incident narrative to edit and send stands in incident-%d.md beside this report.", n)))
	return s, nil
}

func capitals(lines []string) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		out[i] = sentenceCase(strings.TrimRight(l, ".")) + "."
	}
	return out
}
