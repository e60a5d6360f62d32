package review

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis/review/stat"
)

// Capacity is at what flow CT binds in one basin, or in basins side by side.
type Capacity struct {
	Basin     string
	Effective float64 // baffling factor × volume in service, MG, as the hours show
	CT        float64 // asked
	N, Out    int     // hours in the lines, and left out since an instrument was in doubt
	Fitted    int     // hours that the lines were fitted to
	NEff      float64
	MaxFlow   float64 // of those hours, MGD
	MinFlow   float64
	Median    Binding // half of the hours hold CT at that flow
	Careful   Binding // nine in ten
	ByTime    float64 // MGD at which the least contact time binds; NaN: none asked
	Decay     Binding // nine in ten, the residual taken as falling with time: see decay
	DecayRate float64 // per minute, of the careful line; NaN: the residual does not fall with time
	X, Y      []float64
	Lines     [2]stat.QuantileLine
	Why       string // why there is none
	Control   bool   // the residual falls with no flow: it shows the controller
}

// Binding is a flow at which something binds.
type Binding struct {
	Flow   float64 // MGD; NaN: see Why
	Above  int     // hours of the line with that flow or more
	Beyond bool    // the largest flow seen is smaller: CT still held there
	Why    string
}

// PlantCapacity is what basins side by side hold together.
type PlantCapacity struct {
	Name            string
	Basins          []Capacity
	All, LargestOut [2]Binding // median, careful
	Out             string     // the basin taken out
}

func (m *maker) capacities(p Period) []PlantCapacity {
	var out []PlantCapacity
	seen := map[string]bool{}
	for i := range m.rec.Basins {
		b := &m.rec.Basins[i]
		if seen[b.Name] {
			continue
		}
		group := m.parallel(b)
		pc := PlantCapacity{Name: b.Title}
		var names []string
		for _, o := range group {
			seen[o.Name] = true
			pc.Basins = append(pc.Basins, m.capacity(o, p))
			names = append(names, o.Title)
		}
		if len(group) > 1 {
			pc.Name = strings.Join(names, " and ")
		}
		pc.together(m, group, p)
		out = append(out, pc)
	}
	return out
}

// capacity fits the residual that the basin holds at a flow. The hours are those
// with both instruments believed and the basin as usual in service.
func (m *maker) capacity(b *Basin, p Period) Capacity {
	c := Capacity{Basin: b.Title, CT: b.Require.CT, Effective: math.NaN(), MaxFlow: math.NaN(), MinFlow: math.NaN(), ByTime: math.NaN(), DecayRate: math.NaN(), Decay: Binding{Flow: math.NaN()}, Median: Binding{Flow: math.NaN()}, Careful: Binding{Flow: math.NaN()}}
	doubt := m.doubtHours(b.FlowTag, b.ResidualTag)
	var k []float64
	for i := p.Lo; i < p.Hi; i++ {
		k = append(k, b.ContactMin[i]*b.PeakFlow[i]/stat.MinutesPerDay)
	}
	c.Effective = stat.Median(k)
	var x, y []float64
	for i := p.Lo; i < p.Hi; i++ {
		e := k[i-p.Lo]
		if math.IsNaN(e) || math.IsNaN(b.Residual[i]) || math.Abs(e/c.Effective-1) > 0.1 {
			continue
		}
		if doubt[i] {
			c.Out++
			continue
		}
		x, y = append(x, b.PeakFlow[i]), append(y, b.Residual[i])
	}
	c.N, c.NEff = len(x), effective(y)
	if len(x) > 0 {
		c.MaxFlow, _ = stat.Extreme(x, false)
		c.MinFlow, _ = stat.Extreme(x, true)
	}
	if t := b.Require.ContactTime; t > 0 {
		c.ByTime = stat.CapacityTime(c.Effective, t)
	}
	c.X, c.Y = spreadOver(x, y, c.MinFlow, c.MaxFlow, m.set.LinePoints)
	c.Fitted = len(c.X)
	switch {
	case !(c.CT > 0):
		c.Why = "no CT is required of this basin"
	case math.IsNaN(c.Effective):
		c.Why = "no hour has a contact time: its volume, factor or flow is not known"
	case !stat.QuantileUsable(c.Fitted, m.set.LowQuantile):
		c.Why = fmt.Sprintf("%d hours with flow and residual are too few for a line", c.Fitted)
	case c.MaxFlow < 1.2*c.MinFlow:
		c.Why = fmt.Sprintf("the flow kept between %s and %s: no line of residual on flow can be told", m.amount(c.MinFlow, "MGD", 3), m.amount(c.MaxFlow, "MGD", 3))
	}
	if c.Why != "" {
		c.Median.Why, c.Careful.Why, c.Decay.Why = c.Why, c.Why, c.Why
		return c
	}
	c.Lines = [2]stat.QuantileLine{stat.FitQuantile(c.X, c.Y, 0.5), stat.FitQuantile(c.X, c.Y, m.set.LowQuantile)}
	c.Control = c.Lines[0].Slope >= 0
	along := func(l stat.QuantileLine) Binding {
		return m.binding(&c, l.At, stat.CapacityLine(l.Intercept, l.Slope, c.Effective, c.CT))
	}
	c.Median, c.Careful = along(c.Lines[0]), along(c.Lines[1])
	c.Decay, c.DecayRate = m.decay(&c)
	return c
}

