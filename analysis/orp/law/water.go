// Package law learns what an ORP probe reads for the chlorine beside it: the fitted
// relation (model.go), the lag between probe and analyser (lag.go), plants whose free
// chlorine comes and goes (regime.go), and what comes back every day or ages (usual.go).
package law

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
	"weirbook/analysis/speciation"
)

// Settings are the thresholds of the law.
type Settings struct {
	PriorSlope   float64 // mV a decade of residual: Nernst gives 30 for two electrons, mixed potentials 40 to 120 (common practice)
	PriorSlopeSD float64 // mV a decade: how firmly the prior holds
	FloorMgL     float64 // mg/L below which ORP no longer follows the residual
	AgeingPerDay float64 // mV a day that count as ordinary ageing
	AgeingMax    float64 // mV of it in all
}

// DefaultSettings are those the score in DEVELOPERS.md was reached with.
func DefaultSettings() Settings {
	return Settings{PriorSlope: 60, PriorSlopeSD: 25, FloorMgL: 0.03, AgeingPerDay: 1, AgeingMax: 12}
}

// Probe is what the fit needs of a probe.
type Probe struct {
	MV             []float64 // by bin
	MidBasin       bool      // it sees the water before it leaves
	VolumeFraction float64   // share of the basin before it; 0: one half
}

// Water is what is known of the water at the basin outlet, by five-minute bin; a nil
// column is not measured.
type Water struct {
	Law                   *Settings
	Bins                  int
	Free, Total           []float64 // mg/L as Cl2
	PH, Temp              []float64 // °C
	ParcelN               []float64 // mg/L N before the chlorine, of the water leaving
	ParcelDose            []float64 // mg/L, of the water leaving
	Delay                 []float64 // bins from the feed point, of the water leaving
	UsualDelay            float64
	UsualFree, UsualTotal float64
	Hold                  []bool // bins left out of every usual
	OnFree                bool   // the law stands on free chlorine
	Turning               bool   // free chlorine comes and goes
	Regime                []byte // where it does; nil: one law
}

// StandsOnFree decides which residual the law uses: free chlorine where it is
// measured and there is some, total otherwise.
func (w *Water) StandsOnFree() bool {
	if !signal.Enough(w.Free) {
		return false
	}
	if !signal.Enough(w.Total) {
		return true
	}
	return w.FreeTells()
}

// FreeTells reports whether there is free chlorine enough to tell anything: in a
// chloraminated plant a free analyser shows its own noise.
func (w *Water) FreeTells() bool {
	return w.UsualFree > 0.2 && (w.Total == nil || w.UsualFree > 0.15*w.UsualTotal)
}

// effective gives log10 of the effective chlorine at the outlet for a weight k of
// combined chlorine.
func (w *Water) effective(k float64) []float64 {
	out := signal.Unknown(w.Bins)
	ph, temp := robust.Median(w.PH), robust.Median(w.Temp)
	if math.IsNaN(temp) {
		temp = 15
	}
	for i := range out {
		f := 1.0
		if w.OnFree && signal.Known(ph) {
			p, t := ph, temp
			if signal.Known(w.PH[i]) {
				p = w.PH[i]
			}
			if w.Temp != nil && signal.Known(w.Temp[i]) {
				t = w.Temp[i]
			}
			if h := speciation.HOClFraction(p, t); signal.Known(h) {
				f = h
			}
		}
		c := math.NaN()
		if w.OnFree {
			c = w.Free[i] * f
			if k > 0 && w.Total != nil && signal.Known(w.Total[i]) {
				c += k * math.Max(0, w.Total[i]-w.Free[i])
			}
		} else if w.Total != nil {
			c = w.Total[i]
		} else if w.Free != nil {
			c = w.Free[i]
		}
		out[i] = math.Log10(math.Max(c, 0) + w.Law.FloorMgL*f)
	}
	return out
}
