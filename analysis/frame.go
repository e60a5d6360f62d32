package analysis

import (
	"fmt"
	"math"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
)

// longestPeriod guards against a single reading with a wrong year, which would
// stretch the minute grid over decades.
const longestPeriod = 20 * 366 * 24 * time.Hour

// Frame is a period with the plant's signals laid over it.
type Frame struct {
	Plant       *plant.Plant
	From, To    int64                     // Unix milliseconds, [From, To)
	Grid        align.Grid                // all readings, from before From to after To where there are any
	Hours, Days []align.Window            // those of the period
	Series      map[string]*series.Series // by tag, screened; empty series where an export holds nothing

	settings align.Settings
	notes    []string // what the frame had to do without
	minutes  map[string][]float64
}

// newFrame lays the period over the readings. From and to may be 0: then the
// first and last reading of any signal set it.
func newFrame(p *plant.Plant, all map[string]*series.Series, screening screen.Settings, from, to int64) (*Frame, error) {
	first, last := int64(math.MaxInt64), int64(math.MinInt64)
	for _, t := range p.Tags {
		s := all[t.Name]
		if s == nil || s.Len() == 0 || t.Sampled() {
			continue
		}
		first, last = min(first, s.T[0]), max(last, s.T[s.Len()-1])
	}
	if first > last {
		return nil, emptyError("the exports hold no reading of any signal in tags.csv; \"weirbook check\" shows what they hold")
	}
	show := func(ms int64) string { return time.UnixMilli(ms).In(p.Zone).Format("2006-01-02 15:04") }
	if from == 0 {
		from = first
	}
	if to == 0 {
		to = last + 60_000
	}
	if from > last || to <= first {
		return nil, emptyError(fmt.Sprintf("no reading between %s and %s; the exports hold %s to %s", show(from), show(to), show(first), show(last)))
	}
	if time.Duration(last-first)*time.Millisecond > longestPeriod || last-first < 0 {
		return nil, fmt.Errorf("the readings span %s to %s, over twenty years: a wrong date in an export? \"weirbook check\" shows each tag's first and last reading", show(first), show(last))
	}
	p, totals, notes := withTotalisers(p, all, screening)
	f := &Frame{notes: notes, Plant: p, From: from, To: to, Series: map[string]*series.Series{}, minutes: map[string][]float64{}}
	// The grid holds all readings, also those before the period asked for: water
	// leaving at its beginning entered earlier, and what is usual for a probe is
	// learned from everything there is.
	f.Grid = align.GridOver(first, last+60_000)
	f.Hours = align.Hours(from, to, p.Zone)
	f.Days = align.Days(from, to, p.Zone)
	f.settings = align.DefaultSettings()
	f.settings.MaxGapContinuous = p.MaxGap
	f.settings.MinCover = p.HourCoverage
	for _, t := range p.Tags {
		s := all[t.Name]
		if totals[t.Name] != nil {
			s = totals[t.Name]
		}
		if s == nil {
			s = &series.Series{Tag: t.Name}
		}
		f.Series[t.Name] = s
	}
	return f, nil
}

// Rule says what holds between the readings of a tag.
func (f *Frame) Rule(t plant.Tag) align.Rule {
	r := f.settings.RuleFor(f.Series[t.Name], t.Reading)
	if t.MaxGap > 0 {
		r.MaxGap = t.MaxGap
	}
	return r
}

// Minutes is a tag's minute column: means in working units, NaN where not
// covered. Columns are made once and shared; nobody writes to them.
func (f *Frame) Minutes(t plant.Tag) []float64 {
	if c, ok := f.minutes[t.Name]; ok {
		return c
	}
	c := align.Minutes(f.Series[t.Name], f.Rule(t), f.Grid)
	f.minutes[t.Name] = c
	return c
}

// layMinutes makes the minute columns of all signals at once, on all cores.
func (f *Frame) layMinutes() {
	cols := make([][]float64, len(f.Plant.Tags))
	parallel(len(cols), func(i int) {
		if t := f.Plant.Tags[i]; !t.Sampled() && f.Series[t.Name].Len() > 0 {
			cols[i] = align.Minutes(f.Series[t.Name], f.Rule(t), f.Grid)
		}
	})
	for i, c := range cols {
		if c != nil {
			f.minutes[f.Plant.Tags[i].Name] = c
		}
	}
}

// signal gives the minute column of what measures k on line at a point; nil
// when the plant has none.
func (f *Frame) signal(k quantity.Kind, point string) (plant.Tag, []float64) {
	t, ok := f.Plant.Signal(k, point)
	if !ok {
		return t, nil
	}
	return t, f.Minutes(t)
}

// flow gives the minute column of the flow that carries the loads at a point;
// nil when the plant has none.
func (f *Frame) flow(point string) (plant.Tag, []float64) {
	t, ok := f.Plant.FlowTag(point)
	if !ok {
		return t, nil
	}
	return t, f.Minutes(t)
}
