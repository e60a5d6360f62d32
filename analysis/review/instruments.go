package review

import (
	"fmt"
	"math"
	"sort"
	"time"

	"weirbook/analysis/contact"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/review/stat"
)

func timeIn(ms int64, zone *time.Location) time.Time { return time.UnixMilli(ms).In(zone) }

// Instrument is how far one instrument on line could be believed.
type Instrument struct {
	Tag, What, Point        string
	Hours                   int // of the period
	Believed, InDoubt, Gone int // hours
	Failures                []Failure
	Between                 stat.MeanTime // over the hours believed
	Services                int
	CostHours               int // hours that were not determined, or rest on it while in doubt
	Drift                   *Drift
	Agreement               *stat.Agreement // with grabs
	AgreePairs, AgreeDoubt  int
	AgreeUnit               string
	AgreeWhy                string
}

// Failure is one time an instrument was in doubt, or silent.
type Failure struct {
	Start, End int64
	Kind       string
}

// Drift is how long an instrument stays good after a service.
type Drift struct {
	Services, Failed int
	Median           float64 // days by which half have left their band; NaN
	Tenth            float64 // days by which one in ten has
	Kept             []Kept
	Why              string
}

// Kept is the share still good after some days.
type Kept struct{ Days, Good float64 }

// gradual are kinds of doubt that come on with use, between services.
var gradual = map[string]bool{"probe-fouling": true, "orp-offset": true, "orp-drift": true, "orp-response-lost": true, "residual-offset": true, "residual-drift": true}

func (m *maker) instruments(p Period) []Instrument {
	var out []Instrument
	from, to := m.rec.Start(p), m.rec.End(p)
	for _, t := range m.rec.Plant.Tags {
		if t.Sampled() || t.Measures == quantity.Other {
			continue
		}
		col := m.columnOf(t)
		if col == nil {
			continue
		}
		info, _ := quantity.Of(t.Measures)
		x := Instrument{Tag: t.Name, What: info.Title, Point: m.rec.Plant.Title(t.At), Hours: p.Len()}
		doubt := m.doubtHours(t.Name)
		var fs []Failure
		outage := -1
		for i := p.Lo; i <= p.Hi; i++ {
			gone := i < p.Hi && math.IsNaN(col.Values[i])
			switch {
			case i == p.Hi:
			case gone:
				x.Gone++
			case doubt[i]:
				x.InDoubt++
			default:
				x.Believed++
			}
			if gone && outage < 0 {
				outage = i
			}
			if !gone && outage >= 0 {
				if i-outage >= 2 {
					fs = append(fs, Failure{m.rec.Hours[outage].Start, m.rec.Hours[i-1].End, "no reading"})
				}
				outage = -1
			}
		}
		for _, d := range m.rec.Doubts {
			if d.Tag == t.Name && d.End > from && d.Start < to {
				fs = append(fs, Failure{max(d.Start, from), min(d.End, to), d.Kind})
			}
		}
		x.Failures = merge(fs, int64(m.set.FailureGapHours)*3_600_000)
		x.Between = stat.BetweenFailures(float64(x.Believed), len(x.Failures), m.set.Confidence)
		x.Services, x.Drift = m.drift(t, x.Failures, from, to)
		x.CostHours = m.costOf(t.Name, col, p)
		m.agree(&x, t, p)
		out = append(out, x)
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].CostHours != out[j].CostHours {
			return out[i].CostHours > out[j].CostHours
		}
		return out[i].InDoubt+out[i].Gone > out[j].InDoubt+out[j].Gone
	})
	return out
}

func (m *maker) columnOf(t plant.Tag) *Column {
	first, ok := m.rec.Plant.Signal(t.Measures, t.At)
	if ok && first.Name == t.Name {
		return m.rec.Columns[t.At+"."+string(t.Measures)]
	}
	for name, c := range m.rec.Columns {
		if name == t.At+"."+string(t.Measures)+"."+columnWord(t.Name) {
			return c
		}
	}
	return nil
}

