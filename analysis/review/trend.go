package review

import (
	"fmt"
	"math"
	"sort"

	"weirbook/analysis/discharge"
	"weirbook/analysis/quantity"
	"weirbook/analysis/review/stat"
)

// Trend is how a parameter's monthly medians moved.
type Trend struct {
	Name, Point, Unit string
	Start             []int64 // of each month
	Median            []float64
	Kendall           stat.Kendall
	Seasonal          stat.Seasonal
	UsesSeason        bool
	P                 float64 // of the test that is taken
	Slope             float64 // a year
	Slopes            stat.Interval
	Step              stat.Step
	StepAt            int64
	StepBy            float64 // median after less before, of values less their month's usual
	Says              string
	Why               string  // why there is none
	InDoubt           int     // hours resting on an instrument in doubt
	AtFlow            *AtFlow // nil: not adjusted

	leftStep, leftSlope float64 // sums of what a step and a slope leave
}

// AtFlow is the same trend when what goes with the flow is taken off.
type AtFlow struct {
	PerFlow float64 // what the monthly median moves with 1 MGD of its flow
	P       float64
	Slope   float64 // a year
	Slopes  stat.Interval
}

// trends tests the monthly medians: daily or hourly values are far too alike.
func (m *maker) trends(p Period) []Trend {
	var out []Trend
	for _, x := range m.params {
		t := Trend{Name: x.Name, Point: x.Point, Unit: x.Unit}
		if x.Name == "CT" {
			continue // its ratio to what was asked stands for it
		}
		t.Start, t.Median = m.monthMedians(x.Values, p)
		for h := p.Lo; h < p.Hi && x.Doubt != nil; h++ {
			if x.Doubt[h] && !math.IsNaN(x.Values[h]) {
				t.InDoubt++
			}
		}
		m.test(&t)
		if t.Why == "" {
			t.AtFlow = m.atFlow(t, m.flowOf(x), p)
		}
		out = append(out, t)
	}
	out = append(out, m.bacteriaTrends(p)...)
	tested := 0
	for _, t := range out {
		if t.Why == "" {
			tested++
		}
	}
	for i := range out {
		if out[i].Why == "" {
			out[i].Says = m.trendWords(&out[i], m.set.Alpha/float64(tested)) + flowWords(&out[i], m.set.Alpha/float64(tested))
		}
	}
	return out
}

// monthMedians gives the median of each calendar month, NaN where the period cuts it
// or too few of its hours are known.
func (m *maker) monthMedians(values []float64, p Period) (start []int64, median []float64) {
	for h := p.Lo; h < p.Hi; {
		mo, from := m.rec.At(h).Month(), h
		for h < p.Hi && m.rec.At(h).Month() == mo {
			h++
		}
		md := math.NaN()
		if v := stat.Known(values[from:h]); h-from >= 27*24 && float64(len(v)) >= m.set.MonthShare*float64(h-from) {
			md = stat.Median(v)
		}
		start, median = append(start, m.rec.Hours[from].Start), append(median, md)
	}
	return start, median
}

// flowOf is the flow that a parameter is adjusted for before it is tested: of the
// basin whose residual or demand it is. nil: it is not adjusted.
func (m *maker) flowOf(x Parameter) []float64 {
	if x.basin != nil && x.Name != "flow" {
		return m.rec.Values(x.basin.Name + ".flow")
	}
	for _, f := range m.rec.Plant.Feeds {
		if f.Chlorinates() && (x.Key == f.Name+".demand" || x.Key == f.Name+".dose") {
			return m.rec.Values(f.Basin + ".flow")
		}
	}
	return nil
}

