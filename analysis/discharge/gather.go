package discharge

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/lab"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// TagData is one tag as the run hands it over: its screened readings, and what
// holds between them.
type TagData struct {
	Tag    plant.Tag
	Series *series.Series
	Rule   align.Rule
	Lab    []lab.Cell  // of a sampled tag: what its sheet holds besides plain numbers
	Unread []Count     // of a sampled tag: rows of any date that could not be read
	Stray  []time.Time // of a sampled tag: dates of results that stand far from all others
}

// Input is what a monthly summary is made from.
type Input struct {
	Plant *plant.Plant
	Year  int
	Month time.Month
	Tags  []TagData
	// From and To (Unix milliseconds) are what the exports cover; both zero:
	// from the first to the last reading.
	From, To int64
	Settings Settings
	// Unnamed are names in the sheets of sampled tags that no tag has, and their rows.
	Unnamed []Count
}

// column is one parameter at one point, sampled one way.
type column struct {
	kind    quantity.Kind
	at      string
	sample  string // "grab", "composite", "continuous", or "sampled" when mixed
	treat   treatment
	unit    quantity.Unit
	tags    []TagData
	flow    *TagData
	results []Result
	days    []Day
	minutes []float64 // of a signal, made when asked for
	grid    align.Grid
	sum     []float64 // running sum and number of the minutes known
	num     []int32
}

// treatment is how a limit has the results of its column taken, where limits on
// one parameter differ in it.
type treatment struct {
	rule         Rule
	fixed        float64 // of the rule; -1: none
	level        float64 // compliance level, working unit; -1: none
	compositeDay string
}

// treatmentOf is what a limit asks for, else what [reporting] does.
func (b *bench) treatmentOf(l plant.Limit, sampled bool) treatment {
	r := b.in.Plant.Reporting
	t := treatment{rule: Rule(r.NonDetect), fixed: -1, level: -1, compositeDay: r.CompositeDay}
	if !sampled {
		return t
	}
	fixed := r.NonDetectValue
	if l.NonDetect != "" {
		t.rule, fixed = Rule(l.NonDetect), l.NonDetectValue
	}
	if t.rule == Fixed && finite(fixed) {
		t.fixed = fixed
	}
	if l.CompositeDay != "" {
		t.compositeDay = l.CompositeDay
	}
	if info, ok := quantity.Of(l.Parameter); ok && l.ComplianceLevel > 0 {
		if u, err := quantity.ParseUnit(l.Unit); err == nil {
			if v, err := quantity.Convert(l.ComplianceLevel, u, info.Working); err == nil {
				t.level = v
			}
		}
	}
	return t
}

func (c *column) signal() bool { return c.sample == "continuous" }

// bench holds the calendar and the columns built so far.
type bench struct {
	in      Input
	cal     *calendar
	from    int64
	to      int64
	columns []*column
	perDay  map[string][]align.Stat // by tag
	offs    map[string][]float64    // by tag, see offScale
}

func newBench(in Input) *bench {
	b := &bench{in: in, from: in.From, to: in.To, perDay: map[string][]align.Stat{}, offs: map[string][]float64{}}
	if b.from == 0 && b.to == 0 {
		b.from, b.to = math.MaxInt64, math.MinInt64
		for _, t := range in.Tags {
			if n := t.Series.Len(); n > 0 {
				first, last := t.Series.T[0], t.Series.T[n-1]+1
				if t.Tag.Sampled() { // a bottle speaks for its day
					day := func(ms int64, add int) int64 {
						x := time.UnixMilli(ms).In(in.Plant.Zone)
						return align.StartOfDay(x.Year(), x.Month(), x.Day()+add, in.Plant.Zone)
					}
					first, last = day(first, 0), day(last-1, 1)
				}
				b.from, b.to = min(b.from, first), max(b.to, last)
			}
		}
	}
	// From January for the year to date, with room for the weeks, four-day and
	// thirty-day windows that reach over the edges.
	first := date(in.Year, time.January, 1).AddDate(0, 0, -37)
	b.cal = newCalendar(first, date(in.Year, in.Month+1, 0).AddDate(0, 0, 7), in.Plant.Zone)
	return b
}

// measures says whether find would find a tag.
func (b *bench) measures(kind quantity.Kind, at, sample string) bool {
	for _, t := range b.in.Tags {
		if t.Tag.Measures != kind || t.Tag.At != at || t.Tag.Reading == series.Counter || t.Tag.Reading == series.State {
			continue
		}
		word := t.Tag.Reading.String()
		if !t.Tag.Sampled() {
			word = "continuous"
		}
		if sample == "" || sample == word {
			return true
		}
	}
	return false
}