// columnWord is a tag's name as hourly.csv writes it behind a second column.
func columnWord(s string) string {
	b := []byte(s)
	for i, c := range b {
		switch {
		case c >= 'A' && c <= 'Z':
			b[i] = c + 'a' - 'A'
		case c >= 'a' && c <= 'z' || c >= '0' && c <= '9':
		default:
			b[i] = '_'
		}
	}
	return string(b)
}

// merge joins failures closer than gap.
func merge(fs []Failure, gap int64) []Failure {
	sort.SliceStable(fs, func(i, j int) bool { return fs[i].Start < fs[j].Start })
	var out []Failure
	for _, f := range fs {
		if n := len(out); n > 0 && f.Start <= out[n-1].End+gap {
			out[n-1].End = max(out[n-1].End, f.End)
			continue
		}
		out = append(out, f)
	}
	return out
}

// costOf counts the hours of basins that were not determined while the instrument
// was silent, or that rest on it while it was in doubt.
func (m *maker) costOf(tag string, col *Column, p Period) int {
	n := 0
	for k := range m.rec.Basins {
		b := &m.rec.Basins[k]
		if !b.rests(tag) {
			continue
		}
		for i := p.Lo; i < p.Hi; i++ {
			switch {
			case b.Verdict[i] == contact.NotDetermined && math.IsNaN(col.Values[i]):
				n++
			case determined(b.Verdict[i]) && b.Doubt[i] == tag:
				n++
			}
		}
	}
	return n
}

// drift follows an instrument from each service to the first doubt after it. The
// doubt's beginning is told from readings on both sides of it: the failure lies
// between the day before and that day. A next service without doubt ends the watch.
func (m *maker) drift(t plant.Tag, fs []Failure, from, to int64) (int, *Drift) {
	var at []int64
	for _, s := range m.rec.Services {
		if s.Tag == t.Name && s.End >= from && s.End < to {
			at = append(at, s.End)
		}
	}
	for _, pr := range m.rec.Plant.Probes {
		if pr.Tag != t.Name {
			continue
		}
		for _, c := range pr.Cleaned {
			if ms := c.UnixMilli(); ms >= from && ms < to {
				at = append(at, ms)
			}
		}
	}
	sort.Slice(at, func(i, j int) bool { return at[i] < at[j] })
	// Two services of one day are one.
	var days []int64
	for _, a := range at {
		if len(days) == 0 || a-days[len(days)-1] > 24*3_600_000 {
			days = append(days, a)
		}
	}
	if len(days) == 0 {
		return 0, nil
	}
	d := &Drift{Services: len(days), Median: math.NaN(), Tenth: math.NaN()}
	var seen []stat.Seen
	const day = 24 * 3_600_000.0
	for i, a := range days {
		end, failed := to, false
		if i+1 < len(days) {
			end = days[i+1]
		}
		for _, f := range fs {
			if f.Start >= a && f.Start < end && gradual[f.Kind] {
				end, failed = f.Start, true
				break
			}
		}
		after := float64(end-a) / day
		if failed {
			d.Failed++
			seen = append(seen, stat.Seen{After: math.Max(0, after-1), By: math.Max(after, 0.04)})
		} else if after > 0 {
			seen = append(seen, stat.Seen{After: after, By: math.Inf(1)})
		}
	}
	if d.Failed < 3 {
		d.Why = fmt.Sprintf("it left its band after %d of %d services; three are needed for an interval", d.Failed, d.Services)
		return d.Services, d
	}
	if l, ok := stat.FitLife(seen); ok {
		d.Median, d.Tenth = within(l.Quantile(0.5), seen), within(l.Quantile(0.1), seen)
		if math.IsNaN(d.Median) {
			d.Why = "half had not left it in the longest time watched"
		}
	}
	s := stat.Turnbull(seen)
	for i := range s.Time {
		if !math.IsInf(s.Time[i], 1) {
			d.Kept = append(d.Kept, Kept{s.Time[i], s.Good[i]})
		}
	}
	return d.Services, d
}

// within gives a time only as far as anything was watched for as long.
func within(t float64, seen []stat.Seen) float64 {
	for _, s := range seen {
		if s.After >= t || s.By >= t && !math.IsInf(s.By, 1) {
			return t
		}
	}
	return math.NaN()
}

