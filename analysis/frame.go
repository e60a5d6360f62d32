package analysis

import (
	"fmt"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
)

// longestPeriod guards against a period that nobody means: its hours would fill a
// disk.
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

// newFrame lays the period over the readings. Its ends may be 0: then the first and
// last reading of the record set it, see recordOf.
func newFrame(whole map[string]*series.Series, screening screen.Settings, in Input) (*Frame, error) {
	p, from, to := in.Plant, in.From, in.To
	record, apart, err := recordOf(in, whole, defaultRecordSettings())
	if err != nil {
		return nil, err
	}
	if from == 0 {
		from = record.from
	}
	if to == 0 {
		to = record.to + 60_000
	}
	if from > record.to || to <= record.from {
		return nil, emptyError(fmt.Sprintf("no reading between %s and %s; the exports hold %s to %s", localMinute(p, from), localMinute(p, to), localMinute(p, record.from), localMinute(p, record.to)))
	}
	if longest := longestPeriod.Milliseconds(); to-from > longest || record.to-record.from > longest {
		return nil, fmt.Errorf("the period from %s to %s is over twenty years long: a wrong date? \"weirbook check\" shows each tag's first and last reading", localMinute(p, min(from, record.from)), localMinute(p, max(to, record.to)))
	}
	all := map[string]*series.Series{}
	for name, s := range whole {
		all[name] = readingsOf(s, record)
	}
	for _, t := range p.Tags { // samples are few, and stand for longer than their minute
		if t.Sampled() && whole[t.Name] != nil {
			all[t.Name] = whole[t.Name]
		}
	}
	p, totals, notes := withTotalisers(p, all, screening)
	f := &Frame{notes: append(apart, notes...), Plant: p, From: from, To: to, Series: map[string]*series.Series{}, minutes: map[string][]float64{}}
	// The grid holds the record's readings, also those before the period asked for:
	// water leaving at its beginning entered earlier, and what is usual for a probe
	// is learned from them.
	f.Grid = align.GridOver(record.from, record.to+60_000)
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
