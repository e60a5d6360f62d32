package review

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis/discharge"
	"weirbook/analysis/loading"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/review/stat"
)

// pounds is the factor of the plant's reports, lb per MG per mg/L: the trade's 8.34,
// or the exact one in metric reports, where nobody recomputes with the trade's.
func (m *maker) pounds() float64 { return Pounds(m.rec.Plant.Units) }

// Pounds is lb per MG per mg/L as reports in a system of units reckon with.
func Pounds(s plant.System) float64 {
	if s == plant.Metric {
		return float64(loading.Exact)
	}
	return float64(loading.Trade)
}

// WhatIf is how one thing asked would have gone otherwise, over the hours as they were.
type WhatIf struct {
	Basin      string // or the point of a limit
	What       string // "CT", "residual", "chlorine discharged", "E. coli"
	Change     string // "CT asked × 1.25"
	Asked      float64
	Unit       string
	N, Short   int
	InDoubt    int // of Short
	Effective  float64
	Pounds     float64 // chlorine that the short hours would have needed more, lb; NaN: not reckoned
	Cost       float64
	Currency   string
	What2      string // "hours", "results"
	Assumption string

	Key   string  // of the hourly parameter that is held against Asked; empty: results
	Times float64 // what the parameter is multiplied by
	Above bool    // short means above Asked, not below
}

// Share is the share of values that would have been short.
func (w WhatIf) Share() float64 {
	if w.N == 0 {
		return math.NaN()
	}
	return float64(w.Short) / float64(w.N)
}

// ctSteps are the requirements tried, as multiples of the present one.
var ctSteps = []float64{1, 1.1, 1.25, 1.5, 2}

func (m *maker) whatIf(p Period) []WhatIf {
	var out []WhatIf
	for i := range m.rec.Basins {
		b := &m.rec.Basins[i]
		cost := m.poundPrice(b)
		if c := b.Require.CT; c > 0 {
			for _, k := range ctSteps {
				w := m.ctWhatIf(b, p, k*c, 1, cost)
				w.Change = times("CT asked", k)
				w.Assumption = "flow, contact time and demand as they were; the hour's judged CT against the new figure"
				out = append(out, w)
			}
			for _, k := range []float64{0.8, 1.25} {
				w := m.ctWhatIf(b, p, c, k, cost)
				w.Change = times("contact time (baffling factor)", k)
				w.Assumption = "CT taken in proportion to the contact time at the same residual; in truth a longer stay costs some residual"
				out = append(out, w)
			}
			if k, name, ok := m.largestOut(b); ok {
				w := m.ctWhatIf(b, p, c, k, cost)
				w.Change = name + " out of service"
				w.Assumption = "its flow shared by the others in the proportion of their volumes; the residual as it was"
				out = append(out, w)
			}
		}
		if c := b.Require.ResidualMin; c > 0 {
			for _, k := range []float64{1, 1.25, 1.5} {
				w := WhatIf{Basin: b.Title, What: "residual", Change: times("least residual", k), Asked: k * c, Unit: "mg/L", What2: "hours", Pounds: math.NaN(), Cost: math.NaN(),
					Assumption: "the lowest residual of each hour against the new figure", Key: b.Name + ".residual", Times: 1}
				m.count(&w, b.Residual, m.doubtHours(b.ResidualTag), p, func(v float64) bool { return v < k*c })
				out = append(out, w)
			}
		}
	}
	for _, x := range m.params {
		if x.Name != "chlorine discharged" {
			continue
		}
		l, ok := m.tightest(quantity.ChlorineTotal, strings.TrimSuffix(x.Key, ".chlorine_total"))
		if !ok {
			continue
		}
		for _, k := range []float64{1, 0.75, 0.5, 0.25} {
			w := WhatIf{Basin: x.Point, What: x.Name, Change: times("limit ("+l.Statistic+")", k), Asked: k * l.Value, Unit: x.Unit, What2: "hours", Pounds: math.NaN(), Cost: math.NaN(),
				Assumption: "hourly means of the analyser against the figure; the limit itself is a statistic of other values", Key: x.Key, Times: 1, Above: true}
			m.count(&w, x.Values, x.Doubt, p, func(v float64) bool { return v > k*l.Value })
			out = append(out, w)
		}
	}
	return append(out, m.bacteriaWhatIf(p)...)
}

