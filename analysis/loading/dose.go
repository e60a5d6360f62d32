package loading

// DoseOfGas is the chlorine dose in mg/L of a gas feed in lb/d in a flow in MGD,
// by the pounds formula. NaN at zero flow: a feed without flow is no dose.
func DoseOfGas(lbPerDay, mgd float64, f Factor) float64 { return f.Concentration(lbPerDay, mgd) }

// FeedForDose is the feed in gal/d of a solution of gPerL that doses mgL into a
// flow in MGD. It is the formula (mg/L x MGD x 8.34)/(fraction x 8.34 x specific
// gravity), fraction by weight, in which the factor drops out.
//
// Source: Spellman, wastewater operators handbook, formula 9.6; verified.
func FeedForDose(mgL, mgd, gPerL float64) float64 { return ratio(mgL*mgd*1e6, gPerL*1000) }

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