// find chooses the tags that a limit is about. Without a stated sample type,
// samples win over a signal.
func (b *bench) find(kind quantity.Kind, at, sample string, l plant.Limit) *column {
	var signals, grabs, composites []TagData
	for _, t := range b.in.Tags {
		if t.Tag.Measures != kind || t.Tag.At != at {
			continue
		}
		switch t.Tag.Reading {
		case series.Grab:
			grabs = append(grabs, t)
		case series.Composite:
			composites = append(composites, t)
		case series.Continuous, series.OnChange:
			signals = append(signals, t)
		}
	}
	tags := signals
	switch sample {
	case "grab":
		tags = grabs
	case "composite":
		tags = composites
	case "continuous":
	default:
		if n := len(grabs) + len(composites); n > 0 {
			tags = append(append([]TagData(nil), composites...), grabs...)
			sample = "sampled"
			if len(grabs) == 0 {
				sample = "composite"
			} else if len(composites) == 0 {
				sample = "grab"
			}
		} else {
			sample = "continuous"
		}
	}
	treat := b.treatmentOf(l, sample != "continuous")
	if len(composites) == 0 || sample == "grab" {
		treat.compositeDay = ""
	}
	for _, c := range b.columns {
		if c.kind == kind && c.at == at && c.sample == sample && c.treat == treat {
			return c
		}
	}
	c := &column{kind: kind, at: at, sample: sample, tags: tags, treat: treat}
	if info, ok := quantity.Of(kind); ok {
		c.unit = info.Working
	}
	if c.signal() && len(tags) > 1 {
		// The first signal of tags.csv that was read at all; the others are spares.
		c.tags = tags[:1]
		for _, t := range tags {
			if t.Series.Len() > 0 {
				c.tags = []TagData{t}
				break
			}
		}
	}
	if ft, ok := b.in.Plant.FlowTag(at); ok {
		for i := range b.in.Tags {
			if b.in.Tags[i].Tag.Name == ft.Name {
				c.flow = &b.in.Tags[i]
			}
		}
	}
	b.columns = append(b.columns, c)
	b.fillDays(c)
	if c.signal() {
		b.fillSignal(c)
	} else {
		b.fillSamples(c)
	}
	b.fillLoads(c)
	return c
}

func (b *bench) fillDays(c *column) {
	c.days = make([]Day, len(b.cal.dates))
	var flow []align.Stat
	if c.flow != nil {
		flow = b.signalDays(*c.flow)
	}
	nan := math.NaN()
	for i := range c.days {
		d := Day{Date: b.cal.dates[i], Hours: b.cal.hours(i), Value: Value{V: nan}, Used: nan, Min: nan, Max: nan,
			Cover: nan, FlowMGD: nan, Carried: nan, Load: nan}
		if flow != nil {
			d.FlowMGD, d.flowCover = flow[i].At(b.in.Settings.DayCover), flow[i].Cover
			d.flowOff = b.offScale(*c.flow)[i] > 0
			d.NoDischarge = finite(d.FlowMGD) && b.highestFlow(*c.flow, i, flow[i]) <= b.in.Plant.Reporting.NoDischarge
		}
		c.days[i] = d
	}
}

// highestFlow is the highest reading of a day's flow. The line that leads from
// the day's last reading to the first of the next is no reading: a discharge
// that begins at midnight leaves the day before without one.
func (b *bench) highestFlow(t TagData, day int, st align.Stat) float64 {
	if t.Tag.Reading != series.Continuous {
		return st.Max
	}
	top := math.NaN()
	lo, hi := t.Series.Between(b.cal.windows[day].Start, b.cal.windows[day].End)
	for i := lo; i < hi; i++ {
		if v := t.Series.V[i]; t.Series.Usable(i) && !(v <= top) {
			top = v
		}
	}
	if math.IsNaN(top) {
		return st.Max
	}
	return top
}

// signalDays gives a signal's statistics of each calendar day, made once.
func (b *bench) signalDays(t TagData) []align.Stat {
	if b.perDay[t.Tag.Name] == nil {
		b.perDay[t.Tag.Name] = align.Over(t.Series, t.Rule, b.cal.windows)
	}
	return b.perDay[t.Tag.Name]
}

func (b *bench) fillSignal(c *column) {
	if len(c.tags) == 0 {
		return
	}
	t := c.tags[0]
	st := b.signalDays(t)
	var joint []align.Joint
	if c.flow != nil && c.unit.Dimension == quantity.Concentration {
		joint = align.Product(c.flow.Series, t.Series, c.flow.Rule, t.Rule, b.cal.windows)
	}
	for i := range c.days {
		d := &c.days[i]
		d.Value.V, d.Cover = st[i].At(b.in.Settings.DayCover), st[i].Cover
		d.Min, d.Max = st[i].Min, st[i].Max
		if finite(d.Value.V) && b.offScale(t)[i] > 0 {
			d.Value.Sign = Greater
		}
		d.Carried = d.Value.V
		if joint != nil && joint[i].Cover+1e-9 >= b.in.Settings.DayCover {
			d.Carried = joint[i].Weighted()
		}
	}
}

