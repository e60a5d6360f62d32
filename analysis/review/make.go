package review

import (
	"fmt"
	"math"

	"weirbook/analysis/quantity"
	"weirbook/analysis/review/stat"
)

// Asked is what a review is asked for.
type Asked struct {
	From, To               int64 // Unix ms
	CompareFrom, CompareTo int64 // 0, 0: no comparison
	By                     Grouping
}

// Review is everything that the review found, as plain data.
type Review struct {
	Asked    Asked
	Settings Settings
	Main     Period
	Other    *Period // what it is held against

	Hours, Determined int // of all basins
	Reliability       []Reliability
	Limits            []LimitMonths
	Percentiles       []Percentiles
	Plots             []Plot
	Technology        []Technology

	WhatIf     []WhatIf
	Potentials []Potential

	Capacity []PlantCapacity
	Peaks    []PeakSet
	Feeds    []FeedRange

	Day, Week []Pattern
	Drivers   []Driver
	Overfeeds []Overfeed
	Dechlors  []Dechlor
	Use       []MonthUse
	Curves    []Curve
	Zones     []Zone

	Trends      []Trend
	Comparisons []Comparison

	Instruments []Instrument
	Meters      []MeterPair
	Sampling    []Sampling

	Parameters []Parameter // hour by hour, for the workbook
	Summary    Summary
	Limited    []string // what the record does not bear, plainly
	Figures    []Figure // every figure, for review.csv
}

// PeakSet is the flows of one point beside the average.
type PeakSet struct {
	Point string
	Peaks []Peak
}

// Technology is one parameter's daily means at the levels of technology
// performance: best fortnight, median, reliable.
type Technology struct {
	Parameter, Point, Unit string
	N                      int
	Best, Median, Reliable float64 // percentiles 3.84, 50 and 95 of daily means
	BestRunning            float64 // lowest mean of 14 days running
	Years                  float64
}

type maker struct {
	rec    *Record
	set    Settings
	asked  Asked
	params []Parameter
}

// Make makes the review of a record.
func Make(rec *Record, asked Asked) (*Review, error) {
	m := &maker{rec: rec, set: DefaultSettings(), asked: asked}
	if asked.By == "" {
		m.asked.By = BySeason
	}
	p := rec.Between("whole", asked.From, asked.To)
	if p.Len() < m.set.LeastHours {
		return nil, fmt.Errorf("the period holds %d hours; a review needs %d, and means little below a month", p.Len(), m.set.LeastHours)
	}
	m.params = m.parameters()
	r := &Review{Asked: m.asked, Settings: m.set, Main: p, Parameters: m.params}
	for i := range rec.Basins {
		m.settleCauses(&rec.Basins[i])
		r.Reliability = append(r.Reliability, m.reliabilities(&rec.Basins[i], p)...)
	}
	r.Limits = m.limits(p)
	r.Percentiles, r.Plots, r.Technology = m.percentiles(p), m.plots(p), m.technology(p)
	r.WhatIf, r.Potentials = m.whatIf(p), m.potentials(p)
	r.Capacity, r.Feeds = m.capacities(p), m.feedRanges(p)
	for _, x := range m.params {
		if x.Name == "flow" {
			r.Peaks = append(r.Peaks, PeakSet{x.Point, m.peaks(x, p)})
		}
	}
	r.Day, r.Week = m.patterns(p, ByHour), m.patterns(p, ByWeekday)
	r.Zones = m.zones(p)
	r.Drivers, r.Overfeeds, r.Dechlors, r.Use, r.Curves = m.drivers(p), m.overfeeds(p), m.dechlors(p), m.monthUse(p), m.curves(p)
	r.Trends = m.trends(p)
	if asked.CompareTo > asked.CompareFrom {
		o := rec.Between("compared", asked.CompareFrom, asked.CompareTo)
		if o.Len() < m.set.LeastHours {
			return nil, fmt.Errorf("--compare: that period holds %d hours of the record; %d are needed", o.Len(), m.set.LeastHours)
		}
		r.Other = &o
		r.Comparisons = m.compare(o, p)
	}
	r.Instruments, r.Meters, r.Sampling = m.instruments(p), m.meters(p), m.sampling(p)
	r.Limited = m.limited(r)
	m.figures(r)
	r.Summary = m.summary(r)
	return r, nil
}

// technology gives the levels for what is discharged and the residual.
func (m *maker) technology(p Period) []Technology {
	var out []Technology
	for _, x := range m.params {
		if x.Name != "chlorine discharged" && x.Name != "dose" {
			continue
		}
		_, mean := m.rec.Days(x.Values, p, m.set.DayShare)
		s := stat.Sorted(mean)
		if len(s) < 26 {
			continue
		}
		best, _ := stat.Extreme(stat.Running(mean, 14, 14), true)
		q := func(l float64) float64 { return stat.Quantile(s, l, stat.Definition(m.set.Percentile)) }
		out = append(out, Technology{x.Name, x.Point, x.Unit, len(s), q(stat.BestFortnight), q(0.5), q(0.95), best, float64(len(s)) / 365.25})
	}
	return out
}

