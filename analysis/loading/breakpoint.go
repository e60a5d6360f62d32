package loading

import (
	"fmt"
	"math"
)

// ChlorineToNitrogen is the weight ratio Cl2:N of dose to ammonia nitrogen, both
// in mg/L; NaN where there is no ammonia to speak of (below 0.05 mg/L).
func ChlorineToNitrogen(dose, ammoniaN float64) float64 {
	if !(ammoniaN >= 0.05) {
		return math.NaN()
	}
	return dose / ammoniaN
}

// Ratios Cl2:N by weight on the breakpoint curve.
const (
	// MonochloramineRatio: one mole Cl2 to one mole N, 5.06. Source: 5:1, Weiner,
	// Applications of Environmental Aquatic Chemistry, ch. 4; verified.
	MonochloramineRatio = molarChlorine / molarNitrogen
	// BreakpointRatio: 3 Cl2 to 2 N, 7.593. Source: 7.6:1, same; verified.
	BreakpointRatio = 1.5 * molarChlorine / molarNitrogen
	// BreakpointPractice is where breakpoint is usually found in practice, 10:1
	// to 15:1. Source: same; verified.
	BreakpointPractice    = 10.0
	BreakpointPracticeTop = 15.0
)

// BreakpointPosition is where on the breakpoint curve a weight ratio lies.
type BreakpointPosition uint8

// Positions, in order of the ratio.
const (
	PositionUnknown  BreakpointPosition = iota
	Monochloramine                      // below 5:1, residual rises with dose
	PastHump                            // 5:1 to 7.6:1, residual falls with dose
	NearBreakpoint                      // 7.6:1 to 10:1, breakpoint in theory but seldom in practice
	AroundBreakpoint                    // 10:1 to 15:1, where practice finds it
	BeyondBreakpoint                    // above 15:1, free chlorine
	DemandUnknown                       // above 5:1 by the whole dose, of which other demand took an unknown part
)

// NitriteRatio is what nitrite nitrogen takes, mg Cl2 per mg N: one mole for one.
// Derived from HOCl + NO2- -> NO3- + HCl and molar masses.
const NitriteRatio = molarChlorine / molarNitrogen

// LessNitrite is a dose less what nitrite takes of it, column by column, mg/L and
// mg/L as N; never below zero.
func LessNitrite(dose, nitriteN []float64) []float64 {
	out := make([]float64, len(dose))
	for i := range out {
		out[i] = math.Max(dose[i]-NitriteRatio*nitriteN[i], 0)
	}
	return out
}

// PositionNet places a dose (mg/L) against ammonia nitrogen (mg/L) after what
// other immediate demand takes: nitrite, mg/L as N, NaN where it is not measured.
// The whole dose over ammonia is then the most that the ratio can be: at or below
// 5:1 the water is surely before the hump, above it cannot be told.
func PositionNet(dose, ammoniaN, nitriteN float64) BreakpointPosition {
	net := dose
	if nitriteN >= 0 {
		net -= NitriteRatio * nitriteN
	}
	p := PositionOf(ChlorineToNitrogen(math.Max(net, 0), ammoniaN))
	if p > Monochloramine && !(nitriteN >= 0) {
		return DemandUnknown
	}
	return p
}

// PositionOf places a weight ratio Cl2:N. Organic nitrogen, pH and contact time
// move the real curve; this is the ratio's reading, not a measurement.
func PositionOf(ratio float64) BreakpointPosition {
	switch {
	case math.IsNaN(ratio):
		return PositionUnknown
	case ratio <= MonochloramineRatio:
		return Monochloramine
	case ratio <= BreakpointRatio:
		return PastHump
	case ratio < BreakpointPractice:
		return NearBreakpoint
	case ratio <= BreakpointPracticeTop:
		return AroundBreakpoint
	}
	return BeyondBreakpoint
}

// String says the position in words.
func (p BreakpointPosition) String() string {
	words := [...]string{
		"not determined",
		"monochloramine: residual rises with dose",
		"past the peak of the breakpoint curve by the ratio: more chlorine may give less residual",
		"near the theoretical breakpoint",
		"where breakpoint is found in practice",
		"beyond breakpoint: free chlorine",
		"cannot be told: above 5:1 by the dose, of which other demand (nitrite, organics) took an unknown part",
	}
	if int(p) < len(words) {
		return words[p]
	}
	return fmt.Sprintf("position(%d)", uint8(p))
}
