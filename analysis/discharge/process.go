package discharge

import (
	"math"
	"slices"

	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// Process is a figure of the plant's operation day by day, whether or not a limit asks
// for it: what an operator's monthly sheet has beside the permit's parameters.
type Process struct {
	Key                  string // of its columns: point or basin, then what it is
	Tag, At, Title, Unit string // working unit
	Days                 []Day  // of the month: Min, Value (the mean), Max and Cover; NaN where not determined
	LeastOnly            bool   // only the least of the day is stated
	NoMean               bool   // no mean is stated: pH
}

// processKinds are what is stated for each day of every signal of them.
var processKinds = []quantity.Kind{quantity.Flow, quantity.ChlorineTotal, quantity.ChlorineFree, quantity.PH, quantity.Temp}

// processKey tells signals of one kind at one point apart by their tags.
func (b *bench) processKey(m *Month, t plant.Tag) string {
	key := t.At + "." + string(t.Measures)
	for _, p := range m.Process {
		if p.Key == key {
			return key + "_" + t.Name
		}
	}
	return key
}

// process lists the month's daily figures of flows, residuals, pH and temperature on
// line, without the readings that are left out as at fault.
func (b *bench) process(m *Month) {
	lo, hi := b.cal.month(m.Year, m.Month)
	for _, kind := range processKinds {
		for _, t := range b.in.Tags {
			if t.Tag.Measures != kind || t.Series.Len() == 0 || t.Tag.Reading != series.Continuous && t.Tag.Reading != series.OnChange {
				continue
			}
			info, _ := quantity.Of(kind)
			p := Process{Key: b.processKey(m, t.Tag), Tag: t.Tag.Name, At: t.Tag.At, Title: shortTitle(kind) + ", " + b.in.Plant.Title(t.Tag.At), Unit: t.Tag.Working.Symbol, NoMean: info.Working.Dimension == quantity.Acidity}
			st, off := b.signalDays(t), b.offScale(t)
			for i := lo; i < hi; i++ {
				d := Day{Date: b.cal.dates[i], Hours: b.cal.hours(i), Value: Value{V: st[i].At(b.in.Settings.DayCover)}, Min: math.NaN(), Max: math.NaN(), Cover: st[i].Cover}
				if finite(d.Value.V) {
					d.Min, d.Max = st[i].Min, st[i].Max
					if off[i] > 0 {
						d.Value.Sign = Greater
					}
				}
				p.Days = append(p.Days, d)
			}
			if slices.ContainsFunc(p.Days, func(d Day) bool { return finite(d.Value.V) }) {
				m.Process = append(m.Process, p)
			}
		}
	}
}

// Part is one of the figures of a day: its least, mean or most.
type Part struct {
	Word string
	Of   func(Day) Value
}

// Parts are the figures that are stated of each day, in order. At the end of an
// instrument's scale the mean and the most are "more than".
func (p Process) Parts() []Part {
	least := Part{"least", func(d Day) Value { return Value{V: d.Min} }}
	if p.LeastOnly {
		return []Part{{"least", func(d Day) Value { return Value{d.Min, d.Value.Sign} }}}
	}
	mean := Part{"mean", func(d Day) Value { return d.Value }}
	most := Part{"most", func(d Day) Value { return Value{d.Max, d.Value.Sign} }}
	if p.NoMean {
		return []Part{least, most}
	}
	return []Part{least, mean, most}
}
