package reports

import (
	"fmt"
	"math"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/contact"
	"weirbook/analysis/orp"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/upset"
	"weirbook/reports/chart"
	"weirbook/reports/page"
)

// picture is a chart that is drawn when the page is, and its file's name.
func picture(file string, c chart.Chart, caption string) (page.Picture, error) {
	if t, ok := c.(*chart.Timeline); ok {
		tellApart(t)
	}
	p := page.Picture{File: file, Alt: c.Alt(), Caption: caption, Draw: func() ([]byte, error) { return chart.PNG(c) }}
	if t, ok := c.(*chart.Timeline); ok {
		live, err := t.Live()
		if err != nil {
			return p, fmt.Errorf("%s: %w", file, err)
		}
		p.Live = live
	}
	return p, nil
}

// tellApart puts the tag behind the names of panels that would be alike.
func tellApart(c *chart.Timeline) {
	n := map[string]int{}
	for _, p := range c.Panels {
		n[p.Name]++
	}
	for i, p := range c.Panels {
		if n[p.Name] > 1 && len(p.Series) > 0 {
			c.Panels[i].Name += ", " + p.Series[len(p.Series)-1].Name
		}
	}
}

// cut gives the minutes of [from, to) of a column on the grid, as a series.
func cut(r *analysis.Result, from, to int64) (lo, hi int, t []int64) {
	lo, hi = max(r.Grid.Index(from), 0), min(r.Grid.Index(to), r.Grid.N)
	if hi < lo {
		hi = lo
	}
	return lo, hi, chart.Times(r.Grid.Milli(lo), 60_000, hi-lo)
}

// role says what a panel of the timeline is about.
type role int

const (
	flowPanel role = iota
	dosePanel
	ammoniaPanel
	residualRole
	orpPanel
	ctPanel
	pastPanel // past dechlorination: ORP and final residual there
)

// timeline stacks what one basin's instruments said over [from, to) on one
// clock. want picks the panels; nil: all.
func timeline(r *analysis.Result, b *analysis.Basin, from, to int64, title, message string, spans []chart.Span, want func(role) bool) *chart.Timeline {
	c := &chart.Timeline{Title: title, Message: message, Zone: r.Plant.Zone, Start: from, End: to, Spans: spans, Marks: logMarks(r, from, to)}
	lo, hi, t := cut(r, from, to)
	add := func(what role, ps ...chart.Panel) {
		if want == nil || want(what) {
			c.Panels = append(c.Panels, ps...)
		}
	}
	line := func(name string, of quantity.Kind, col []float64) chart.Series {
		return chart.Series{Name: name, T: t, Y: col[lo:hi], MaxGap: 90_000, Colour: colourOf(of), Key: name}
	}
	flowUnit := quantity.MustUnit("MGD")
	flow := in(b.Flow, flowUnit, r.Plant.Units)
	add(flowPanel, chart.Panel{Name: "Flow through the " + b.Title, Unit: inSystem(flowUnit, r.Plant.Units).Symbol,
		Series: []chart.Series{line(b.FlowTag.Name, quantity.Flow, flow)}, Include: []float64{0}, Marked: doubted(r, from, to, b.FlowTag.Name)})
	for _, f := range r.Feeds {
		if f.Chlorinates() && f.DoseMgL != nil && (f.Basin == b.Name || f.Basin == "") {
			add(dosePanel, chart.Panel{Name: "Chlorine dose", Unit: "mg/L", Series: []chart.Series{line(f.Title, quantity.HypochloriteFeed, f.DoseMgL)}, Include: []float64{0}})
		}
	}
	if tag, ok := analysis.Ammonia(r.Plant, b.Train); ok {
		add(ammoniaPanel, chart.Panel{Name: "Ammonia as N, " + r.Plant.Title(tag.At), Unit: "mg/L", Series: []chart.Series{line(tag.Name, tag.Measures, r.Minutes(tag))}, Include: []float64{0}})
	}
	add(residualRole, residualPanel(r, b, from, to, line))
	near, past := orpPanels(r, b, from, to, line)
	add(orpPanel, near...)
	ct := chart.Panel{Name: "CT of the water leaving", Unit: "mg·min/L", Series: []chart.Series{line("CT", quantity.ChlorineTotal, b.Track.CTMgMinL)}, Include: []float64{0}, Height: 104,
		Marked: doubted(r, from, to, b.ResidualTag.Name, b.FlowTag.Name)}
	if !math.IsNaN(b.Require.CT) {
		ct.Limits = []chart.Limit{{Name: "required", Value: b.Require.CT}}
		ct.Keep = keepNear(b.Track.CTMgMinL[lo:hi], b.Require.CT)
	}
	ct.Series[0].Key = "CT " + b.Name
	add(ctPanel, ct)
	add(pastPanel, past...)
	for _, tag := range r.Plant.Tags {
		q, _ := r.Plant.Point(tag.At)
		if tag.Measures == quantity.ChlorineTotal && !tag.Sampled() && (q.Dechlorinated || q.Outfall) && ofTrain(r, b, tag.At) {
			p := chart.Panel{Name: "Final residual, " + r.Plant.Title(tag.At), Unit: "mg/L", Series: []chart.Series{line(tag.Name, tag.Measures, r.Minutes(tag))}, Include: []float64{0}, Marked: doubted(r, from, to, tag.Name)}
			if l, v, ok := finalLimit(r, tag.Name, from); ok {
				p.Limits = append(p.Limits, chart.Limit{Name: "limit, " + l.Statistic, Value: v})
			}
			add(pastPanel, p)
		}
	}
	return c
}

