package loading

import "math"

// Minute columns: one value per minute of a grid, NaN where not known. Columns
// of one call are of equal length; a shorter one counts as NaN beyond its end.

// value reads a column that may be short.
func value(col []float64, i int) float64 {
	if i < 0 || i >= len(col) {
		return math.NaN()
	}
	return col[i]
}

// DoseColumn is the dose in mg/L, minute by minute, of a feed of active chemical
// in lb/d in a flow in MGD, by the pounds formula with factor f. Below minFlow
// MGD there is no water to speak of and the dose is NaN.
func DoseColumn(lbPerDay, mgd []float64, minFlow float64, f Factor) []float64 {
	out := make([]float64, len(mgd))
	for i, q := range mgd {
		out[i] = math.NaN()
		if q > minFlow {
			out[i] = f.Concentration(value(lbPerDay, i), q)
		}
	}
	return out
}

// LiquidColumn turns a solution feed in gal/h into lb/d of active chemical at
// gPerL (a column, or one value for all), with factor f.
func LiquidColumn(galPerHour, gPerL []float64, f Factor) []float64 {
	out := make([]float64, len(galPerHour))
	for i, g := range galPerHour {
		s := value(gPerL, i)
		if len(gPerL) == 1 {
			s = gPerL[0]
		}
		out[i] = g * 24 * f.PoundsPerGallon(s)
	}
	return out
}

// PercentColumn turns a pump setting in percent into its output.
func PercentColumn(percent []float64, c Calibration) []float64 {
	out := make([]float64, len(percent))
	for i, p := range percent {
		out[i] = c.At(p)
	}
	return out
}

// Delayed is a column as the parcel leaving now met it: out[i] is col at
// i - delay[i] minutes, by a straight line between minutes. NaN where the delay
// is not known or reaches before the column.
func Delayed(col, delayMin []float64) []float64 {
	out := make([]float64, len(col))
	for i := range out {
		x := float64(i) - value(delayMin, i)
		if !(x >= 0 && x <= float64(i)) {
			out[i] = math.NaN()
			continue
		}
		k := int(x)
		f := x - float64(k)
		out[i] = col[k]
		if f > 0 {
			out[i] = col[k] + f*(value(col, k+1)-col[k])
		}
	}
	return out
}

// DemandColumn is the demand of the parcel leaving now: the dose it was given
// when it entered, delayMin minutes ago, less the residual it leaves with, mg/L.
func DemandColumn(dose, residual, delayMin []float64) []float64 {
	out := Delayed(dose, delayMin)
	for i := range out {
		out[i] = Demand(out[i], value(residual, i))
	}
	return out
}

// NeededColumn is the agent needed in mg/L for a residual, at ratio mg per mg.
func NeededColumn(residual []float64, ratio float64) []float64 {
	out := make([]float64, len(residual))
	for i, c := range residual {
		out[i] = DechlorinationNeeded(c, ratio)
	}
	return out
}

// RatioColumn is a/b minute by minute, NaN where b is not above floor: demand
// per ammonia, Cl2:N, applied against needed.
func RatioColumn(a, b []float64, floor float64) []float64 {
	out := make([]float64, len(b))
	for i, y := range b {
		out[i] = math.NaN()
		if y > floor {
			out[i] = value(a, i) / y
		}
	}
	return out
}
