package screen

import (
	"fmt"
	"math"
	"sort"
	"strings"

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
func (r *TagReport) unitSense(tg Tagged, otherFlow float64, set Settings, b *scratch) {
	if len(b.v) == 0 || tg.Reading == series.State || tg.Reading == series.Counter {
		return
	}
	q := b.quantiles(len(b.v), func(i int) float64 { return b.v[i] }, 0.01, 0.05, 0.5, 0.95, 0.99)
	if text, next := wholeRecord(tg, otherFlow, q, set, b); text != "" {
		r.doubt(tg, b, []idxSpan{{0, len(b.v)}})
		r.unitMessage(tg, b, []idxSpan{{0, len(b.v)}}, text, next)
		return
	}
	if tg.Reading == series.Grab || tg.Reading == series.Composite {
		return // too few to tell a stretch from a bad day
	}
	r.unitStretches(tg, q[2], set, b)
}

// wholeRecord gives the doubt about the record as a whole, or nothing.
func wholeRecord(tg Tagged, otherFlow float64, q []float64, set Settings, b *scratch) (text, next string) {
	p1, p5, mid, p95, p99 := q[0], q[1], q[2], q[3], q[4]
	d := tg.Declared.Symbol
	fix := func(unit string) string {
		return fmt.Sprintf("if the export is in %s, set unit to %s in tags.csv line %d", unit, unit, tg.Line)
	}
	low, high, names := mixups(tg.Kind)
	switch tg.Kind {
	case quantity.ORP:
		raw := func(w float64) float64 { v, _ := quantity.Convert(w, working(tg), tg.Declared); return v }
		top := max(math.Abs(p1), math.Abs(p99))
		switch {
		case d == "mV" && top > 0 && top < 2:
			return fmt.Sprintf("declared in mV, but the values lie between %s and %s: that is ORP in volts", num(p1), num(p99)), fix("V")
		case d == "V" && top > 3000:
			return fmt.Sprintf("declared in V, but the values lie between %s and %s: that is ORP in millivolts", num(raw(p1)), num(raw(p99))), fix("mV")
		case d == "mV" && p1 >= 0 && p99 < 30 && p99-p1 > 0:
			return fmt.Sprintf("declared as ORP in mV, but the values lie between %s and %s: no ORP probe stays there; it looks like a concentration in mg/L", num(p1), num(p99)),
				fmt.Sprintf("check which signal this tag carries; if it is a residual, set measures to chlorine_total and unit to mg/L in tags.csv line %d", tg.Line)
		}
		return "", ""
	case quantity.PH:
		if p5 > high || p95 < -5 {
			return fmt.Sprintf("declared as pH, but the values lie between %s and %s: that may be the probe's raw mV", num(p5), num(p95)),
				fmt.Sprintf("check which signal this tag carries, tags.csv line %d", tg.Line)
		}
		return "", ""
	case quantity.ChlorineTotal, quantity.ChlorineFree:
		if d == "mg/L" && p5 > 100 && p95 < 1200 {
			return fmt.Sprintf("declared as a residual in mg/L, but the values lie between %s and %s: that is the range of ORP in mV, or of a residual in µg/L", num(p5), num(p95)),
				fmt.Sprintf("check which signal this tag carries; if it is ORP, set measures to orp and unit to mV, if it is in µg/L (ppb), set unit to µg/L in tags.csv line %d", tg.Line)
		}
		if d == "µg/L" {
			if raw := func(w float64) float64 { return w * 1000 }; raw(p95) < 20 && raw(p95) > 0.02 && fractional(b, 1000) > 0.5 {
				return fmt.Sprintf("declared in µg/L, but the values lie between %s and %s with decimals: no chlorine analyser resolves that; it looks like mg/L", num(raw(p5)), num(raw(p95))), fix("mg/L")
			}
		}
	}
	// A stated span, or a level known from elsewhere, tells more than the
	// kind's own band.
	whose := "where such a tag usually lies"
	if !math.IsNaN(tg.Low) && !math.IsNaN(tg.High) && tg.High > tg.Low {
		slack := 0.1 * (tg.High - tg.Low)
		low, high, whose = tg.Low-slack, tg.High+slack, "the tag's span"
	}
	ref, refName := tg.Typical, "the plant's stated level"
	apart := tg.Kind == quantity.Flow && (mid > 5*ref || mid > 0 && mid < ref/5)
	if math.IsNaN(ref) && tg.Kind == quantity.Flow {
		// Flows within a plant differ by hundreds (influent, waste sludge,
		// carrier water), so another flow tag only witnesses against a level
		// that few plants have.
		ref, refName = otherFlow, "the other flow tags"
		apart = mid > 50 && mid > 5*ref
	}
	us := otherUnits(tg, names)
	if ref > 0 && apart {
		// By factor against the reference: the closest one that comes near.
		best, off := -1, math.Log(set.UnitFactor)
		for k, o := range us {
			if x := math.Abs(math.Log(o.read(mid) / ref)); x < off {
				best, off = k, x
			}
		}
		if best >= 0 {
			o := us[best]
			return fmt.Sprintf("declared in %s, but its usual level is %s %s, %s times that of %s (%s %s); read in %s it would be %s %s",
				d, num(mid), working(tg).Symbol, num(mid/ref), refName, num(ref), working(tg).Symbol, o.unit.Symbol, num(o.read(mid)), working(tg).Symbol), fix(o.unit.Symbol)
		}
	}
	if math.IsNaN(low) || share(b, low, high, 1, 0) > 1-set.UnitShare {
		return "", ""
	}
	var fits, units []string
	for _, o := range us {
		if share(b, low, high, o.mul, o.shift) >= set.UnitShare && o.read(mid) != 0 {
			fits = append(fits, fmt.Sprintf("%s (%s %s)", o.unit.Symbol, num(o.read(mid)), working(tg).Symbol))
			units = append(units, o.unit.Symbol)
		}
	}
	if len(fits) == 0 {
		return "", ""
	}
	raw, _ := quantity.Convert(mid, working(tg), tg.Declared)
	return fmt.Sprintf("declared in %s, but its usual level, %s %s, lies outside %s, %s to %s %s; read in %s it would fit",
		d, num(raw), d, whose, num(low), num(high), working(tg).Symbol, strings.Join(fits, " or ")), fix(strings.Join(units, " or "))
}

// share is the part of the values within [low, high] after mul and shift.
func share(b *scratch, low, high, mul, shift float64) float64 {
	n, in := 0, 0
	for i := 0; i < len(b.v); i += len(b.v)/8192 + 1 {
		n++
		if x := b.v[i]*mul + shift; x >= low && x <= high {
			in++
		}
	}
	return float64(in) / float64(n)
}

// fractional is the part of the values that are no whole numbers after mul.
func fractional(b *scratch, mul float64) float64 {
	n, in := 0, 0
	for i := 0; i < len(b.v); i += len(b.v)/8192 + 1 {
		n++
		if x := b.v[i] * mul; math.Abs(x-math.Round(x)) > 0.005 {
			in++
		}
	}
	return float64(in) / float64(n)
}

// unitStretches finds stretches that leave the record's level mid by a known
// factor, hold it for UnitStretch or longer, and join the readings before and
// after them without a step once they are read in the other unit.
func (r *TagReport) unitStretches(tg Tagged, mid float64, set Settings, b *scratch) {
	_, _, names := mixups(tg.Kind)
	us := otherUnits(tg, names)
	if len(us) == 0 || mid == 0 {
		return
	}
	temp := tg.Kind == quantity.Temp
	// Values far below the usual are no residual, no ammonia, no feed; only a
	// flow or an ORP never falls by a factor of hundreds and stays there.
	downToo := tg.Kind == quantity.Flow || tg.Kind == quantity.ORP
	near := func(x float64) bool {
		if temp {
			return math.Abs(x-mid) <= 10
		}
		return x/mid > 1/set.UnitFactor/1.25 && x/mid < set.UnitFactor*1.25
	}
	far := func(w float64) bool {
		if temp {
			return math.Abs(w-mid) > 15
		}
		return w/mid > 20 || downToo && w/mid > 0 && w/mid < 1.0/20
	}
	limit := set.gapMS(r.SpacingMS)
	for _, o := range us {
		var spans []idxSpan
		for i := 0; i < len(b.v); i++ {
			if !far(b.v[i]) {
				continue
			}
			// A dip within the stretch, such as a cleaned analyser's, does not
			// end it: most readings must fit, not each.
			j, fit := i, 0
			for j < len(b.v) && far(b.v[j]) && (j == i || b.t[j]-b.t[j-1] <= max(limit, set.UnitStretch.Milliseconds())) {
				if near(o.read(b.v[j])) {
					fit++
				}
				j++
			}
			if b.t[j-1]-b.t[i] >= set.UnitStretch.Milliseconds() && float64(fit) >= set.UnitShare*float64(j-i) && joins(b, o, i, j, temp) {
				spans = append(spans, idxSpan{i, j})
			}
			i = j - 1
		}
		if len(spans) == 0 {
			continue
		}
		var sum float64
		n := 0
		for _, s := range spans {
			for k := s.lo; k < s.hi; k++ {
				sum += b.v[k]
				n++
			}
		}
		u := working(tg).Symbol
		r.doubt(tg, b, spans)
		r.unitMessage(tg, b, spans,
			fmt.Sprintf("usually near %s %s, but %s on average in %d stretches (%d readings) from %s to %s; read in %s instead of %s they would be %s %s",
				num(mid), u, num(sum/float64(n)), len(spans), n, set.at(b.t[spans[0].lo]), set.at(b.t[spans[len(spans)-1].hi-1]),
				o.unit.Symbol, tg.Declared.Symbol, num(o.read(sum/float64(n))), u),
			fmt.Sprintf("check the unit of the files of that time; export them again in %s", tg.Declared.Symbol))
		return // one explanation is enough
	}
}

// joins says whether the stretch [i, j), read in the other unit, carries on from
// the reading before it and into the reading after it. Water does not change its
// flow or its chlorine at a file's edge; a plant that really stops does.
func joins(b *scratch, o other, i, j int, temp bool) bool {
	const near = 2 * 3600_000 // a neighbour further away in time says nothing
	ok := func(inside, outside float64) bool {
		if temp {
			return math.Abs(inside-outside) <= 3
		}
		return inside/outside > 1/1.5 && inside/outside < 1.5
	}
	// Medians of some readings on each side, so that no single dip decides.
	const side = 15
	mid := func(lo, hi int) float64 {
		var w [side]float64
		return medianOf(w[:copy(w[:], b.v[lo:hi])])
	}
	if i > 0 && b.t[i]-b.t[i-1] < near && !ok(o.read(mid(i, min(i+side, j))), mid(max(i-side, 0), i)) {
		return false
	}
	return !(j < len(b.v) && b.t[j]-b.t[j-1] < near && !ok(o.read(mid(max(j-side, i), j)), mid(j, min(j+side, len(b.v)))))
}

func (r *TagReport) doubt(tg Tagged, b *scratch, spans []idxSpan) {
	for _, s := range spans {
		for k := s.lo; k < s.hi; k++ {
			r.marks = append(r.marks, mark{series.UnitDoubt, b.idx[k], b.idx[k] + 1})
		}
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
		Text: fmt.Sprintf("%s (tags.csv line %d): %s; %d readings are in doubt and not used", r.Tag, tg.Line, text, n),
		Next: next,
	})
}

// otherFlows gives, for each tag, the median level of the other flow tags; NaN
// where there is none.
func otherFlows(tags []Tagged) []float64 {
	level := make([]float64, len(tags))
	var buf scratch
	for k, tg := range tags {
		level[k] = math.NaN()
		if tg.Kind == quantity.Flow && tg.Series.Len() > 0 {
			buf.load(tg.Series)
			level[k] = buf.quantiles(len(buf.v), func(i int) float64 { return buf.v[i] }, 0.5)[0]
		}
	}
	out := make([]float64, len(tags))
	for k := range tags {
		var ls []float64
		for j, l := range level {
			if j != k && l > 0 {
				ls = append(ls, l)
			}
		}
		sort.Float64s(ls)
		out[k] = math.NaN()
		if len(ls) > 0 {
			out[k] = ls[len(ls)/2]
		}
	}
	return out
}