// colourOf is the colour of what is measured, the same in every chart.
func colourOf(k quantity.Kind) chart.Colour {
	switch k {
	case quantity.ChlorineTotal, upset.CT:
		return chart.ColourTotal
	case quantity.ChlorineFree:
		return chart.ColourFree
	case quantity.HypochloriteFeed, quantity.ChlorineFeed, quantity.BisulfiteFeed, quantity.SulfurDioxideFeed:
		return chart.ColourFeed
	case quantity.ORP:
		return chart.ColourORP
	case quantity.AmmoniaN, quantity.NitriteN:
		return chart.ColourNitrogen
	case quantity.Flow:
		return chart.ColourFlow
	}
	return chart.ColourOther
}

// ofTrain says whether a point belongs to the basin's train, or to all of them.
func ofTrain(r *analysis.Result, b *analysis.Basin, point string) bool {
	t := r.Plant.TrainOf(point)
	return t == "" || t == b.Train
}

// keepNear fixes the CT axis where idle hours would send it out of sight: up to
// ten times what is asked.
func keepNear(ct []float64, required float64) [2]float64 {
	top := 0.0
	for _, v := range ct {
		if v > top {
			top = v
		}
	}
	if required > 0 && top > 10*required {
		return [2]float64{0, 10 * required}
	}
	return [2]float64{}
}

// mostGrabs is how many grabs of a tag a timeline shows; more would hide the
// lines. Charts of events and of ORP against residual show them all.
const mostGrabs = 40

func residualPanel(r *analysis.Result, b *analysis.Basin, from, to int64, line func(string, quantity.Kind, []float64) chart.Series) chart.Panel {
	p := chart.Panel{Name: "Residual, " + r.Plant.Title(b.Outlet), Unit: "mg/L", Include: []float64{0}, Height: 110}
	var names []string
	for _, k := range []quantity.Kind{quantity.ChlorineTotal, quantity.ChlorineFree} {
		word := "total"
		if k == quantity.ChlorineFree {
			word = "free"
		}
		for _, t := range r.Plant.TagsAt(k, b.Outlet) {
			if t.Sampled() {
				g := chart.Points{Name: word + " grab " + t.Name}
				s := r.Series[t.Name]
				lo, hi := s.Between(from, to)
				for i := lo; i < hi; i++ {
					if s.Usable(i) {
						g.T, g.Y = append(g.T, s.T[i]), append(g.Y, s.V[i])
					}
				}
				if len(g.T) > 0 && len(g.T) <= mostGrabs {
					p.Points = append(p.Points, g)
				}
				continue
			}
			series := line(word+" "+t.Name, k, r.Minutes(t))
			series.Key = t.Name
			p.Series = append(p.Series, series)
			names = append(names, t.Name)
		}
	}
	if !math.IsNaN(b.Require.ResidualMin) {
		p.Limits = append(p.Limits, chart.Limit{Name: "required", Value: b.Require.ResidualMin})
	}
	p.Marked = doubted(r, from, to, names...)
	return p
}

// orpPanels draws each probe of the basin's judgement with what it should read:
// those in the basin, and those past dechlorination.
func orpPanels(r *analysis.Result, b *analysis.Basin, from, to int64, line func(string, quantity.Kind, []float64) chart.Series) (near, past []chart.Panel) {
	lo, hi, t := cut(r, from, to)
	for _, j := range r.Judgements {
		if j.Basin != b.Name {
			continue
		}
		for _, m := range j.Models {
			tag, ok := r.Plant.Tag(m.Tag)
			if !ok {
				continue
			}
			p := chart.Panel{Name: "ORP, " + r.Plant.Title(tag.At), Unit: "mV", Height: 110,
				Series: []chart.Series{line(tag.Name, tag.Measures, r.Minutes(tag))}, Marked: doubted(r, from, to, tag.Name)}
			if m.Place == orp.Final {
				past = append(past, p)
				continue
			}
			if len(m.Lo) == r.Grid.N {
				p.Bands = []chart.Band{{Name: "normal for the residual", T: t, Lo: m.Lo[lo:hi], Hi: m.Hi[lo:hi], MaxGap: 90_000}}
			}
			near = append(near, p)
		}
	}
	return near, past
}