func times(what string, k float64) string {
	if k == 1 {
		return what + " as now"
	}
	return fmt.Sprintf("%s × %g", what, k)
}

func (m *maker) count(w *WhatIf, v []float64, doubt []bool, p Period, bad func(float64) bool) {
	var ones []float64
	for i := p.Lo; i < p.Hi; i++ {
		if math.IsNaN(v[i]) {
			continue
		}
		w.N++
		x := 0.0
		if bad(v[i]) {
			x = 1
			w.Short++
			if doubt != nil && doubt[i] {
				w.InDoubt++
			}
		}
		ones = append(ones, x)
	}
	w.Effective = effective(ones)
}

// ctWhatIf counts the hours whose CT, with the contact time times k, would have
// been below asked, and the chlorine that would have held them: the residual that
// lacks, (asked - CT)/contact time, times the flow.
func (m *maker) ctWhatIf(b *Basin, p Period, asked, k, price float64) WhatIf {
	w := WhatIf{Basin: b.Title, What: "CT", Asked: asked, Unit: "mg·min/L", What2: "hours", Cost: math.NaN(), Key: b.Name + ".ct", Times: k}
	v := make([]float64, len(b.CT))
	for i := range v {
		v[i] = k * b.CT[i]
	}
	m.count(&w, v, m.doubtHours(b.FlowTag, b.ResidualTag), p, func(x float64) bool { return x < asked })
	flow := m.rec.Values(b.Name + ".flow")
	for i := p.Lo; i < p.Hi; i++ {
		if !(v[i] < asked) || flow == nil {
			continue
		}
		t := k * b.ContactMin[i]
		if lb := (asked - v[i]) / t * flow[i] * m.pounds() / 24; !math.IsNaN(lb) && !math.IsInf(lb, 0) {
			w.Pounds += lb
		}
	}
	if price > 0 {
		w.Cost = w.Pounds * price
	}
	w.Currency = m.currency()
	return w
}

// poundPrice is what a pound of active chlorine of the basin's feed cost over the
// record; NaN without a price.
func (m *maker) poundPrice(b *Basin) float64 {
	for i := range m.rec.Plant.Feeds {
		f := &m.rec.Plant.Feeds[i]
		if f.Chlorinates() && (f.Basin == b.Name || f.Basin == "" || len(m.rec.Basins) == 1) {
			if v := m.feedPrice(f); v > 0 {
				return v
			}
		}
	}
	return math.NaN()
}

// feedPrice is the cost of a pound of a feed's active chemical.
func (m *maker) feedPrice(f *plant.Feed) float64 {
	if !(f.Price > 0) {
		return math.NaN()
	}
	if f.PriceUnit == "lb" {
		return f.Price
	}
	lb, gal := m.used(f), m.rec.Values(f.Name+".solution_used")
	if lb == nil || gal == nil {
		return math.NaN()
	}
	sumLb, sumGal := 0.0, 0.0
	for i := range lb {
		if !math.IsNaN(lb[i]) && !math.IsNaN(gal[i]) {
			sumLb, sumGal = sumLb+lb[i], sumGal+gal[i]
		}
	}
	if sumLb == 0 {
		return math.NaN()
	}
	return f.Price * sumGal / sumLb
}

// used is a feed's active chemical by the hour, lb; nil where it is not known.
func (m *maker) used(f *plant.Feed) []float64 {
	if v := m.rec.Values(f.Name + ".chlorine_used"); v != nil {
		return v
	}
	return m.rec.Values(f.Name + ".chemical_used")
}

func (m *maker) currency() string {
	for _, f := range m.rec.Plant.Feeds {
		if f.Currency != "" {
			return f.Currency
		}
	}
	return ""
}

// parallel are the basins beside b: of its train, and not one after the other.
func (m *maker) parallel(b *Basin) []*Basin {
	var out []*Basin
	for i := range m.rec.Basins {
		o := &m.rec.Basins[i]
		if o.Train == b.Train && strings.Join(o.After, "|") == strings.Join(b.After, "|") {
			out = append(out, o)
		}
	}
	return out
}

// largestOut gives by what the contact time of b shrinks when the largest basin
// beside it is out; not for the largest itself.
func (m *maker) largestOut(b *Basin) (float64, string, bool) {
	beside := m.parallel(b)
	if len(beside) < 2 {
		return 0, "", false
	}
	sum, top := 0.0, beside[0]
	for _, o := range beside {
		sum += o.Volume
		if o.Volume > top.Volume {
			top = o
		}
	}
	if top == b || math.IsNaN(sum) {
		return 0, "", false
	}
	return (sum - top.Volume) / sum, top.Title, true
}

