package screen

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis/quantity"
)

// levels are the quantiles of a record that unit sense looks at.
type levels struct{ p1, p5, mid, p95, p99 float64 }

// setUnit is what to do when the export is in another unit after all.
func (tg Tagged) setUnit(unit string) string {
	return fmt.Sprintf("if the export is in %s, set unit to %s in tags.csv line %d", unit, unit, tg.Line)
}

// wholeRecord gives the doubt about the record as a whole and what to do about
// it; empty when there is none.
func wholeRecord(tg Tagged, otherFlow func() float64, q levels, set Settings, b *scratch) (text, next string) {
	switch tg.Kind {
	case quantity.ORP:
		return orpDoubt(tg, q)
	case quantity.PH:
		return phDoubt(tg, q)
	case quantity.ChlorineTotal, quantity.ChlorineFree:
		if text, next = chlorineDoubt(tg, q, b); text != "" {
			return text, next
		}
	case quantity.Flow:
		if text, next = flowDoubt(tg, otherFlow, q, set); text != "" {
			return text, next
		}
	}
	return bandDoubt(tg, q, set, b)
}

// orpDoubt: ORP is a potential of some hundred millivolts.
func orpDoubt(tg Tagged, q levels) (text, next string) {
	d := tg.Declared.Symbol
	top := max(math.Abs(q.p1), math.Abs(q.p99))
	switch {
	case d == "mV" && top > 0 && top < 2:
		return fmt.Sprintf("declared in mV, but the values lie between %s and %s: that is ORP in volts", num(q.p1), num(q.p99)), tg.setUnit("V")
	case d == "V" && top > 3000:
		return fmt.Sprintf("declared in V, but the values lie between %s and %s: that is ORP in millivolts", num(q.p1/1000), num(q.p99/1000)), tg.setUnit("mV")
	case d == "mV" && q.p1 >= 0 && q.p99 < 30 && q.p99 > q.p1:
		return fmt.Sprintf("declared as ORP in mV, but the values lie between %s and %s: no ORP probe stays there; it looks like a concentration in mg/L", num(q.p1), num(q.p99)),
			fmt.Sprintf("check which signal this tag carries; if it is a residual, set measures to chlorine_total and unit to mg/L in tags.csv line %d", tg.Line)
	}
	return "", ""
}

// phDoubt: a pH beyond the scale is the probe's own signal.
func phDoubt(tg Tagged, q levels) (text, next string) {
	if q.p5 <= 13 && q.p95 >= -5 {
		return "", ""
	}
	return fmt.Sprintf("declared as pH, but the values lie between %s and %s: that may be the probe's raw mV", num(q.p5), num(q.p95)),
		fmt.Sprintf("check which signal this tag carries, tags.csv line %d", tg.Line)
}

// chlorineDoubt: a residual in the hundreds is ORP or µg/L; one in µg/L with
// decimals is mg/L.
func chlorineDoubt(tg Tagged, q levels, b *scratch) (text, next string) {
	switch d := tg.Declared.Symbol; {
	case d == "mg/L" && q.p5 > 100 && q.p95 < 1200:
		return fmt.Sprintf("declared as a residual in mg/L, but the values lie between %s and %s: that is the range of ORP in mV, or of a residual in µg/L", num(q.p5), num(q.p95)),
			fmt.Sprintf("check which signal this tag carries; if it is ORP, set measures to orp and unit to mV, if it is in µg/L (ppb), set unit to µg/L in tags.csv line %d", tg.Line)
	case d == "µg/L" && 1000*q.p95 < 20 && 1000*q.p95 > 0.02 && fractional(b, 1000) > 0.5:
		return fmt.Sprintf("declared in µg/L, but the values lie between %s and %s with decimals: no chlorine analyser resolves that; it looks like mg/L", num(1000*q.p5), num(1000*q.p95)), tg.setUnit("mg/L")
	}
	return "", ""
}

