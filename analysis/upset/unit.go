package upset

import "weirbook/analysis/quantity"

// working units that sentences are written in, and what metric readers get.
var metric = map[string]string{"MGD": "m³/d", "MG": "m³", "lb": "kg", "lb/d": "kg/d", "gal/h": "L/h", "gal": "m³", "lb/gal": "g/L"}

// as converts a value from a working unit to the reader's, and names that unit.
// lb/gal becomes g/L for everyone: strengths are bought and measured so.
func (in *Input) as(v float64, unit string) (float64, string) {
	if unit == "lb/gal" {
		return v * 1000 * quantity.KilogramsPerPound / quantity.LitresPerGallon, "g/L"
	}
	to, ok := metric[unit]
	if !in.Metric || !ok {
		return v, unit
	}
	from, errFrom := quantity.ParseUnit(unit)
	into, errTo := quantity.ParseUnit(to)
	if errFrom != nil || errTo != nil {
		return v, unit
	}
	x, err := quantity.Convert(v, from, into)
	if err != nil {
		return v, unit
	}
	return x, into.Symbol
}

// say writes a value in the reader's unit.
func (in *Input) say(v float64, unit string) string { return with(in.as(v, unit)) }

// In gives a value of a working unit (MGD, MG, lb, lb/d, gal/h, gal, lb/gal) in
// the reader's unit, and that unit's symbol.
func (in *Input) In(v float64, unit string) (float64, string) { return in.as(v, unit) }
