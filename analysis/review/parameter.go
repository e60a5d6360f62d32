package review

import (
	"math"
	"sort"
	"strings"

	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/review/stat"
)

// Parameter is an hourly quantity that percentiles, patterns and trends are made of.
type Parameter struct {
	Key, Name, Point, Unit string
	Values                 []float64
	Doubt                  []bool // the hour rests on an instrument in doubt; nil: never
	Log                    bool   // spans decades
	basin                  *Basin
}

// title is "CT, contact basin".
func (p Parameter) title() string { return p.Name + ", " + p.Point }

// doubtHours marks the hours that a tag's doubts touch by a quarter or more.
func (m *maker) doubtHours(tags ...string) []bool {
	out := make([]bool, len(m.rec.Hours))
	for _, d := range m.rec.Doubts {
		for _, t := range tags {
			if d.Tag != t || t == "" {
				continue
			}
			i := sort.Search(len(m.rec.Hours), func(i int) bool { return m.rec.Hours[i].End > d.Start })
			for ; i < len(out) && m.rec.Hours[i].Start < d.End; i++ {
				if min(d.End, m.rec.Hours[i].End)-max(d.Start, m.rec.Hours[i].Start) >= 15*60_000 {
					out[i] = true
				}
			}
		}
	}
	return out
}

// parameters lists what the record holds, basins first.
func (m *maker) parameters() []Parameter {
	p := m.rec.Plant
	var out []Parameter
	add := func(x Parameter) {
		for _, v := range x.Values {
			if !math.IsNaN(v) {
				out = append(out, x)
				return
			}
		}
	}
	for i := range m.rec.Basins {
		b := &m.rec.Basins[i]
		in := m.doubtHours(b.FlowTag, b.ResidualTag)
		add(Parameter{Key: b.Name + ".ct", Name: "CT", Point: b.Title, Unit: "mg·min/L", Values: b.CT, Doubt: in, basin: b})
		ratio := make([]float64, len(b.CT))
		for k := range ratio {
			ratio[k] = b.CT[k] / b.Required[k]
			if !(b.Required[k] > 0) {
				ratio[k] = math.NaN()
			}
		}
		add(Parameter{Key: b.Name + ".ct_ratio", Name: "CT over CT asked", Point: b.Title, Values: ratio, Doubt: in, basin: b})
		add(Parameter{Key: b.Name + ".residual", Name: "residual, lowest of the hour", Point: b.Title, Unit: "mg/L", Values: b.Residual, Doubt: m.doubtHours(b.ResidualTag), basin: b})
		add(Parameter{Key: b.Name + ".flow", Name: "flow", Point: b.Title, Unit: "MGD", Values: m.rec.Values(b.Name + ".flow"), Doubt: m.doubtHours(b.FlowTag), basin: b})
	}
	for _, q := range p.Points {
		if !q.Dechlorinated && !q.Outfall {
			continue
		}
		if t, ok := p.Signal(quantity.ChlorineTotal, q.Name); ok {
			add(Parameter{Key: q.Name + ".chlorine_total", Name: "chlorine discharged", Point: p.Title(q.Name), Unit: "mg/L", Values: m.rec.Values(q.Name + ".chlorine_total"), Doubt: m.doubtHours(t.Name)})
		}
	}
	for _, f := range p.Feeds {
		add(Parameter{Key: f.Name + ".dose", Name: "dose", Point: f.Title, Unit: "mg/L", Values: m.rec.Values(f.Name + ".dose")})
		add(Parameter{Key: f.Name + ".demand", Name: "chlorine demand", Point: f.Title, Unit: "mg/L", Values: m.rec.Values(f.Name + ".demand")})
	}
	for _, k := range []quantity.Kind{quantity.AmmoniaN, quantity.Temp, quantity.PH} {
		for _, t := range p.TagsAt(k, "") {
			if t.Sampled() {
				continue
			}
			info, _ := quantity.Of(k)
			add(Parameter{Key: t.At + "." + string(k), Name: strings.ToLower(info.Title[:1]) + info.Title[1:], Point: p.Title(t.At), Unit: t.Working.Symbol, Values: m.rec.Values(t.At + "." + string(k)), Doubt: m.doubtHours(t.Name)})
		}
	}
	return out
}

// find gives a parameter by its key.
func (m *maker) find(key string) (Parameter, bool) {
	for _, p := range m.params {
		if p.Key == key {
			return p, true
		}
	}
	return Parameter{}, false
}

// Percentiles are those of one parameter in one group of hours.
type Percentiles struct {
	Parameter, Point, Unit string
	Group                  string // "whole", "winter (Dec to Feb)" …
	Levels, Values         []float64
	Below                  []bool // of results: the value is a limit of detection
	N, InDoubt             int
	Effective, Coverage    float64
	NonDetects             int
	What                   string // "hours", "results"
}

