// Package speciation says in which form free chlorine stands in the water, and
// what an electrode reads against which reference.
//
// ORP is a potential in millivolts against a reference electrode. It is not a
// concentration, and nothing here turns one into the other.
package speciation

import "math"

// KelvinAtZeroC is the temperature of 0 °C in kelvin (SI definition).
const KelvinAtZeroC = 273.15

// PKaHOCl is the acid constant pKa of hypochlorous acid at tempC (°C).
//
//	pKa = 3000.00/T - 10.0686 + 0.0253 T, T in kelvin
//
// Morris (1966), from memory; within 0.05 of four independent published points.
// Fitted for 0 to 35 °C; NaN outside -5 to 60 °C.
func PKaHOCl(tempC float64) float64 {
	if !(tempC >= -5 && tempC <= 60) {
		return math.NaN()
	}
	t := tempC + KelvinAtZeroC
	return 3000.00/t - 10.0686 + 0.0253*t
}

// HOClFraction is the share of free chlorine that stands as hypochlorous acid
// (0 to 1) at pH and tempC (°C); the rest is hypochlorite ion. Morris's pKa.
// NaN when pH or temperature is unknown or pH is outside 0 to 14.
func HOClFraction(pH, tempC float64) float64 {
	return HOClFractionAt(pH, PKaHOCl(tempC))
}

// HOClFractionAt is HOClFraction with a stated pKa.
//
//	fraction = 1 / (1 + 10^(pH - pKa))
//
// The equilibrium relation; Davis, Water and Wastewater Engineering,
// Example 13-1 (verified).
func HOClFractionAt(pH, pKa float64) float64 {
	if !(pH >= 0 && pH <= 14) {
		return math.NaN()
	}
	return 1 / (1 + math.Pow(10, pH-pKa))
}

// Physical constants, exact since the SI of 2019.
const (
	gasConstant     = 8.314462618 // J/(mol K)
	faradayConstant = 96485.33212 // C/mol
)

// NernstSlope is the change of a reversible electrode's potential per tenfold
// change of activity (mV per decade) at tempC (°C) for a reaction of the stated
// number of electrons: 2.303 R T / (n F). Chlorine's own reaction takes two.
// NaN for a temperature below -5 or above 60 °C, or electrons below 1.
func NernstSlope(tempC float64, electrons int) float64 {
	if !(tempC >= -5 && tempC <= 60) || electrons < 1 {
		return math.NaN()
	}
	return 1000 * math.Ln10 * gasConstant * (tempC + KelvinAtZeroC) / (float64(electrons) * faradayConstant)
}
