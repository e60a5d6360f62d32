package screen

import (
	"fmt"
	"math"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// Unit sense: does the level of the values fit the declared unit? Asked twice,
// of the record as a whole and of stretches that leave the record's own level
// by a known factor (one file of the month exported in another unit).
//
// A doubted reading is marked UnitDoubt and not used: a load computed from gpm
// taken for MGD would be wrong by a factor of 694.

// mixups lists the units that each kind is exported in by mistake. The bands
// are where such a tag lives at a treatment plant (working unit): common
// practice, no source.
func mixups(k quantity.Kind) (low, high float64, units []string) {
	switch k {
	case quantity.Flow:
		return math.NaN(), math.NaN(), []string{"MGD", "gpm", "m³/h", "m³/d", "L/s", "kgpd", "gpd"}
	case quantity.ChlorineTotal, quantity.ChlorineFree:
		return -0.5, 30, []string{"mg/L", "µg/L"}
	case quantity.AmmoniaN, quantity.NitriteN, quantity.NitrateN:
		return -1, 150, []string{"mg/L", "µg/L"}
	case quantity.Phosphorus:
		return -1, 100, []string{"mg/L", "µg/L"}
	case quantity.ORP:
		return math.NaN(), math.NaN(), []string{"mV", "V"}
	case quantity.Temp:
		return -1, 40, []string{"°C", "°F"}
	case quantity.PH:
		return 2, 13, nil
	case quantity.HypochloriteFeed, quantity.BisulfiteFeed:
		return math.NaN(), math.NaN(), []string{"gal/h", "gpd", "L/h", "mL/min", "gpm"}
	case quantity.Level:
		return math.NaN(), math.NaN(), []string{"ft", "in", "m", "cm"}
	}
	return math.NaN(), math.NaN(), nil
}

// other is the declared values read in another unit: a straight line from
// working value to working value.
type other struct {
	unit       quantity.Unit
	mul, shift float64
}

func (o other) read(w float64) float64 { return w*o.mul + o.shift }

// otherUnits gives the readings of the values in each unit they may have been
// meant in, the declared one left out.
func otherUnits(tg Tagged, names []string) []other {
	work := working(tg)
	var out []other
	for _, n := range names {
		u := quantity.MustUnit(n)
		if u.Dimension != work.Dimension || u.Dimension != tg.Declared.Dimension || u.Scale == tg.Declared.Scale && u.Offset == tg.Declared.Offset {
			continue
		}
		at := func(w float64) float64 { // working -> as exported -> meant in u -> working
			raw, _ := quantity.Convert(w, work, tg.Declared)
			v, _ := quantity.Convert(raw, u, work)
			return v
		}
		o := other{unit: u, shift: at(0)}
		o.mul = at(1) - o.shift
		out = append(out, o)
	}
	return out
}

// unitSense runs both questions.
func (r *TagReport) unitSense(tg Tagged, otherFlow func() float64, set Settings, b *scratch) {
	if len(b.v) == 0 || tg.Reading == series.State || tg.Reading == series.Counter {
		return
	}
	q := b.picked().levels
	if text, next := wholeRecord(tg, otherFlow, q, set, b); text != "" {
		r.doubt(tg, b, []idxSpan{{0, len(b.v)}})
		r.unitMessage(tg, b, []idxSpan{{0, len(b.v)}}, text, next)
		return
	}
	if tg.Reading == series.Grab || tg.Reading == series.Composite {
		return // too few to tell a stretch from a bad day
	}
	r.unitStretches(tg, b.usualLevel(tg, q.mid), set, b)
}

// usualLevel is the median of the readings within the tag's span, so that a
// stretch in another unit cannot pass for usual however long it is; mid where
// the span holds hardly any.
func (b *scratch) usualLevel(tg Tagged, mid float64) float64 {
	low, high, _ := span(tg)
	q := b.picked()
	if q.least >= low && q.most <= high && every(len(q.x)) == 1 {
		return q.mid // of the same readings
	}
	var in []float64
	for _, x := range q.x {
		if x >= low && x <= high {
			in = append(in, x)
		}
	}
	if 20*len(in) < len(b.v)/every(len(b.v)) {
		return mid
	}
	return b.quantile(in, 0.5)
}

// doubt marks the spans as not to be used.
func (r *TagReport) doubt(tg Tagged, b *scratch, spans []idxSpan) {
	for _, s := range spans {
		r.mark(series.UnitDoubt, b, s)
		r.Stretches = append(r.Stretches, Stretch{Defect: Unit, Start: b.t[s.lo], End: b.after(s.hi - 1), Readings: s.hi - s.lo})
	}
}

func (r *TagReport) unitMessage(tg Tagged, b *scratch, spans []idxSpan, text, next string) {
	n := 0
	for _, s := range spans {
		n += s.hi - s.lo
	}
	r.messages = append(r.messages, Message{
		Tag: r.Tag, Line: tg.Line, Defect: Unit, Readings: n, Start: b.t[spans[0].lo], End: b.t[spans[len(spans)-1].hi-1],
		Text: fmt.Sprintf("%s (tags.csv line %d): %s; in doubt and not used: %s", r.Tag, tg.Line, text, readings(n, r.Rows)),
		Next: next,
	})
}
