package loading

import "weirbook/analysis/quantity"

// Factor is the weight in pounds of a million gallons of water at 1 mg/L, and so
// also of one gallon of water in pounds where water weighs 1 kg a litre.
type Factor float64

const (
	// Trade is the factor of every operator's formula sheet: lb/d = MGD x mg/L x
	// 8.34. It reads 0.065 percent low. Source: municipal wastewater formula
	// sheet; Florida DEP wastewater formula table (Feb 2014); verified.
	Trade Factor = 8.34
	// Exact follows from the gallon of 231 cubic inches and the pound of
	// 0.45359237 kg: 8.345404 lb/MG per mg/L. Source: definitions, NIST SP 811.
	Exact Factor = quantity.LitresPerGallon / quantity.KilogramsPerPound
)

// String names the factor as it stands in a report.
func (f Factor) String() string {
	if f == Trade {
		return "8.34 (trade factor)"
	}
	return "8.345404 (exact)"
}

// PoundsPerDay is the pounds formula: flow in MGD, concentration in mg/L, load
// in lb/d. With a volume in million gallons it gives pounds.
//
// Source: operator formula sheets; lb/d = MGD x mg/L x 8.34; verified.
func (f Factor) PoundsPerDay(mgd, mgL float64) float64 { return mgd * mgL * float64(f) }

// Flow solves the pounds formula for the flow in MGD; NaN at zero concentration.
func (f Factor) Flow(lbPerDay, mgL float64) float64 { return ratio(lbPerDay, mgL*float64(f)) }

// Concentration solves the pounds formula for mg/L; NaN at zero flow.
func (f Factor) Concentration(lbPerDay, mgd float64) float64 { return ratio(lbPerDay, mgd*float64(f)) }

// PoundsPerGallon turns g/L into lb/gal: 120 g/L is 1.0008 lb/gal by the trade
// factor, 1.0014 exactly.
func (f Factor) PoundsPerGallon(gPerL float64) float64 { return gPerL * float64(f) / 1000 }

// Load is a mean of flow times concentration, in MGD·mg/L: the one number that
// both systems of units come from.
type Load float64

// KilogramsPerDay is the load exactly: 1 MGD at 1 mg/L is 3.785411784 kg/d.
func (l Load) KilogramsPerDay() float64 { return float64(l) * quantity.LitresPerGallon }