// agree holds the analyser against grabs, those while it was in doubt apart.
func (m *maker) agree(x *Instrument, t plant.Tag, p Period) {
	var a, b []float64
	for _, q := range m.rec.Pairs {
		if q.Signal != t.Name || q.At < m.rec.Start(p) || q.At >= m.rec.End(p) {
			continue
		}
		x.AgreePairs++
		if q.Doubt {
			x.AgreeDoubt++
			continue
		}
		a, b = append(a, q.Read), append(b, q.Grab)
	}
	if x.AgreePairs == 0 {
		return
	}
	x.AgreeUnit = t.Working.Symbol
	if len(a) < m.set.PairsLeast {
		x.AgreeWhy = fmt.Sprintf("%d pairs with the instrument believed; %d are needed", len(a), m.set.PairsLeast)
		return
	}
	g := stat.Agree(a, b)
	x.Agreement = &g
}

// MeterPair holds one flow meter against another, by daily means.
type MeterPair struct {
	A, B           string // tags
	N              int
	Ratio          float64 // median of A over B
	Low, High      float64 // 5th and 95th percentile of the ratio
	First, Last    float64 // median ratio of the first and last quarter of the days
	DaysBeyond     int     // days further than a tenth from the median
	AtA, AtB, Note string
}

func (m *maker) meters(p Period) []MeterPair {
	var tags []plant.Tag
	for _, t := range m.rec.Plant.TagsAt(quantity.Flow, "") {
		if !t.Sampled() && m.columnOf(t) != nil {
			tags = append(tags, t)
		}
	}
	var out []MeterPair
	for i := range tags {
		for j := i + 1; j < len(tags); j++ {
			if m.rec.Plant.TrainOf(tags[i].At) != m.rec.Plant.TrainOf(tags[j].At) && len(m.rec.Plant.Trains()) > 1 {
				continue
			}
			_, a := m.rec.Days(m.columnOf(tags[i]).Values, p, m.set.DayShare)
			_, b := m.rec.Days(m.columnOf(tags[j]).Values, p, m.set.DayShare)
			var r []float64
			for k := range a {
				if v := a[k] / b[k]; !math.IsNaN(v) && !math.IsInf(v, 0) && v > 0 {
					r = append(r, v)
				}
			}
			if len(r) < 20 {
				continue
			}
			s := stat.Sorted(r)
			x := MeterPair{A: tags[i].Name, B: tags[j].Name, AtA: m.rec.Plant.Title(tags[i].At), AtB: m.rec.Plant.Title(tags[j].At), N: len(r), Ratio: stat.Median(r),
				Low: stat.Quantile(s, 0.05, stat.Definition(m.set.Percentile)), High: stat.Quantile(s, 0.95, stat.Definition(m.set.Percentile)),
				First: stat.Median(r[:len(r)/4]), Last: stat.Median(r[len(r)-len(r)/4:])}
			for _, v := range r {
				if math.Abs(v/x.Ratio-1) > 0.1 {
					x.DaysBeyond++
				}
			}
			out = append(out, x)
		}
	}
	return out
}

// Sampling is how the sampling frequency of a limit was kept.
type Sampling struct {
	Start                   int64 // Unix ms, of one month
	Parameter, Point, Asked string
	Taken, Required         int
	Months, MonthsHeld      int
}

func (m *maker) sampling(p Period) []Sampling {
	var out []Sampling
	at := map[string]int{}
	for _, x := range m.rec.Taken {
		if x.Start < m.rec.Start(p) || x.Start >= m.rec.End(p) {
			continue
		}
		k := x.Parameter + "|" + x.Point + "|" + x.Asked
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k] = i
			out = append(out, Sampling{Parameter: x.Parameter, Point: x.Point, Asked: x.Asked})
		}
		s := &out[i]
		s.Taken, s.Required, s.Months = s.Taken+x.Taken, s.Required+x.Required, s.Months+1
		if x.MonthsHeld > 0 {
			s.MonthsHeld++
		}
	}
	return out
}