// atFlow tests what a line of the monthly medians on those of the flow leaves. (Helsel
// et al., USGS TM4-A3, chapter 12: adjust for an exogenous variable before testing.)
func (m *maker) atFlow(t Trend, flow []float64, p Period) *AtFlow {
	if flow == nil {
		return nil
	}
	_, q := m.monthMedians(flow, p)
	var x, y []float64
	for i := range q {
		if !math.IsNaN(q[i]) && !math.IsNaN(t.Median[i]) {
			x, y = append(x, q[i]), append(y, t.Median[i])
		}
	}
	if len(x) < m.set.TrendMonths || stat.Median(x) == 0 {
		return nil
	}
	line := stat.Fit(x, y)
	if math.IsNaN(line.Slope) {
		return nil
	}
	left := Trend{Start: t.Start, Median: make([]float64, len(q))}
	for i := range q {
		left.Median[i] = t.Median[i] - line.Intercept - line.Slope*q[i]
	}
	m.test(&left)
	if left.Why != "" {
		return nil
	}
	return &AtFlow{PerFlow: line.Slope, P: left.P, Slope: left.Slope, Slopes: left.Slopes}
}

// bacteriaTrends takes the monthly medians of logarithms of bacteria counts, all
// below the highest limit of detection set to it: changing limits make false trends.
func (m *maker) bacteriaTrends(p Period) []Trend {
	var out []Trend
	for _, tag := range m.labTags() {
		if tag.Measures != quantity.EColi && tag.Measures != quantity.FecalColiform && tag.Measures != quantity.Enterococci {
			continue
		}
		rs := m.results(tag.Name, p)
		if len(rs) < 6 {
			continue
		}
		info, _ := quantity.Of(tag.Measures)
		t := Trend{Name: info.Title + ", log10", Point: m.rec.Plant.Title(tag.At), Unit: "log10"}
		limit := 0.0
		for _, r := range rs {
			if r.Sign == discharge.Less {
				limit = math.Max(limit, r.V)
			}
		}
		k := 0
		for h := p.Lo; h < p.Hi; {
			mo, from := m.rec.At(h).Month(), h
			for h < p.Hi && m.rec.At(h).Month() == mo {
				h++
			}
			var v []float64
			for ; k < len(rs) && rs[k].At < m.rec.Hours[h-1].End; k++ {
				v = append(v, math.Log10(math.Max(math.Max(rs[k].V, limit), 1)))
			}
			md := math.NaN()
			if len(v) >= 2 {
				md = stat.Median(v)
			}
			t.Start, t.Median = append(t.Start, m.rec.Hours[from].Start), append(t.Median, md)
		}
		m.test(&t)
		out = append(out, t)
	}
	return out
}

// test puts the monthly medians to the tests they can bear.
func (m *maker) test(t *Trend) {
	t.P, t.Slope, t.Slopes, t.StepBy = math.NaN(), math.NaN(), stat.Interval{Low: math.NaN(), High: math.NaN()}, math.NaN()
	t.Step.At = -1
	var x, y, year []float64
	var season []int
	var at []int64
	bySeason := map[int][]float64{}
	for i, v := range t.Median {
		if math.IsNaN(v) {
			continue
		}
		d := m.rec.Plant.Zone
		tm := timeIn(t.Start[i], d)
		mo := int(tm.Month()) - 1
		x = append(x, float64(tm.Year())+float64(mo)/12)
		y, year, season, at = append(y, v), append(year, float64(tm.Year())), append(season, mo), append(at, t.Start[i])
		bySeason[mo] = append(bySeason[mo], v)
	}
	if len(y) < m.set.TrendMonths {
		t.Why = fmt.Sprintf("%d whole months known; a trend needs %d", len(y), m.set.TrendMonths)
		return
	}
	t.Kendall = stat.MannKendall(x, y)
	full := 0
	for _, v := range bySeason {
		if len(v) >= m.set.SeasonalYears {
			full++
		}
	}
	t.P, t.Slope, t.Slopes = t.Kendall.P, t.Kendall.Slope, t.Kendall.SlopeInt
	if full >= 10 {
		t.Seasonal = stat.SeasonalKendall(season, year, y)
		t.UsesSeason = true
		t.P, t.Slope, t.Slopes = t.Seasonal.P, t.Seasonal.Slope, t.Seasonal.SlopeInt
	}
	// A step is looked for in what is left when each month's usual is taken off, where
	// there are two years to know it.
	rest := append([]float64(nil), y...)
	if len(y) >= 24 {
		for i := range rest {
			rest[i] -= stat.Median(bySeason[season[i]])
		}
	}
	t.Step = stat.ChangePoint(rest)
	k := leastLeft(rest, m.set.StepMonths)
	if k <= 0 {
		return
	}
	t.StepAt = at[k]
	a, b := stat.Median(rest[:k]), stat.Median(rest[k:])
	t.StepBy = b - a
	// What either leaves; and the step's test for as many months as are independent.
	left := append([]float64(nil), rest...)
	slope := stat.SenSlope(x, rest)
	mid := make([]float64, len(rest))
	for i := range rest {
		left[i] -= map[bool]float64{true: a, false: b}[i < k]
		mid[i] = rest[i] - slope*x[i]
	}
	centre := stat.Median(mid)
	worth := math.Sqrt(effective(mid) / float64(len(mid)))
	switch {
	case !t.UsesSeason:
		t.P = stat.TwoSided(t.Kendall.Z * worth)
	case full == 12 && len(y) >= 12*m.set.CovarianceYears && !math.IsNaN(t.Seasonal.PSerial):
		t.P = t.Seasonal.PSerial
	default:
		t.P = stat.TwoSided(t.Seasonal.Z * worth)
	}
	for i := range rest {
		t.leftStep += math.Abs(left[i])
		t.leftSlope += math.Abs(mid[i] - centre)
	}
	t.Step.P = stat.StepP(t.Step.K, len(rest), effective(left))
}

