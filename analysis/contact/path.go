package contact

import (
	"fmt"
	"math"
)

// PathTrack is the exposure of the water leaving a basin, minute by minute.
type PathTrack struct {
	ExposureMgMinL []float64 // ∫ C dt along the way, mg·min/L
	InletMgL       []float64 // residual at the inlet when the parcel entered, mg/L
	DecayPerMin    []float64 // first-order decay between the two, 1/min
	Why            []Reason
}

// PathExposure integrates the residual along the parcel's way, decaying at first
// order from what the inlet showed when the parcel entered to what the outlet
// shows as it leaves:
//
//	∫ C dt = T (C0 - C1) / ln(C0 / C1), k = ln(C0 / C1) / T
//
// inlet is the residual at the inlet (mg/L, after mixing) per minute; a dose in
// its place counts the chlorine that the first seconds' demand takes, and reads
// high. First-order decay: from memory, textbook form; the integral is derived.
func PathExposure(t Track, inlet, outlet []float64) (PathTrack, error) {
	n := len(t.ContactMin)
	if len(inlet) != n || len(outlet) != n {
		return PathTrack{}, fmt.Errorf("a track of %d minutes beside %d of inlet and %d of outlet residual", n, len(inlet), len(outlet))
	}
	p := PathTrack{ExposureMgMinL: make([]float64, n), InletMgL: make([]float64, n),
		DecayPerMin: make([]float64, n), Why: append([]Reason(nil), t.Why...)}
	for i := range n {
		c0, c1, min := sampleAt(inlet, t.Entry[i]), outlet[i], t.ContactMin[i]
		p.InletMgL[i] = c0
		p.ExposureMgMinL[i] = LogMean(c0, c1) * min
		p.DecayPerMin[i] = math.Log(c0/c1) / min
		if math.IsNaN(p.ExposureMgMinL[i]) {
			p.DecayPerMin[i] = nan
			if p.Why[i] == Known || p.Why[i] == Idle {
				p.Why[i] = ResidualUnknown
			}
		}
	}
	return p, nil
}

// LogMean is the mean of a first-order decay from c0 to c1 (mg/L):
// (c0 - c1) / ln(c0/c1). NaN unless both are above 0.
func LogMean(c0, c1 float64) float64 {
	if !(c0 > 0 && c1 > 0) || math.IsInf(c0, 0) || math.IsInf(c1, 0) {
		return nan
	}
	// With x = ln(c0/c1): c1 (e^x - 1) / x, without cancellation near x = 0.
	x := math.Log(c0 / c1)
	if math.Abs(x) < 1e-12 {
		return c1
	}
	return c1 * math.Expm1(x) / x
}

// Explain says how the three CTs are computed and why they differ; the report
// prints it.
func Explain() []string {
	return []string{
		"Dynamic CT: the residual at the outlet times the time since that same water entered. The flow is added up backwards from now until it fills the part of the volume that counts. It follows the flow that the water really had.",
		"Steady CT: the lowest residual of the hour times the contact time at the hour's highest flow. It is the regulator's usual figure, can be redone with a calculator, and joins the two worst moments of the hour although they may not have met in the same water.",
		"Path exposure: the residual added up along the water's way, falling at first order from what the inlet showed when the water entered to what the outlet shows as it leaves. It needs a residual at both ends.",
		"Dynamic and steady agree while flow and residual are steady. Steady is below dynamic when the flow peaks inside the hour, because the water leaving at the peak spent most of its time at lower flow. Steady is above dynamic after the flow has fallen, because the water leaving now came through at the higher flow before this hour.",
		"Path exposure is at or above dynamic CT whenever chlorine is used up on the way, because the outlet shows the lowest residual that the water met. The gap is exposure that the outlet cannot show.",
	}
}
