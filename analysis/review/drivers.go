package review

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/review/stat"
)

// Pattern is how a parameter runs over the hours of the day, or the days of the week.
type Pattern struct {
	Name, Point, Unit string
	Groups            []string
	N                 []int
	P10, P50, P90     []float64
}

// patterns gives the day's and the week's.
func (m *maker) patterns(p Period, by Grouping) []Pattern {
	var out []Pattern
	size := 24
	if by == ByWeekday {
		size = 7
	}
	for _, x := range m.params {
		switch x.Name {
		case "flow", "dose", "chlorine demand", "residual, lowest of the hour", "CT", "chlorine discharged":
		default:
			continue
		}
		pt := Pattern{Name: x.Name, Point: x.Point, Unit: x.Unit, Groups: make([]string, size)}
		v := make([][]float64, size)
		for i := p.Lo; i < p.Hi; i++ {
			name, k := by.group(m.rec.At(i))
			pt.Groups[k] = name
			if !math.IsNaN(x.Values[i]) {
				v[k] = append(v[k], x.Values[i])
			}
		}
		for k := range v {
			s := stat.Sorted(v[k])
			pt.N = append(pt.N, len(s))
			at := func(l float64) float64 {
				if !stat.Supported(len(s), l) {
					return math.NaN()
				}
				return stat.Quantile(s, l, stat.Definition(m.set.Percentile))
			}
			pt.P10, pt.P50, pt.P90 = append(pt.P10, at(0.1)), append(pt.P50, at(0.5)), append(pt.P90, at(0.9))
		}
		out = append(out, pt)
	}
	return out
}

// Driver is how much a feed's demand moves with something, by daily means.
type Driver struct {
	Demand, With, Unit string
	stat.Line
	Effective float64
	Low, High float64 // 95 % of the slope, for as many values as are independent
	Note      string
}

// drivers fits daily demand to ammonia, temperature and flow, one at a time.
// Demand is dose less residual: on dose it would be a fit of a thing on itself.
func (m *maker) drivers(p Period) []Driver {
	var out []Driver
	for _, f := range m.rec.Plant.Feeds {
		d, ok := m.find(f.Name + ".demand")
		if !ok {
			continue
		}
		_, demand := m.rec.Days(d.Values, p, m.set.DayShare)
		for _, x := range m.params {
			if !m.sameWater(f, x) {
				continue
			}
			note := ""
			switch {
			case x.Name == "flow":
			case x.Name == "ammonia nitrogen" || x.Unit == "mg/L" && x.Key[len(x.Key)-len("ammonia_n"):] == string(quantity.AmmoniaN):
				note = "a slope near 5 means combined chlorine, 7.6 to 10 breakpoint (by weight, Cl2:N)"
			case x.Unit == "°C" || x.Unit == "degC":
			default:
				continue
			}
			_, with := m.rec.Days(x.Values, p, m.set.DayShare)
			var a, b []float64
			for i := range demand {
				if !math.IsNaN(demand[i]) && !math.IsNaN(with[i]) {
					a, b = append(a, with[i]), append(b, demand[i])
				}
			}
			if len(a) < 20 {
				continue
			}
			l := stat.Fit(a, b)
			rest := make([]float64, len(a))
			for i := range a {
				rest[i] = b[i] - l.Intercept - l.Slope*a[i]
			}
			dr := Driver{Demand: f.Title, With: x.title(), Unit: x.Unit, Line: l, Effective: effective(rest), Note: note}
			se := l.SlopeSE * math.Sqrt(float64(len(a))/dr.Effective)
			dr.Low, dr.High = l.Slope-1.96*se, l.Slope+1.96*se
			out = append(out, dr)
		}
	}
	return out
}

// sameWater says that a parameter is of the train that a feed doses.
func (m *maker) sameWater(f plant.Feed, x Parameter) bool {
	b, ok := m.rec.Plant.Basin(f.Basin)
	if !ok {
		return true
	}
	if x.basin != nil {
		return x.basin.Train == b.Train
	}
	point, _, _ := strings.Cut(x.Key, ".")
	return m.rec.Plant.SharesWater(point, b)
}

// Overfeed is chlorine fed beyond what the requirement took.
type Overfeed struct {
	Basin, Feed   string
	Hours         int     // in which both could be reckoned
	Given, Needed float64 // mean residual, mg/L
	Excess        float64 // lb in those hours
	Lacking       float64 // lb that short hours lacked
	Share         float64 // of the chlorine used in the same hours
	Cost          float64
	Currency      string
	Coverage      float64
	Assumption    string
}