// levels are the percentiles that are given.
var levels = []float64{0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99}

// percentiles makes the tables of hourly parameters, the whole period first, then
// by the grouping asked for and by month.
func (m *maker) percentiles(p Period) []Percentiles {
	var out []Percentiles
	for _, x := range m.params {
		out = append(out, m.hourPercentiles(x, p, "whole", nil))
		for _, by := range m.groupings() {
			names := map[int]string{}
			member := make([]int, p.Len())
			var keys []int
			for i := range member {
				name, k := by.group(m.rec.At(p.Lo + i))
				member[i] = k
				if _, ok := names[k]; !ok {
					names[k] = name
					keys = append(keys, k)
				}
			}
			sort.Ints(keys)
			for _, k := range keys {
				out = append(out, m.hourPercentiles(x, p, names[k], func(i int) bool { return member[i] == k }))
			}
		}
	}
	return append(out, m.samplePercentiles(p)...)
}

func (m *maker) groupings() []Grouping {
	if m.asked.By == BySeason {
		return []Grouping{BySeason, ByMonth}
	}
	return []Grouping{m.asked.By}
}

func (m *maker) hourPercentiles(x Parameter, p Period, group string, pick func(int) bool) Percentiles {
	out := Percentiles{Parameter: x.Name, Point: x.Point, Unit: x.Unit, Group: group, Levels: levels, What: "hours"}
	var v []float64
	hours := 0
	for i := p.Lo; i < p.Hi; i++ {
		if pick != nil && !pick(i-p.Lo) {
			continue
		}
		hours++
		if math.IsNaN(x.Values[i]) {
			continue
		}
		v = append(v, x.Values[i])
		if x.Doubt != nil && x.Doubt[i] {
			out.InDoubt++
		}
	}
	out.N, out.Effective, out.Coverage = len(v), effective(v), float64(len(v))/math.Max(1, float64(hours))
	s := stat.Sorted(v)
	for _, l := range levels {
		q := math.NaN()
		if stat.Supported(len(s), l) {
			q = stat.Quantile(s, l, stat.Definition(m.set.Percentile))
		}
		out.Values = append(out.Values, q)
	}
	return out
}

// results gives a laboratory tag's results in a period.
func (m *maker) results(tag string, p Period) []Sample {
	var out []Sample
	for _, s := range m.rec.Samples {
		if s.Tag == tag && s.At >= m.rec.Start(p) && s.At < m.rec.End(p) {
			out = append(out, s)
		}
	}
	return out
}

// labTags are the laboratory tags at or after the basins' outlets.
func (m *maker) labTags() []plant.Tag {
	var out []plant.Tag
	for _, t := range m.rec.Plant.Tags {
		if !t.Sampled() {
			continue
		}
		q, _ := m.rec.Plant.Point(t.At)
		if q.Outfall || q.Dechlorinated || q.Basin != "" {
			out = append(out, t)
		}
	}
	return out
}

// samplePercentiles are those of laboratory results, those below detection by
// Kaplan and Meier's method.
func (m *maker) samplePercentiles(p Period) []Percentiles {
	var out []Percentiles
	for _, t := range m.labTags() {
		rs := m.results(t.Name, p)
		if len(rs) == 0 {
			continue
		}
		info, _ := quantity.Of(t.Measures)
		x := Percentiles{Parameter: info.Title + ", laboratory", Point: m.rec.Plant.Title(t.At), Unit: t.Working.Symbol, Group: "whole", Levels: levels, N: len(rs), What: "results", Coverage: math.NaN()}
		vs := make([]discharge.Value, len(rs))
		num := make([]float64, len(rs))
		smallest := math.Inf(1)
		for i, r := range rs {
			vs[i], num[i] = r.Value, r.V
			if r.Sign == discharge.Less {
				x.NonDetects++
			} else {
				smallest = math.Min(smallest, r.V)
			}
		}
		x.Effective = effective(num)
		steps, err := discharge.KaplanMeier(vs)
		var at, share []float64
		for _, s := range steps {
			at, share = append(at, s.X), append(share, s.P)
		}
		sorted := stat.Sorted(num)
		for _, l := range levels {
			q, below := math.NaN(), false
			switch {
			case !stat.Supported(len(rs), l):
			case x.NonDetects == 0:
				q = stat.Quantile(sorted, l, stat.Definition(m.set.Percentile))
			case err == nil:
				q = stat.StepsQuantile(at, share, l)
				below = q < smallest
			default: // all below detection
				q, below = sorted[len(sorted)-1], true
			}
			x.Values, x.Below = append(x.Values, q), append(x.Below, below)
		}
		out = append(out, x)
	}
	return out
}

