package upset

import "weirbook/analysis/quantity"

// as converts a value from a working unit to the reader's, and names that unit.
// lb/gal becomes g/L for everyone: strengths are bought and measured so.
func (in *Input) as(v float64, unit string) (float64, string) {
	if unit == "lb/gal" {
		return v * 1000 * quantity.KilogramsPerPound / quantity.LitresPerGallon, "g/L"
	}
	from, err := quantity.ParseUnit(unit)
	if err != nil || !in.Metric {
		return v, unit
	}
	into := quantity.InMetric(from)
	x, err := quantity.Convert(v, from, into)
	if err != nil || into == from {
		return v, unit
	}
	return x, into.Symbol
}

// say writes a value in the reader's unit.
func (in *Input) say(v float64, unit string) string { return with(in.as(v, unit)) }

// In gives a value of a working unit (MGD, MG, lb, lb/d, gal/h, gal, lb/gal) in
// the reader's unit, and that unit's symbol.
func (in *Input) In(v float64, unit string) (float64, string) { return in.as(v, unit) }
