package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/align"
	"weirbook/analysis/finding"
	"weirbook/analysis/quantity"
	"weirbook/analysis/upset"
	"weirbook/reports/chart"
)

// maxMarks is how many moves are marked in an upset's timeline; all stand in the
// list under it.
const maxMarks = 5

// upsetTimeline stacks what moved, and what it moved, on one clock: the episode
// shaded, the first mover marked, readings in doubt hatched, the normal of the
// hour pale behind. It has at most so many panels (0: all).
func upsetTimeline(u *analysis.Upset, w align.Window, title string, normals bool, panels int) *chart.Timeline {
	in, e := &u.Input, &u.Episode
	c := &chart.Timeline{Title: title, Zone: in.Loc, Start: w.Start, End: w.End, Message: upsetMessage(u),
		Spans: []chart.Span{{From: max(e.Start, w.Start), To: min(e.End, w.End), Name: "event"}}}
	if len(e.Breaches) == 0 {
		c.Spans[0].Name = "times given"
	}
	marked, shown := 0, false
	for _, m := range u.Moves {
		if m.At < w.Start || m.At >= w.End || !(m.First || m.Answers || normals) || marked >= maxMarks || m.Effect && shown {
			continue
		}
		shown = shown || m.Effect // one of those that show it is enough
		name := m.Title
		switch {
		case m.First && m.Effect:
			name = "first to show it: " + name
		case m.First:
			name = "first mover: " + name
		case m.Answers:
			name += " answers"
		}
		c.Marks = append(c.Marks, chart.Mark{At: m.At, Name: name, First: m.First})
		marked++
	}
	c.Marks = append(c.Marks, notedMarks(in, w.Start, w.End)...)
	d := drawing{u: u, w: w, normals: normals}
	lead := d.lead()
	if lead != nil {
		c.Panels = append(c.Panels, *lead)
	}
	ct, hasCT := d.ct()
	hasCT = hasCT && (lead == nil || ct.Name != lead.Name)
	groups := d.groups()
	if panels > 0 {
		groups = d.weightiest(groups, panels-len(c.Panels)-map[bool]int{true: 1}[hasCT], lead)
	}
	for _, group := range groups {
		if p := d.panel(group); lead == nil || p.Name != lead.Name {
			c.Panels = append(c.Panels, p)
		}
	}
	if hasCT {
		c.Panels = append(c.Panels, ct)
	}
	if normals {
		c.Note = "Times are those at each instrument. Pale: the normal value of the hour, from " + upset.NormalDays(&u.Explanation) + "."
	}
	return c
}

// upsetMessage is what the timeline says, in words.
func upsetMessage(u *analysis.Upset) string {
	return upset.Short(&u.Input, &u.Explanation) + " " + u.Cause.Says
}

type drawing struct {
	u       *analysis.Upset
	w       align.Window
	normals bool
}

// lead is the panel of what was outside its limit: it leads the others. Nil where
// nothing was, or only a laboratory's sample.
func (d *drawing) lead() *chart.Panel {
	e := &d.u.Episode
	if len(e.Breaches) == 0 {
		return nil
	}
	what := e.Main().What
	if what == upset.CTShort {
		if p, ok := d.ct(); ok {
			return &p
		}
	}
	place := upset.AtOutlet
	if what == upset.FinalHigh {
		place = upset.AtOutfall
	}
	for _, group := range d.groups() {
		c := &d.u.Input.Columns[group[0]]
		chlorine := c.Kind == quantity.ChlorineTotal || c.Kind == quantity.ChlorineFree
		if (what == upset.FinalHigh || what == upset.ResidualLow || what == upset.ResidualHigh) && chlorine && c.Place == place {
			p := d.panel(group)
			return &p
		}
	}
	for k := range d.u.Input.Judged {
		if j := &d.u.Input.Judged[k]; j.What == what && len(j.Limit) == 1 {
			t, y := d.minutes(j.V)
			return &chart.Panel{Name: sentenceCase(j.Title), Unit: j.Unit, Include: []float64{0}, Height: 104,
				Limits: []chart.Limit{{Name: limitName(what), Value: j.Limit[0]}},
				Series: []chart.Series{{Name: j.Title, T: t, Y: y, MaxGap: 90_000, Colour: chart.ColourTotal, Key: string(what) + " " + d.u.Basin}}}
		}
	}
	return nil
}