// Plot is the data of a probability plot: one value a day, or laboratory results.
type Plot struct {
	Name, Unit string
	Values     []float64
	Below      []bool // less than the value
	Position   []float64
	Log        bool // the log-normal scale is the straighter
	RNormal    float64
	RLog       float64
	Limits     []Level
	What       string
	AtLeast    bool

	line stat.Line
}

// Level is a value that a plot draws across.
type Level struct {
	Name  string
	Value float64
}

// plots makes the probability plots.
func (m *maker) plots(p Period) []Plot {
	var out []Plot
	for _, x := range m.params {
		switch {
		case x.basin != nil && strings.HasSuffix(x.Key, ".ct"):
			pl := m.dailyPlot(x, p, true)
			pl.AtLeast = true
			if c := x.basin.Require.CT; c > 0 {
				pl.Limits = append(pl.Limits, Level{"CT asked", c})
			}
			out = append(out, pl)
		case x.Name == "chlorine discharged":
			pl := m.dailyPlot(x, p, false)
			point := strings.TrimSuffix(x.Key, ".chlorine_total")
			pl.Limits = m.limitLevels(quantity.ChlorineTotal, point)
			out = append(out, pl)
		}
	}
	for _, t := range m.labTags() {
		if t.Measures != quantity.EColi && t.Measures != quantity.FecalColiform && t.Measures != quantity.Enterococci {
			continue
		}
		rs := m.results(t.Name, p)
		if len(rs) < 3 {
			continue
		}
		info, _ := quantity.Of(t.Measures)
		pl := Plot{Name: info.Title + ", " + m.rec.Plant.Title(t.At), Unit: t.Working.Symbol, What: "laboratory results", Limits: m.limitLevels(t.Measures, t.At)}
		for _, r := range rs {
			pl.Values, pl.Below = append(pl.Values, r.V), append(pl.Below, r.Sign == discharge.Less)
		}
		out = append(out, pl)
	}
	var kept []Plot
	for _, pl := range out {
		if len(pl.Values) >= 3 {
			pl.place(m.set.Position)
			kept = append(kept, pl)
		}
	}
	return kept
}

func (m *maker) limitLevels(k quantity.Kind, at string) []Level {
	var out []Level
	for _, l := range m.rec.Plant.Limits {
		if l.Parameter == k && l.At == at && !l.ReportOnly && l.Value > 0 && !strings.Contains(l.Statistic, "mass") {
			out = append(out, Level{l.Statistic, l.Value})
		}
	}
	return out
}

// dailyPlot takes the lowest or highest hour of each day: of hours there would be
// thousands, and neighbours are alike.
func (m *maker) dailyPlot(x Parameter, p Period, lowest bool) Plot {
	pl := Plot{Name: x.title(), Unit: x.Unit, What: "highest hour of each day"}
	if lowest {
		pl.What = "lowest hour of each day"
	}
	at, _ := m.rec.Days(x.Values, p, m.set.DayShare)
	for k, i := range at {
		end := p.Hi
		if k+1 < len(at) {
			end = at[k+1]
		}
		v := stat.Known(x.Values[i:end])
		if float64(len(v)) < m.set.DayShare*float64(end-i) {
			continue
		}
		e, _ := stat.Extreme(v, lowest)
		pl.Values, pl.Below = append(pl.Values, e), append(pl.Below, false)
	}
	return pl
}

// place gives every value its plotting position, and says which scale is straighter.
func (pl *Plot) place(a float64) {
	cs := make([]stat.Censored, len(pl.Values))
	positive := true
	for i, v := range pl.Values {
		cs[i] = stat.Censored{Value: v, Below: pl.Below[i]}
		positive = positive && v > 0
	}
	pl.Position = stat.CensoredPositions(cs, a)
	var z, v, l []float64
	for i := range pl.Values {
		if !pl.Below[i] {
			z, v = append(z, stat.Z(pl.Position[i])), append(v, pl.Values[i])
			l = append(l, math.Log(pl.Values[i]))
		}
	}
	pl.RNormal, pl.RLog = math.NaN(), math.NaN()
	if len(v) >= 3 {
		pl.RNormal = stat.Correlation(z, v)
		if positive {
			pl.RLog = stat.Correlation(z, l)
		}
	}
	pl.Log = pl.RLog > pl.RNormal
	pl.line = stat.Fit(z, v)
	if pl.Log {
		pl.line = stat.Fit(z, l)
	}
}

// Line gives two points, share and value, of the straight line through what is
// measured on the plot's scale; nil where there is none.
func (pl *Plot) Line() (share, value []float64) {
	if math.IsNaN(pl.line.Slope) {
		return nil, nil
	}
	for _, p := range []float64{0.01, 0.99} {
		v := pl.line.Intercept + pl.line.Slope*stat.Z(p)
		if pl.Log {
			v = math.Exp(v)
		}
		share, value = append(share, p), append(value, v)
	}
	return share, value
}