// overfeeds reckons, hour by hour, the residual that CT and the least residual
// asked for at the contact time of the hour's peak flow, against the lowest residual.
func (m *maker) overfeeds(p Period) []Overfeed {
	var out []Overfeed
	for i := range m.rec.Basins {
		b := &m.rec.Basins[i]
		flow := m.rec.Values(b.Name + ".flow")
		if flow == nil || !(b.Require.CT > 0) && !(b.Require.ResidualMin > 0) {
			continue
		}
		doubt := m.doubtHours(b.FlowTag, b.ResidualTag)
		var feed *plant.Feed
		for k := range m.rec.Plant.Feeds {
			if f := &m.rec.Plant.Feeds[k]; f.Chlorinates() && (f.Basin == b.Name || len(m.rec.Basins) == 1) {
				feed = f
			}
		}
		o := Overfeed{Basin: b.Title, Cost: math.NaN(), Share: math.NaN(), Currency: m.currency(),
			Assumption: "residual beyond what the hour asked; a lower dose lowers the residual by as much at most, so that this is what could be saved at best, and no margin is kept"}
		used := []float64(nil)
		if feed != nil {
			o.Feed, used = feed.Title, m.used(feed)
		}
		sumUsed := 0.0
		for h := p.Lo; h < p.Hi; h++ {
			need := 0.0
			if b.Require.CT > 0 {
				need = b.Required[h] / b.ContactMin[h]
			}
			if r := b.Require.ResidualMin; r > 0 {
				need = math.Max(need, r)
			}
			lb := (b.Residual[h] - need) * flow[h] * m.pounds() / 24
			if math.IsNaN(lb) || math.IsInf(lb, 0) || doubt[h] || flow[h] <= 0 {
				continue
			}
			o.Hours++
			o.Given, o.Needed = o.Given+b.Residual[h], o.Needed+need
			if lb > 0 {
				o.Excess += lb
			} else {
				o.Lacking -= lb
			}
			if used != nil && !math.IsNaN(used[h]) {
				sumUsed += used[h]
			}
		}
		if o.Hours == 0 {
			continue
		}
		o.Given, o.Needed = o.Given/float64(o.Hours), o.Needed/float64(o.Hours)
		o.Coverage = float64(o.Hours) / float64(p.Len())
		if sumUsed > 0 {
			o.Share = o.Excess / sumUsed
		}
		if feed != nil {
			if price := m.feedPrice(feed); price > 0 {
				o.Cost = o.Excess * price
			}
		}
		out = append(out, o)
	}
	return out
}

// Dechlor is dechlorination chemical applied against needed.
type Dechlor struct {
	Feed            string
	Hours           int
	Applied, Needed float64 // mean over the hours, mg/L
	Excess          float64 // lb
	Share           float64 // of what was used
	Under           int     // hours with less than needed
	Cost            float64
	Currency        string
}

func (m *maker) dechlors(p Period) []Dechlor {
	var out []Dechlor
	for i := range m.rec.Plant.Feeds {
		f := &m.rec.Plant.Feeds[i]
		need, dose, used := m.rec.Values(f.Name+".needed"), m.rec.Values(f.Name+".dose"), m.used(f)
		if need == nil || dose == nil || used == nil {
			continue
		}
		d := Dechlor{Feed: f.Title, Cost: math.NaN(), Currency: m.currency()}
		sum := 0.0
		for h := p.Lo; h < p.Hi; h++ {
			if math.IsNaN(need[h]) || math.IsNaN(dose[h]) || math.IsNaN(used[h]) || dose[h] <= 0 {
				continue
			}
			d.Hours++
			d.Applied, d.Needed, sum = d.Applied+dose[h], d.Needed+need[h], sum+used[h]
			if dose[h] < need[h] {
				d.Under++
			} else {
				d.Excess += used[h] * (dose[h] - need[h]) / dose[h]
			}
		}
		if d.Hours == 0 {
			continue
		}
		d.Applied, d.Needed, d.Share = d.Applied/float64(d.Hours), d.Needed/float64(d.Hours), d.Excess/sum
		if price := m.feedPrice(f); price > 0 {
			d.Cost = d.Excess * price
		}
		out = append(out, d)
	}
	return out
}

// MonthUse is a feed's chemical in one month, by sums over the hours that both the
// feed and the flow are known in.
type MonthUse struct {
	Feed, Currency string
	Start          int64
	Pounds, MG     float64
	PoundsPerMG    float64
	CostPerMG      float64
	Coverage       float64
}