// groups gives the columns to be drawn, those that share a panel together: all
// that moved, and those without which an upset cannot be read.
func (d *drawing) groups() [][]int {
	in := &d.u.Input
	moved := map[int]bool{}
	for _, m := range append(append([]upset.Move(nil), d.u.Moves...), d.u.Aside...) {
		moved[m.Column] = true
	}
	core := func(c *upset.Column) bool {
		switch c.Kind {
		case quantity.ChlorineTotal, quantity.ChlorineFree, quantity.HypochloriteFeed, quantity.ChlorineFeed, quantity.ORP:
			return c.Place != upset.AtOutfall || c.Kind == quantity.ChlorineTotal && len(d.u.Episode.Of(upset.FinalHigh)) > 0
		case quantity.Flow:
			return true
		}
		return false
	}
	type key struct {
		kind  quantity.Kind
		place upset.Place
	}
	at := map[key]int{}
	var out [][]int
	for k := range in.Columns {
		c := &in.Columns[k]
		if c.V == nil || !moved[k] && !core(c) || c.Kind == upset.CT {
			continue
		}
		g := key{c.Kind, c.Place}
		switch c.Kind {
		case quantity.ChlorineFree:
			g.kind = quantity.ChlorineTotal // one panel for the residuals of a place
		case quantity.ORP:
			if c.Place == upset.InBasin {
				g.place = upset.AtOutlet // and one for the basin's probes
			}
		}
		if n, ok := at[g]; ok {
			out[n] = append(out[n], k)
			continue
		}
		at[g] = len(out)
		out = append(out, []int{k})
	}
	return out
}

// weightiest keeps at most n of the groups, in their order: the lead's own, which is
// drawn once, beside those that the first mover, what answers and what else moved
// are in; then those without which an upset cannot be read.
func (d *drawing) weightiest(groups [][]int, n int, lead *chart.Panel) [][]int {
	weight := map[int]int{}
	for _, m := range d.u.Aside {
		weight[m.Column] = 1
	}
	for _, m := range d.u.Moves {
		weight[m.Column] = 2
		if m.First || m.Answers {
			weight[m.Column] = 3
		}
	}
	of := map[int]int{} // by a group's first column
	for _, g := range groups {
		w := 0
		for _, k := range g {
			w = max(w, weight[k])
			if c := &d.u.Input.Columns[k]; c.Place != upset.AtOutfall && c.Kind != quantity.Flow {
				w = max(w, 1) // what the basin did, moved or not
			}
		}
		switch p := d.panel(g); {
		case lead != nil && p.Name == lead.Name:
			w, n = 4, n+1
		case len(p.Marked) > 0: // an instrument in doubt
			w = 3
		}
		of[g[0]] = w
	}
	order := slices.Clone(groups)
	slices.SortStableFunc(order, func(a, b []int) int { return of[b[0]] - of[a[0]] })
	kept := map[int]bool{}
	for _, g := range order[:max(0, min(n, len(order)))] {
		kept[g[0]] = true
	}
	return slices.DeleteFunc(slices.Clone(groups), func(g []int) bool { return !kept[g[0]] })
}

// minutes gives the window's minutes of a column.
func (d *drawing) minutes(v []float64) (t []int64, y []float64) {
	g := d.u.Input.Grid
	lo, hi := max(g.Index(d.w.Start), 0), min(g.Index(d.w.End), g.N)
	return chart.Times(g.Milli(lo), 60_000, hi-lo), v[lo:hi]
}

func (d *drawing) panel(group []int) chart.Panel {
	in := &d.u.Input
	first := &in.Columns[group[0]]
	p := chart.Panel{Name: sentenceCase(first.Title), Unit: first.Unit, Height: 84}
	if len(group) > 1 {
		p.Name = sharedName(in, group)
		p.Height = 104
	}
	for _, k := range group {
		c := &in.Columns[k]
		t, y := d.minutes(c.V)
		p.Series = append(p.Series, chart.Series{Name: c.Tag, T: t, Y: y, MaxGap: 90_000, Colour: colourOf(c.Kind), Key: c.Tag})
		if d.normals && len(group) == 1 {
			if s, ok := d.normal(k); ok {
				s.Colour = colourOf(c.Kind)
				p.Series = append([]chart.Series{s}, p.Series...)
			}
		}
		for _, x := range d.u.Doubts {
			if (x.Tag == c.Tag || slices.Contains(c.RestsOn, x.Tag)) && x.Party != finding.Process && x.End > d.w.Start && x.Start < d.w.End {
				p.Marked = append(p.Marked, chart.Span{From: max(x.Start, d.w.Start), To: min(x.End, d.w.End), Name: x.Tag + " in doubt"})
			}
		}
	}
	switch first.Kind {
	case quantity.ORP, quantity.PH, quantity.Temp:
	default:
		p.Include = []float64{0}
	}
	for k := range in.Judged {
		j := &in.Judged[k]
		what := first.Place == upset.AtOutfall && j.What == upset.FinalHigh ||
			first.Place == upset.AtOutlet && (j.What == upset.ResidualLow || j.What == upset.ResidualHigh)
		if chlorine := first.Kind == quantity.ChlorineTotal || first.Kind == quantity.ChlorineFree; what && chlorine && len(j.Limit) == 1 {
			p.Limits = append(p.Limits, chart.Limit{Name: limitName(j.What), Value: j.Limit[0]})
		}
	}
	return p
}

func limitName(w upset.What) string {
	switch w {
	case upset.ResidualLow:
		return "required"
	case upset.CTShort, upset.ContactShort:
		return "required"
	}
	return "limit"
}