func (b *bench) fillSamples(c *column) {
	for _, t := range c.tags {
		for _, r := range b.resultsOf(c, t, b.cal.windows[0].Start, b.cal.windows[len(b.cal.windows)-1].End+2*dayMillis) {
			r.Grab = t.Tag.Reading == series.Grab
			if r.day = b.dayOf(c, t, r); r.day < 0 {
				continue
			}
			r.Date = b.cal.dates[r.day]
			switch d := &c.days[r.day]; {
			case r.Note != "":
			case d.NoDischarge:
				r.Note = noDischarge
			}
			c.results = append(c.results, r)
		}
	}
	sort.SliceStable(c.results, func(i, j int) bool {
		a, b := c.results[i], c.results[j]
		if a.T != b.T {
			return a.T < b.T
		}
		return a.Tag < b.Tag
	})
	by := make([][]Value, len(c.days))
	for _, r := range c.results {
		if r.Note == "" {
			by[r.day] = append(by[r.day], r.Value)
		}
	}
	ch := b.choice(c, c.unit)
	for i, vs := range by {
		if len(vs) > 0 {
			c.days[i].fill(vs, ch)
		}
	}
	for _, r := range c.results {
		if d := &c.days[r.day]; !finite(d.Value.V) && r.Note != noDischarge && r.Written != "" && !strings.Contains(d.Text, r.Written) {
			d.Text = strings.TrimPrefix(d.Text+", "+r.Written, ", ")
		}
		if d := &c.days[r.day]; d.N == 0 && (r.Means == lab.NoDischarge || r.Means == lab.OffSeason) {
			d.Excused = r.Note
		}
	}
}

const dayMillis = 24 * 3_600_000

// dayOf is the calendar day that a result counts for; -1: none here. A composite
// that is stamped at midnight, as all of its tag are, bears no time of day: it
// counts for the day it is stamped.
func (b *bench) dayOf(c *column, t TagData, r Result) int {
	at, back := r.T, 0
	if !r.Grab {
		switch {
		case c.treat.compositeDay == "day-before" || c.treat.compositeDay == "begun":
			back = 1
		case c.treat.compositeDay == "most-hours" && b.stampedWithTime(t):
			at -= dayMillis / 2
		}
	}
	day := b.cal.index(at)
	switch {
	case day >= 0:
		return day - back
	case back == 1 && at >= b.cal.windows[len(b.cal.windows)-1].End && at < b.cal.windows[len(b.cal.windows)-1].End+dayMillis:
		return len(b.cal.windows) - 1
	}
	return -1
}

// stampedWithTime says that some result of a tag does not stand at midnight.
func (b *bench) stampedWithTime(t TagData) bool {
	for _, ms := range t.Series.T {
		if x := time.UnixMilli(ms).In(b.cal.loc); x.Hour() != 0 || x.Minute() != 0 {
			return true
		}
	}
	return false
}

// choice is the permit's non-detect rule for values of a column in unit u.
func (b *bench) choice(c *column, u quantity.Unit) Choice {
	ch := choice(b.in.Plant.Reporting, b.in.Settings, c.unit.Dimension == quantity.Count)
	ch.Rule, ch.Fixed = c.treat.rule, math.NaN()
	if c.treat.fixed >= 0 {
		ch.Fixed = c.treat.fixed
	}
	// A fixed number is stated in the working unit of the parameter.
	if v, err := quantity.Convert(ch.Fixed, c.unit, u); err == nil {
		ch.Fixed = v
	}
	return ch
}

func (b *bench) fillLoads(c *column) {
	ch := b.choice(c, c.unit)
	for i := range c.days {
		d := &c.days[i]
		if !d.Value.there() {
			continue
		}
		d.Used = ch.Used(d.Value)
		if c.unit.Dimension == quantity.Concentration && finite(d.FlowMGD) && !d.NoDischarge {
			d.Load = ch.Used(Value{d.Carried, d.Value.Sign}) * d.FlowMGD * b.in.Settings.Factor
		}
	}
}

// minute gives the minute means of the column's signal over the calendar, as
// far as the exports reach. They are made once.
func (b *bench) minute(c *column) ([]float64, align.Grid) {
	if c.minutes == nil {
		from := max(b.from, b.cal.windows[0].Start)
		to := min(b.to, b.cal.windows[len(b.cal.windows)-1].End)
		c.grid = align.GridOver(from, max(from, to))
		c.minutes = align.Minutes(c.tags[0].Series, c.tags[0].Rule, c.grid)
	}
	return c.minutes, c.grid
}

// title: "Total chlorine residual, outfall (grab)".
func (b *bench) title(c *column) string {
	info, _ := quantity.Of(c.kind)
	return fmt.Sprintf("%s, %s (%s)", info.Title, b.in.Plant.Title(c.at), c.sample)
}
