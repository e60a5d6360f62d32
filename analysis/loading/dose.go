package loading

import "math"

// DoseOfGas is the chlorine dose in mg/L of a gas feed in lb/d in a flow in MGD,
// by the pounds formula. NaN at zero flow: a feed without flow is no dose.
func DoseOfGas(lbPerDay, mgd float64, f Factor) float64 { return f.Concentration(lbPerDay, mgd) }

// DoseOfLiquid is the dose in mg/L of a solution of gPerL fed at galPerDay into
// a flow in MGD. No factor enters: gallons per gallon times g/L. NaN at zero
// flow.
//
// Source: mass balance; equals (gal/d x lb/gal)/(MGD x 8.34); derived.
func DoseOfLiquid(galPerDay, gPerL, mgd float64) float64 {
	return ratio(galPerDay*gPerL*1000, mgd*1e6)
}

// FeedForDose is the feed in gal/d of a solution of gPerL that doses mgL into a
// flow in MGD. It is the formula (mg/L x MGD x 8.34)/(fraction x 8.34 x specific
// gravity), fraction by weight, in which the factor drops out.
//
// Source: Spellman, wastewater operators handbook, formula 9.6; verified.
func FeedForDose(mgL, mgd, gPerL float64) float64 { return ratio(mgL*mgd*1e6, gPerL*1000) }

// PumpSetting is the pump rate in mL/min for a dose of mgL in a flow in MGD with
// a solution of gPerL.
//
// Source: mL/min = MGD x mg/L x 3.785 x 1e6 / (mg/mL x 1440), ABC formula table;
// verified. Exact litres per gallon are used.
func PumpSetting(mgL, mgd, gPerL float64) float64 {
	return FeedForDose(mgL, mgd, gPerL) * 3.785411784 * 1000 / 1440
}

// DryChemical is the weight of a dry product, such as calcium hypochlorite, that
// holds lb pounds of chlorine at the given available fraction, 0…1.
//
// Source: Spellman, wastewater operators handbook, section 9.2.8; verified.
func DryChemical(lb, fraction float64) float64 { return ratio(lb, fraction) }

// Demand is dose less residual, mg/L: what the water used up. The residual is
// that of the water that was dosed, so it is read one contact time later (see
// DemandColumn).
//
// Source: Spellman, wastewater operators handbook, section 9.2.8; verified.
func Demand(dose, residual float64) float64 { return dose - residual }

// DemandPerAmmonia is the chlorine demand per mg/L of ammonia nitrogen; NaN
// without ammonia.
func DemandPerAmmonia(demand, ammoniaN float64) float64 {
	if !(ammoniaN > 0) {
		return math.NaN()
	}
	return demand / ammoniaN
}