// doubted lists when the tags were judged not to be believed.
func doubted(r *analysis.Result, from, to int64, tags ...string) []chart.Span {
	var out []chart.Span
	for _, j := range r.Judgements {
		for _, d := range j.Doubts {
			for _, t := range tags {
				if d.Tag == t && d.End > from && d.Start < to {
					out = append(out, chart.Span{From: max(d.Start, from), To: min(d.End, to), Name: t + " in doubt"})
				}
			}
		}
	}
	return out
}

// in converts a whole column to the reader's unit.
func in(col []float64, u quantity.Unit, s plant.System) []float64 {
	to := inSystem(u, s)
	if to == u {
		return col
	}
	out := make([]float64, len(col))
	for i, v := range col {
		out[i], _ = quantity.Convert(v, u, to) // of one dimension by quantity.InMetric
	}
	return out
}

// glance is the day and hour grid of a basin.
func glance(r *analysis.Result, b *analysis.Basin) *chart.DayHour {
	c := &chart.DayHour{Title: "The " + b.Title + ", hour by hour" + hoursMet(b), Zone: r.Plant.Zone,
		Meaning: map[chart.State]string{chart.Near: "too near to tell, or an instrument in doubt", chart.Short: "short"}}
	for i, h := range b.Hours {
		c.Hours = append(c.Hours, chart.HourState{Start: r.Hours[i].Start, State: hourState(h)})
	}
	return c
}

// hoursMet is the message of the hour squares.
func hoursMet(b *analysis.Basin) string {
	s := b.Summary()
	switch short := s.Short + s.ShortWithin; {
	case s.Determined == 0:
		return ": no hour could be determined"
	case short == 0:
		return fmt.Sprintf(": everything required was met in all %s hours determined", count(s.Determined))
	default:
		return fmt.Sprintf(": short in %s of %s hours determined", count(short), count(s.Determined))
	}
}

func hourState(h analysis.BasinHour) chart.State {
	if !h.Asked {
		return chart.NotRequired
	}
	switch h.Verdict {
	case contact.Met:
		if h.Doubt {
			return chart.Near
		}
		return chart.Met
	case contact.MetWithin, contact.ShortWithin:
		return chart.Near
	case contact.Short:
		return chart.Short
	}
	return chart.NotDetermined
}

// dailyCT is the lowest and mean CT of each day.
func dailyCT(r *analysis.Result, b *analysis.Basin) *chart.DailyRange {
	below := 0
	c := &chart.DailyRange{Title: "CT of the " + b.Title + ", day by day", Name: "CT", Unit: "mg·min/L"}
	for _, d := range r.Days {
		day := chart.DayRange{Day: time.UnixMilli(d.Start).In(r.Plant.Zone), Low: math.NaN(), Mean: math.NaN(), Required: math.NaN(), State: chart.NotDetermined}
		var sum float64
		n, known := 0, 0
		worst := chart.NotRequired
		for i, h := range b.Hours {
			if r.Hours[i].Start < d.Start || r.Hours[i].Start >= d.End {
				continue
			}
			n++
			if !math.IsNaN(h.Required) {
				day.Required = h.Required
			}
			if math.IsNaN(h.CT.Value) {
				continue
			}
			known++
			sum += b.Dynamic[i].CTMgMinL.Mean
			if !(day.Low <= h.CT.Value) {
				day.Low = h.CT.Value
			}
			worst = worse(worst, hourState(h))
		}
		if known > 0 && float64(known) >= r.Plant.DayCoverage*float64(n) {
			day.Mean, day.State = sum/float64(known), worst
		} else if worst == chart.Short {
			day.State = worst // one short hour is short, however little else is known
		}
		c.Days = append(c.Days, day)
		if day.Low < day.Required {
			below++
		}
	}
	if below > 0 {
		c.Title += fmt.Sprintf(": below what is required on %s of %s", count(below), plural(len(c.Days), "day"))
	}
	return c
}

func worse(a, b chart.State) chart.State {
	order := map[chart.State]int{chart.NotRequired: 0, chart.Met: 1, chart.NotDetermined: 2, chart.Near: 3, chart.Short: 4}
	if order[b] > order[a] {
		return b
	}
	return a
}

// coverage shows how much of each day each signal covers.
func coverage(r *analysis.Result) *chart.Coverage {
	c := &chart.Coverage{Title: "How much of each day the readings cover" + covered(r), First: time.UnixMilli(r.Days[0].Start).In(r.Plant.Zone)}
	for _, tc := range r.Coverage {
		c.Rows = append(c.Rows, chart.CoverageRow{Name: tc.Tag.Name, Share: tc.Share})
	}
	return c
}

// covered is the message of the chart of coverage: the tag that is covered least.
func covered(r *analysis.Result) string {
	worst, least := "", 2.0
	for _, tc := range r.Coverage {
		sum := 0.0
		for _, v := range tc.Share {
			sum += v
		}
		if n := float64(len(tc.Share)); n > 0 && sum/n < least {
			worst, least = tc.Tag.Name, sum/n
		}
	}
	if worst == "" {
		return ""
	}
	return fmt.Sprintf(": least for %s, %.1f %%", worst, 100*least)
}