// flowDoubt holds a flow against what the plant states for it, or against the
// other flow tags, by the known factors between units.
func flowDoubt(tg Tagged, otherFlow func() float64, q levels, set Settings) (text, next string) {
	ref, whose := tg.Typical, "the plant's stated level"
	apart := q.mid > 5*ref || q.mid > 0 && q.mid < ref/5
	if math.IsNaN(ref) {
		// Flows within a plant differ by hundreds (influent, waste sludge,
		// carrier water), so another flow tag only witnesses against a level
		// that few plants have.
		if !(q.mid > 50) {
			return "", ""
		}
		ref, whose = otherFlow(), "the other flow tags"
		apart = q.mid > 5*ref
	}
	if !(ref > 0) || !apart {
		return "", ""
	}
	var best *other
	off := math.Log(set.UnitFactor)
	_, _, names := mixups(tg.Kind)
	for _, o := range otherUnits(tg, names) {
		if x := math.Abs(math.Log(o.read(q.mid) / ref)); x < off {
			best, off = &o, x
		}
	}
	if best == nil {
		return "", ""
	}
	u := working(tg).Symbol
	return fmt.Sprintf("declared in %s, but its usual level is %s %s, %s times that of %s (%s %s); read in %s it would be %s %s",
		tg.Declared.Symbol, num(q.mid), u, num(q.mid/ref), whose, num(ref), u, best.unit.Symbol, num(best.read(q.mid)), u), tg.setUnit(best.unit.Symbol)
}

// bandDoubt holds the record against the tag's own span, or where such a tag
// lives at a plant: nearly all values outside, and nearly all inside when read
// in another unit.
func bandDoubt(tg Tagged, q levels, set Settings, b *scratch) (text, next string) {
	low, high, names := mixups(tg.Kind)
	whose, least := "where such a tag usually lies", math.Inf(-1)
	if !math.IsNaN(tg.Low) && !math.IsNaN(tg.High) && tg.High > tg.Low {
		slack := 0.1 * (tg.High - tg.Low)
		low, high, whose = tg.Low-slack, tg.High+slack, "the tag's span"
		if tg.Kind == quantity.Flow {
			// No meter is chosen for fifty times the usual flow; a residual
			// after dechlorination is often that small a part of its span.
			least = tg.Low + 0.02*(tg.High-tg.Low)
		}
	}
	if math.IsNaN(low) || share(b, low, high, 1, 0) > 1-set.UnitShare {
		return "", ""
	}
	u := working(tg).Symbol
	var fits, units []string
	for _, o := range otherUnits(tg, names) {
		if share(b, low, high, o.mul, o.shift) >= set.UnitShare && o.read(q.mid) != 0 && o.read(q.mid) >= least {
			fits = append(fits, fmt.Sprintf("%s (%s %s)", o.unit.Symbol, num(o.read(q.mid)), u))
			units = append(units, o.unit.Symbol)
		}
	}
	raw, err := quantity.Convert(q.mid, working(tg), tg.Declared)
	if len(fits) == 0 || err != nil {
		return "", ""
	}
	return fmt.Sprintf("declared in %s, but its usual level, %s %s, lies outside %s, %s to %s %s; read in %s it would fit",
		tg.Declared.Symbol, num(raw), tg.Declared.Symbol, whose, num(low), num(high), u, strings.Join(fits, " or ")), tg.setUnit(strings.Join(units, " or "))
}

// share is the part of the values within [low, high] after mul and shift.
func share(b *scratch, low, high, mul, shift float64) float64 {
	n, in := 0, 0
	for _, v := range b.picked().x {
		n++
		if x := v*mul + shift; x >= low && x <= high {
			in++
		}
	}
	return float64(in) / float64(n)
}

// fractional is the part of the values that are no whole numbers after mul.
func fractional(b *scratch, mul float64) float64 {
	n, in := 0, 0
	for _, v := range b.picked().x {
		n++
		if x := v * mul; math.Abs(x-math.Round(x)) > 0.005 {
			in++
		}
	}
	return float64(in) / float64(n)
}