// limited says what the record does not bear.
func (m *maker) limited(r *Review) []string {
	var out []string
	say := func(f string, a ...any) { out = append(out, fmt.Sprintf(f, a...)) }
	days := float64(r.Main.Len()) / 24
	switch {
	case days < 28:
		say("The record holds %.0f days. Less than a month says how those days went and nothing of seasons, wet weather or rare days; no percentile beyond what they reach is given.", days)
	case days < 330:
		say("The record holds %.0f days, less than a year: not every season is in it, and peaking factors are over these days only.", days)
	case days < 3*360:
		say("The record holds %.1f years. Guidance on technology performance and design asks for three years or more; the rarest figures are weak.", days/365.25)
	}
	if len(m.rec.Basins) == 0 {
		say("No contact basin is described in plant.toml: contact time, CT and capacity are not reckoned.")
	}
	for i := range m.rec.Basins {
		m.limitedBasin(&m.rec.Basins[i], r.Main, say)
	}
	if len(m.rec.Plant.Limits) == 0 {
		say("plant.toml states no limit of the permit, so none is held against its months.")
	}
	for _, x := range m.params {
		lo, n := m.longestGap(x.Values, r.Main)
		if n >= 60*24 {
			say("%s has no value for %d days from %s; figures of a season or a year leave that time out, and what happened in it is not known.", x.title(), n/24, m.rec.At(lo).Format("2 January 2006"))
		}
	}
	for _, p := range r.Percentiles {
		if p.What == "results" && p.NonDetects == p.N && p.N > 0 {
			say("All %d results of %s, %s, are below detection: only the share below the limit of detection is known, no percentile and no variability.", p.N, p.Parameter, p.Point)
		}
	}
	for _, t := range m.rec.Plant.Tags {
		info, _ := quantity.Of(t.Measures)
		if t.Sampled() && m.limitedTag(t.At) && !m.hasLimit(t.Measures, t.At) && len(m.results(t.Name, r.Main)) > 0 {
			say("No limit is stated for %s, %s: its results are described, and held against nothing.", info.Title, m.rec.Plant.Title(t.At))
		}
	}
	for _, q := range m.rec.Changed {
		say("To be answered before this is used: %s", q)
	}
	for _, s := range m.spans(r.Main) {
		say("%s", s)
	}
	return out
}

func (m *maker) limitedTag(at string) bool {
	q, _ := m.rec.Plant.Point(at)
	return q.Outfall
}

func (m *maker) hasLimit(k quantity.Kind, at string) bool {
	for _, l := range m.rec.Plant.Limits {
		if l.Parameter == k && l.At == at {
			return true
		}
	}
	return false
}

func (m *maker) limitedBasin(b *Basin, p Period, say func(string, ...any)) {
	n, asked := 0, 0
	for i := p.Lo; i < p.Hi; i++ {
		if b.Verdict[i] != "" {
			asked++
		}
		if determined(b.Verdict[i]) {
			n++
		}
	}
	switch {
	case asked == 0:
		say("plant.toml requires nothing of the %s, so no hour of it is judged.", b.Title)
	case n == 0:
		say("No hour of the %s could be determined.", b.Title)
	case float64(n) < 0.9*float64(asked):
		say("Of the %s, %.0f %% of the hours could not be determined; the figures stand for the others.", b.Title, 100*(1-float64(n)/float64(asked)))
	}
}

// longestGap finds the longest run of hours without a value.
func (m *maker) longestGap(v []float64, p Period) (at, n int) {
	run := 0
	for i := p.Lo; i < p.Hi; i++ {
		if !math.IsNaN(v[i]) {
			run = 0
			continue
		}
		if run++; run > n {
			n, at = run, i-run+1
		}
	}
	return at, n
}

// unitJump is the change of a month's usual level from which a change of unit or span
// is asked about: mix-ups are of 10 and more, and a plant's own levels seldom move so.
const unitJump = 8

// spans asks about a signal whose highest readings stop at one value in a part of
// the record and go beyond it in another: an instrument's span may have changed.
func (m *maker) spans(p Period) []string {
	var out []string
	for _, x := range m.params {
		if x.basin != nil && x.Name != "residual, lowest of the hour" && x.Name != "flow" || x.Name == "dose" || x.Name == "chlorine demand" {
			continue
		}
		type month struct {
			at         int
			top, usual float64
			flat       int
		}
		var ms []month
		for h := p.Lo; h < p.Hi; {
			mo, from := m.rec.At(h).Month(), h
			for h < p.Hi && m.rec.At(h).Month() == mo {
				h++
			}
			s := stat.Sorted(x.Values[from:h])
			if len(s) < 300 {
				continue
			}
			k := month{at: from, top: s[len(s)-1], usual: stat.Median(s)}
			for _, v := range s {
				if v >= k.top*(1-1e-4) {
					k.flat++
				}
			}
			ms = append(ms, k)
		}
		for i := 1; i < len(ms); i++ {
			a, b := ms[i-1], ms[i]
			if a.usual > 0 && b.usual > 0 && (b.usual > unitJump*a.usual || a.usual > unitJump*b.usual) && x.Unit != "" && x.Name != "chlorine discharged" { // which lies about nothing
				out = append(out, fmt.Sprintf("%s: its usual level went from %.3g to %.3g %s at %s. Did its unit or span change there, or the plant? The figures take it as it stands.", x.title(), a.usual, b.usual, x.Unit, m.rec.At(b.at).Format("January 2006")))
				break
			}
			if a.flat >= 12 && b.top > 1.15*a.top && b.flat < 12 { // a top shared by hours is an end of scale
				out = append(out, fmt.Sprintf("%s: it stood at %.3g %s, its highest, for %d hours of %s and went beyond it in the next month. Was the instrument's span changed? Until then its highest values are \"at least\".", x.title(), a.top, x.Unit, a.flat, m.rec.At(a.at).Format("January 2006")))
				break
			}
		}
	}
	return out
}