// leastLeft finds where a step leaves least: the sum of distances from the medians
// on its two sides, each of some months. Pettitt's own place lies off by a month or
// two where a value beside the step is low by chance. 0: too few.
func leastLeft(v []float64, least int) (at int) {
	best := math.Inf(1)
	for k := least; k <= len(v)-least; k++ {
		sum := 0.0
		for _, part := range [][]float64{v[:k], v[k:]} {
			c := stat.Median(part)
			for _, x := range part {
				sum += math.Abs(x - c)
			}
		}
		if sum < best {
			best, at = sum, k
		}
	}
	return at
}

// trendWords says what the tests come to, no more than they bear. alpha is the
// level of one test of all those made.
func (m *maker) trendWords(t *Trend, alpha float64) string {
	n := len(stat.Known(t.Median))
	under := t.UsesSeason || n >= 24
	trend, step := t.P < alpha, t.Step.P < alpha
	at := timeIn(t.StepAt, m.rec.Plant.Zone).Format("January 2006")
	switch {
	case !under && trend:
		return "moved over the months, which may be the season: one year cannot tell"
	case !under:
		return "no trend told by one year"
	case trend && t.UsesSeason && t.Seasonal.PHet < alpha:
		return "the seasons moved differently; one slope for all would mislead"
	case !trend && !step:
		return "no trend told"
	case t.leftStep < 0.9*t.leftSlope:
		return "a step in " + at + " fits better than a slope"
	case t.leftSlope < 0.9*t.leftStep:
		return "a slope fits better than a step"
	}
	return "moved: a step in " + at + " or a slope, the months cannot tell"
}

// flowWords says where taking off what goes with the flow changes the answer.
func flowWords(t *Trend, alpha float64) string {
	if t.AtFlow == nil || (t.P < alpha) == (t.AtFlow.P < alpha) {
		return ""
	}
	if t.P < alpha {
		return "; with what goes with the flow taken off, none is told"
	}
	return "; with what goes with the flow taken off, one is"
}

// Comparison is one parameter in two periods.
type Comparison struct {
	Name, Point, Unit string
	Before, After     float64 // medians of the values compared
	stat.Shift                // later less earlier
	Effective         float64
	Months            int // calendar months that both hold
	InDoubt           int // hours of both that rest on an instrument in doubt
	Says              string
	Why               string
}