// decay fits the residual as one that falls by first order on its way, c0·exp(-k·T):
// a quantile line of its logarithm on the contact time T = 1440·BF·V/Q. Beside the
// straight line on flow it shows how much the answer hangs on the line's shape.
func (m *maker) decay(c *Capacity) (Binding, float64) {
	var t, ln []float64
	for i, q := range c.X {
		if c.Y[i] > 0 && q > 0 {
			t, ln = append(t, stat.MinutesPerDay*c.Effective/q), append(ln, math.Log(c.Y[i]))
		}
	}
	none := func(why string) (Binding, float64) { return Binding{Flow: math.NaN(), Why: why}, math.NaN() }
	if len(t) < c.Fitted*9/10 {
		return none("the residual is zero in more than a tenth of the hours: it has no rate of decay")
	}
	l := stat.FitQuantile(t, ln, m.set.LowQuantile)
	if l.Slope >= 0 {
		return none("the residual does not fall with the contact time: no rate of decay is told")
	}
	c0, k := math.Exp(l.Intercept), -l.Slope
	at := func(flow float64) float64 { return c0 * math.Exp(-k*stat.MinutesPerDay*c.Effective/flow) }
	if stat.DecayCeiling(c0, k) < c.CT {
		return Binding{Flow: math.NaN(), Why: fmt.Sprintf("a residual that starts and decays so reaches %s at most, at any flow", m.amount(stat.DecayCeiling(c0, k), "mg·min/L", 3))}, k
	}
	return m.binding(c, at, stat.CapacityDecay(c0, k, c.Effective, c.CT)), k
}

// spreadOver takes most points of each of twenty steps of the flow, evenly in time:
// the few hours of high flow, on which capacity hangs, are not drowned by the many
// of usual flow. A quantile line holds at each flow, so that it may be fitted to them.
func spreadOver(x, y []float64, lo, hi float64, most int) (fx, fy []float64) {
	const steps = 20
	at := func(v float64) int { return min(steps-1, int(steps*(v-lo)/(hi-lo+1e-12))) }
	var n, seen [steps]int
	for _, v := range x {
		n[at(v)]++
	}
	for i, v := range x {
		k := at(v)
		step := max(1, n[k]*steps/most)
		if seen[k]%step == 0 {
			fx, fy = append(fx, v), append(fy, y[i])
		}
		seen[k]++
	}
	return fx, fy
}

// binding is the flow q where a line of residual, mg/L at a flow in MGD, meets what
// CT asks; no flow beyond the largest seen is given.
func (m *maker) binding(c *Capacity, residual func(flow float64) float64, q float64) Binding {
	ctAt := func(flow float64) float64 { return residual(flow) * stat.MinutesPerDay * c.Effective / flow }
	switch {
	case ctAt(c.MaxFlow) >= c.CT:
		return Binding{Flow: math.NaN(), Beyond: true, Why: fmt.Sprintf("CT is still held at %s, the largest flow seen; the line ends there", m.amount(c.MaxFlow, "MGD", 3))}
	case ctAt(c.MinFlow) < c.CT:
		return Binding{Flow: math.NaN(), Why: fmt.Sprintf("CT is not held even at %s, the smallest flow seen", m.amount(c.MinFlow, "MGD", 3))}
	case math.IsNaN(q):
		return Binding{Flow: math.NaN(), Why: "the line meets what is required at no flow"}
	}
	b := Binding{Flow: q}
	for _, x := range c.X {
		if x >= q {
			b.Above++
		}
	}
	return b
}

// together joins basins side by side: the flow parts as it did, and the first basin
// to bind sets the whole. With the largest out, its flow goes to the others in the
// same proportion.
func (pc *PlantCapacity) together(m *maker, group []*Basin, p Period) {
	share := make([]float64, len(group))
	sum, largest := 0.0, 0
	for i, b := range group {
		share[i] = stat.Mean(stat.Known(b.PeakFlow[p.Lo:p.Hi]))
		sum += share[i]
		if pc.Basins[i].Effective > pc.Basins[largest].Effective {
			largest = i
		}
	}
	pick := func(k int, without int) Binding {
		total := sum
		if without >= 0 {
			total -= share[without]
		}
		out := Binding{Flow: math.Inf(1)}
		for i := range group {
			if i == without {
				continue
			}
			b := [2]Binding{pc.Basins[i].Median, pc.Basins[i].Careful}[k]
			if math.IsNaN(b.Flow) {
				return Binding{Flow: math.NaN(), Beyond: b.Beyond, Why: pc.Basins[i].Basin + ": " + b.Why}
			}
			out.Flow = math.Min(out.Flow, b.Flow*total/share[i])
		}
		if math.IsInf(out.Flow, 1) || math.IsNaN(out.Flow) {
			return Binding{Flow: math.NaN(), Why: "no basin is left in service"}
		}
		return out
	}
	if len(group) == 1 {
		pc.All = [2]Binding{pc.Basins[0].Median, pc.Basins[0].Careful}
		none := Binding{Flow: math.NaN(), Why: "there is one basin: with it out, none is left in service"}
		pc.LargestOut, pc.Out = [2]Binding{none, none}, group[0].Title
		return
	}
	pc.Out = group[largest].Title
	pc.All = [2]Binding{pick(0, -1), pick(1, -1)}
	pc.LargestOut = [2]Binding{pick(0, largest), pick(1, largest)}
}