// sharedName names a panel of several columns by what they have in common.
func sharedName(in *upset.Input, group []int) string {
	var places []string
	kind := in.Columns[group[0]].Kind
	name := "Residual"
	switch kind {
	case quantity.ORP:
		return "ORP in the basin"
	case quantity.Flow:
		return "Flow"
	case quantity.ChlorineTotal, quantity.ChlorineFree:
	default:
		name = sentenceCase(in.Columns[group[0]].Title)
	}
	if _, place, ok := strings.Cut(in.Columns[group[0]].Title, ", "); ok {
		places = append(places, place)
	}
	return strings.Join(append([]string{name}, places...), ", ")
}

// normal is the normal value of the hour, from the track of a column.
func (d *drawing) normal(k int) (chart.Series, bool) {
	x := &d.u.Explanation
	for i := range x.Tracks {
		tr := &x.Tracks[i]
		if tr.Column != k {
			continue
		}
		step := int64(x.BinMin) * 60_000
		s := chart.Series{Name: "normal", Faint: true, MaxGap: step + 1}
		known := false
		for n, v := range tr.Normal {
			if at := x.BinStart + int64(n)*step; at >= d.w.Start && at < d.w.End {
				s.T, s.Y = append(s.T, at), append(s.Y, v)
				known = known || !math.IsNaN(v)
			}
		}
		return s, known
	}
	return chart.Series{}, false
}

// ct is the CT of the water leaving, beside what is required.
func (d *drawing) ct() (chart.Panel, bool) {
	b := &d.u.Input.Basin
	if b.CT == nil {
		return chart.Panel{}, false
	}
	t, y := d.minutes(b.CT)
	p := chart.Panel{Name: "CT of the water leaving the " + b.Title, Unit: "mg·min/L", Include: []float64{0}, Height: 104,
		Series: []chart.Series{{Name: "CT", T: t, Y: y, MaxGap: 90_000, Colour: chart.ColourTotal, Key: "CT " + d.u.Basin}}}
	switch len(b.Required) {
	case 0:
	case 1:
		p.Limits = []chart.Limit{{Name: "required", Value: b.Required[0]}}
		p.Keep = keepNear(y, b.Required[0])
	default:
		lt, ly := d.minutes(b.Required)
		l := chart.Limit{Name: "required"}
		for i := range ly {
			if !math.IsNaN(ly[i]) && (len(l.Y) == 0 || ly[i] != l.Y[len(l.Y)-1]) {
				l.T, l.Y = append(l.T, lt[i]), append(l.Y, ly[i])
			}
		}
		if len(l.T) > 0 {
			p.Limits = []chart.Limit{l}
		}
	}
	return p, true
}

// upsetSplit is the waterfall of where the CT went.
func upsetSplit(u *analysis.Upset) *chart.Waterfall {
	x := &u.Split
	if len(x.Parts) == 0 || math.IsNaN(x.CT) {
		return nil
	}
	moving := u.Input.Basin.RequiredAt != nil
	c := &chart.Waterfall{Title: "Where the CT went, " + u.Input.Basin.Title, Name: "CT", Unit: "mg·min/L",
		From: chart.Part{Name: "Normal for these hours", Value: x.NormalCT}, To: chart.Part{Name: "While it was short", Value: x.CT}}
	if moving {
		c.Name = "CT less what is required"
		c.From.Value, c.To.Value = x.NormalMargin(), x.Margin()
	} else if !math.IsNaN(x.Need) {
		c.Limits = []chart.Limit{{Name: "required", Value: x.Need}}
	}
	// A feed that follows the flow makes two large bars that cancel; told as one
	// dose they say more. The lines under the chart keep them apart.
	var dose float64
	largest, merge := 0.0, false
	for _, p := range x.Parts {
		if ofDose(p.Cause) {
			dose += p.CT
			largest = math.Max(largest, math.Abs(p.CT))
		}
	}
	merge = !math.IsNaN(x.Dose) && math.Abs(dose) < largest/2
	done := false
	for _, p := range x.Parts {
		switch {
		case !merge || !ofDose(p.Cause):
			c.Parts = append(c.Parts, chart.Part{Name: sentenceCase(string(p.Cause)), Value: p.CT, Note: change(&u.Input, p.Normal, p.Now, p.Unit)})
		case !done:
			done = true
			c.Parts = append(c.Parts, chart.Part{Name: "Chlorine dose: feed and dilution", Value: dose, Note: change(&u.Input, x.NormalDose, x.Dose, "mg/L")})
		}
	}
	return c
}

func ofDose(c upset.Cause) bool {
	return c == upset.ByFeed || c == upset.ByStrength || c == upset.ByDilution
}

// change writes "4.1 → 7.9 MGD".
func change(in *upset.Input, from, to float64, unit string) string {
	a, sym := in.In(from, unit)
	b, _ := in.In(to, unit)
	return strings.TrimSpace(fmt.Sprintf("%s → %s %s", upset.Num(a), upset.Num(b), sym))
}

func sentenceCase(s string) string {
	if s == "" || strings.HasPrefix(s, "pH") {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