func (m *maker) tightest(k quantity.Kind, at string) (plant.Limit, bool) {
	var best plant.Limit
	found := false
	for _, l := range m.rec.Plant.Limits {
		if l.Parameter != k || l.At != at || l.ReportOnly || !(l.Value > 0) || strings.Contains(l.Statistic, "mass") || strings.Contains(l.Statistic, "minimum") {
			continue
		}
		if !found || l.Value < best.Value {
			best, found = l, true
		}
	}
	return best, found
}

// bacteriaWhatIf counts single results against fractions of the limits on bacteria.
func (m *maker) bacteriaWhatIf(p Period) []WhatIf {
	var out []WhatIf
	for _, t := range m.labTags() {
		if t.Measures != quantity.EColi && t.Measures != quantity.FecalColiform && t.Measures != quantity.Enterococci {
			continue
		}
		l, ok := m.tightest(t.Measures, t.At)
		rs := m.results(t.Name, p)
		if !ok || len(rs) == 0 {
			continue
		}
		info, _ := quantity.Of(t.Measures)
		for _, k := range []float64{1, 0.5, 0.25} {
			w := WhatIf{Basin: m.rec.Plant.Title(t.At), What: info.Title, Change: times("limit ("+l.Statistic+")", k), Asked: k * l.Value, Unit: t.Working.Symbol, N: len(rs), What2: "results",
				Pounds: math.NaN(), Cost: math.NaN(), Effective: float64(len(rs)), Assumption: "single results against the figure; results below detection count as below it where their limit is"}
			for _, r := range rs {
				if r.Sign != discharge.Less && r.V > k*l.Value {
					w.Short++
				}
			}
			out = append(out, w)
		}
	}
	return out
}

// Potential is the arithmetic of EPA/505/2-90-001 for one parameter at one point,
// for the permit writer to decide on.
type Potential struct {
	Parameter, Point, Unit string
	N, NonDetects          int
	CV                     float64
	Fallback               bool // the cv is the one taken for want of results
	Highest                float64
	Factor99, Factor95     float64
	Projected99            float64
	Projected95            float64
	Limit                  float64 // taken as an acute allocation; NaN: none
	LimitName              string
	PerMonth               int
	stat.DerivedLimits
}

// potentials reckons with laboratory results where there are five or more.
func (m *maker) potentials(p Period) []Potential {
	var out []Potential
	for _, t := range m.labTags() {
		q, _ := m.rec.Plant.Point(t.At)
		rs := m.results(t.Name, p)
		if len(rs) < 5 || !(q.Outfall || q.Dechlorinated) {
			continue
		}
		info, _ := quantity.Of(t.Measures)
		x := Potential{Parameter: info.Title, Point: m.rec.Plant.Title(t.At), Unit: t.Working.Symbol, N: len(rs), Highest: math.Inf(-1), Limit: math.NaN()}
		var det []float64
		for _, r := range rs {
			x.Highest = math.Max(x.Highest, r.V)
			if r.Sign == discharge.Less {
				x.NonDetects++
			} else {
				det = append(det, r.V)
			}
		}
		x.CV, x.Fallback = stat.LimitCV(det, len(rs))
		x.Factor99, x.Factor95 = stat.PotentialFactor(x.N, x.CV, 0.99, 0.99), stat.PotentialFactor(x.N, x.CV, 0.95, 0.95)
		x.Projected99, x.Projected95 = stat.ProjectedMaximum(x.Highest, x.Factor99), stat.ProjectedMaximum(x.Highest, x.Factor95)
		months := math.Max(1, float64(p.Len())/(24*365.25/12))
		x.PerMonth = max(1, int(math.Round(float64(len(rs))/months)))
		nanLimits := stat.DerivedLimits{LongTerm: math.NaN(), DailyMaximum: math.NaN(), MonthlyAverage: math.NaN()}
		x.DerivedLimits = nanLimits
		if l, ok := m.tightest(t.Measures, t.At); ok {
			x.Limit, x.LimitName = l.Value, l.Statistic
			x.DerivedLimits = stat.LimitsFrom(l.Value, math.NaN(), x.CV, max(4, x.PerMonth))
		}
		out = append(out, x)
	}
	return out
}