// Peak is one flow beside the average.
type Peak struct {
	Name   string
	Flow   float64 // MGD
	Factor float64 // over the average
	When   int64   // Unix ms of its beginning; 0: not one time
	N      int
	Note   string
}

// peaks gives the flows of a parameter by the names of design.
func (m *maker) peaks(x Parameter, p Period) []Peak {
	day, mean := m.rec.Days(x.Values, p, m.set.DayShare)
	avg := stat.Mean(stat.Known(mean))
	var out []Peak
	add := func(name string, v float64, at int, n int, note string) {
		pk := Peak{Name: name, Flow: v, Factor: v / avg, N: n, Note: note}
		if at >= 0 {
			pk.When = m.rec.Hours[at].Start
		}
		out = append(out, pk)
	}
	n := len(stat.Known(mean))
	add("average daily flow", avg, -1, n, "mean of the days known; every factor is over this")
	at, months := m.rec.Months(x.Values, p, 0.9)
	// A month that the period cuts is no month.
	for k := range months {
		end := p.Hi
		if k+1 < len(at) {
			end = at[k+1]
		}
		if end-at[k] < 27*24 {
			months[k] = math.NaN()
		}
	}
	pick := func(name string, v []float64, start func(i int) int, note string) {
		hi, i := stat.Extreme(v, false)
		if i < 0 {
			out = append(out, Peak{Name: name, Flow: math.NaN(), Factor: math.NaN(), Note: "the record is too short or too patchy: " + note})
			return
		}
		add(name, hi, start(i), len(stat.Known(v)), note)
	}
	pick("maximum month, calendar", months, func(i int) int { return at[i] }, "calendar months of which nine tenths of the hours are known")
	pick("maximum month, 30 days running", stat.Running(mean, 30, m.set.MonthDays), func(i int) int { return day[i-29] }, fmt.Sprintf("at least %d of 30 days", m.set.MonthDays))
	pick("maximum week, 7 days running", stat.Running(mean, 7, m.set.WeekDays), func(i int) int { return day[i-6] }, fmt.Sprintf("at least %d of 7 days", m.set.WeekDays))
	pick("maximum day", mean, func(i int) int { return day[i] }, "mean of a local day")
	pick("maximum hour", x.Values[p.Lo:p.Hi], func(i int) int { return p.Lo + i }, "mean of a clock hour")
	low, i := stat.Extreme(stat.Running(mean, 7, m.set.WeekDays), true)
	if i >= 0 {
		add("minimum week, 7 days running", low, day[i-6], n, fmt.Sprintf("at least %d of 7 days", m.set.WeekDays))
	}
	return out
}

// FeedRange is how a feed was used of what it can deliver.
type FeedRange struct {
	Feed, Unit       string
	Capacity         float64 // NaN: not stated
	Median, P95, Max float64 // hourly means
	P5               float64
	AtTop            int // hours at 95 % of capacity or above
	N                int
	Turndown         float64 // P95 over P5
}

func (m *maker) feedRanges(p Period) []FeedRange {
	var out []FeedRange
	for i := range m.rec.Plant.Feeds {
		f := &m.rec.Plant.Feeds[i]
		v, unit := m.rec.Values(f.Name+".solution_used"), "gal/h"
		if v == nil {
			v, unit = m.rec.Values(f.Name+".feed"), "lb/d"
		}
		if v == nil {
			continue
		}
		s := stat.Sorted(v[p.Lo:p.Hi])
		if len(s) < 20 {
			continue
		}
		r := FeedRange{Feed: f.Title, Unit: unit, Capacity: f.Capacity, N: len(s), Max: s[len(s)-1]}
		q := func(l float64) float64 { return stat.Quantile(s, l, stat.Definition(m.set.Percentile)) }
		r.Median, r.P95, r.P5 = q(0.5), q(0.95), q(0.05)
		r.Turndown = math.NaN()
		if r.P5 > 0 {
			r.Turndown = r.P95 / r.P5
		}
		for _, x := range s {
			if x >= 0.95*f.Capacity {
				r.AtTop++
			}
		}
		out = append(out, r)
	}
	return out
}