// compare holds the later period against the earlier, months against their like:
// each value less the middle of its calendar month's medians in both periods. A
// value is the median of some days; what is left of serial dependence widens the
// interval.
func (m *maker) compare(a, b Period) []Comparison {
	if m.rec.Start(b) < m.rec.Start(a) {
		a, b = b, a
	}
	var out []Comparison
	for _, x := range m.params {
		if x.Name == "CT" {
			continue
		}
		c := Comparison{Name: x.Name, Point: x.Point, Unit: x.Unit, Before: math.NaN(), After: math.NaN()}
		va, ma := m.blocks(x, a, &c.InDoubt)
		vb, mb := m.blocks(x, b, &c.InDoubt)
		m.shift(&c, va, ma, vb, mb)
		out = append(out, c)
	}
	tested := 0
	for _, c := range out {
		if c.Why == "" {
			tested++
		}
	}
	// Of many things that did not change some look as if they had: the level is
	// parted among them, so that a plant without change says so in 95 of 100.
	for i := range out {
		c := &out[i]
		switch alpha := m.set.Alpha / float64(tested); {
		case c.Why != "":
		case c.P < alpha && c.By > 0:
			c.Says = "higher"
		case c.P < alpha && c.By < 0:
			c.Says = "lower"
		default:
			c.Says = "no change told"
		}
	}
	return out
}

// blocks gives the medians of some days each, with their calendar month. Hours in
// doubt are counted, and stay in.
func (m *maker) blocks(x Parameter, p Period, inDoubt *int) (v []float64, month []int) {
	size := 24 * m.set.CompareDays
	for h := p.Lo; h < p.Hi; h += size {
		end := min(h+size, p.Hi)
		for i := h; i < end; i++ {
			if x.Doubt != nil && x.Doubt[i] && !math.IsNaN(x.Values[i]) {
				*inDoubt++
			}
		}
		k := stat.Known(x.Values[h:end])
		if float64(len(k)) >= m.set.MonthShare*float64(size) {
			v, month = append(v, stat.Median(k)), append(month, int(m.rec.At((h+end)/2-1).Month()))
		}
	}
	return v, month
}

func (m *maker) shift(c *Comparison, va []float64, ma []int, vb []float64, mb []int) {
	by := func(v []float64, month []int) map[int][]float64 {
		out := map[int][]float64{}
		for i, x := range v {
			out[month[i]] = append(out[month[i]], x)
		}
		return out
	}
	ga, gb := by(va, ma), by(vb, mb)
	var months []int
	for mo := range ga {
		if len(ga[mo]) >= m.set.MatchLeast && len(gb[mo]) >= m.set.MatchLeast {
			months = append(months, mo)
		}
	}
	sort.Ints(months)
	c.Months = len(months)
	centre := map[int]float64{}
	for _, mo := range months {
		centre[mo] = (stat.Median(ga[mo]) + stat.Median(gb[mo])) / 2
	}
	less := func(v []float64, month []int) (left, as []float64) {
		for i, x := range v {
			if m0, ok := centre[month[i]]; ok {
				left, as = append(left, x-m0), append(as, x)
			}
		}
		return left, as
	}
	la, asA := less(va, ma)
	lb, asB := less(vb, mb)
	if len(months) == 0 {
		c.Why = "the periods share no calendar month: like cannot be held against like"
	} else if len(la) < m.set.CompareLeast || len(lb) < m.set.CompareLeast {
		c.Why = fmt.Sprintf("%d and %d values of %d days in the months that both hold; %d each are needed", len(la), len(lb), m.set.CompareDays, m.set.CompareLeast)
	}
	c.Before, c.After = stat.Median(asA), stat.Median(asB)
	if c.Why != "" {
		c.By, c.P, c.Limits = math.NaN(), math.NaN(), stat.Interval{Low: math.NaN(), High: math.NaN()}
		return
	}
	// The middle of each month is drawn from the same values: it takes as many degrees
	// of freedom as there are months.
	n := float64(len(la) + len(lb))
	loss := n / math.Max(2, n-float64(len(months)))
	c.Effective = math.Max(2, (effective(la)+effective(lb))/loss)
	c.Shift = stat.HodgesLehmann(la, lb, m.set.Confidence, math.Max(1.0001, math.Sqrt(n/c.Effective)))
}