func (m *maker) monthUse(p Period) []MonthUse {
	var out []MonthUse
	for i := range m.rec.Plant.Feeds {
		f := &m.rec.Plant.Feeds[i]
		used, dose := m.used(f), m.rec.Values(f.Name+".dose")
		if used == nil || dose == nil {
			continue
		}
		price := m.feedPrice(f)
		var flow []float64 // of the water dosed, where a signal tells it
		if t, ok := m.rec.Plant.FlowTag(f.FlowAt); ok && !f.OwnFlow {
			flow = m.rec.Values(t.At + ".flow")
		}
		for h := p.Lo; h < p.Hi; {
			t := m.rec.At(h)
			u := MonthUse{Feed: f.Title, Start: m.rec.Hours[h].Start, Currency: f.Currency}
			n, k := 0, 0
			for ; h < p.Hi && m.rec.At(h).Month() == t.Month(); h++ {
				n++
				mg := used[h] / (dose[h] * m.pounds())
				if flow != nil {
					mg = flow[h] * float64(m.rec.Hours[h].End-m.rec.Hours[h].Start) / 86_400_000
				}
				if !math.IsNaN(mg+used[h]) && !math.IsInf(mg, 0) {
					u.Pounds, u.MG, k = u.Pounds+used[h], u.MG+mg, k+1
				}
			}
			u.Coverage = float64(k) / float64(n)
			u.PoundsPerMG, u.CostPerMG = math.NaN(), math.NaN()
			if u.MG > 0 {
				u.PoundsPerMG = u.Pounds / u.MG
				u.CostPerMG = u.PoundsPerMG * price
			}
			out = append(out, u)
		}
	}
	return out
}

// Zone is the load carried on the days of one zone of the flow-duration curve.
type Zone struct {
	Parameter, Point  string
	Name              string  // "high flows, exceeded on 0 to 10 % of days"
	Days              int     // with flow and load known
	FlowLow, FlowHigh float64 // MGD, daily means
	Median, P90       float64 // lb/d; NaN: too few days
}

// zoneEdges are the shares of days, in percent, that part a flow-duration curve.
// (Minnesota Pollution Control Agency, stormwater manual, duration curves.)
var zoneEdges = []struct {
	upTo float64
	name string
}{{10, "high flows"}, {40, "moist conditions"}, {60, "mid-range flows"}, {90, "dry conditions"}, {100, "low flows"}}

// zones parts the daily loads by how often the day's flow is exceeded: whether a load
// comes with high water, or with a constant feed whatever the flow.
func (m *maker) zones(p Period) []Zone {
	var out []Zone
	for _, x := range m.params {
		load := m.rec.Values(x.Key + "_load")
		point, _, _ := strings.Cut(x.Key, ".")
		flow := m.rec.Values(point + ".flow")
		if load == nil || flow == nil {
			continue
		}
		_, q := m.rec.Days(flow, p, m.set.DayShare)
		_, w := m.rec.Days(load, p, m.set.DayShare)
		ordered, percent := stat.Exceedance(stat.Known(q))
		if len(ordered) < m.set.ZoneDays {
			continue
		}
		from := 0.0
		for _, e := range zoneEdges {
			z := Zone{Parameter: x.Name, Point: x.Point, Name: fmt.Sprintf("%s, exceeded on %.0f to %.0f %% of days", e.name, from, e.upTo), Median: math.NaN(), P90: math.NaN()}
			var flows, loads []float64
			for i := range q {
				// Days of equal flow share the rank of the first of them.
				k := sort.Search(len(ordered), func(k int) bool { return ordered[k] <= q[i] })
				if math.IsNaN(q[i]) || math.IsNaN(w[i]) || percent[k] < from || percent[k] >= e.upTo {
					continue
				}
				flows, loads = append(flows, q[i]), append(loads, w[i])
			}
			z.FlowLow, _ = stat.Extreme(flows, true)
			z.FlowHigh, _ = stat.Extreme(flows, false)
			s := stat.Sorted(loads)
			z.Days = len(s)
			if z.Days > 0 {
				z.Median = stat.Median(s)
			}
			if stat.Supported(z.Days, 0.9) {
				z.P90 = stat.Quantile(s, 0.9, stat.Definition(m.set.Percentile))
			}
			out, from = append(out, z), e.upTo
		}
	}
	return out
}

// Curve is an exceedance curve of daily means, in descending order.
type Curve struct {
	Name, Unit      string
	Values, Percent []float64
}

func (m *maker) curves(p Period) []Curve {
	var out []Curve
	add := func(name, unit string, v []float64) {
		_, mean := m.rec.Days(v, p, m.set.DayShare)
		if k := stat.Known(mean); len(k) >= 20 {
			x, pc := stat.Exceedance(k)
			out = append(out, Curve{name, unit, x, pc})
		}
	}
	for _, x := range m.params {
		switch x.Name {
		case "flow":
			add(x.title(), x.Unit, x.Values)
		case "CT over CT asked":
			add(x.title(), x.Unit, x.Values)
		case "chlorine discharged":
			add("load of "+x.title(), "lb/d", m.rec.Values(x.Key+"_load"))
		}
	}
	return out
}
