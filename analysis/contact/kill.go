package contact

import (
	"fmt"
	"math"
)

// KillModel is a model of coliform survival with a plant's own coefficients.
type KillModel struct {
	Name string // "Collins" or "Selleck"
	A, N float64
}

// Collins is N/N0 = (1 + k CT)^-n, CT of total residual in mg·min/L (Collins,
// Selleck and White 1971, from memory: k 0.23, n 3).
func Collins(k, n float64) KillModel { return KillModel{"Collins", k, n} }

// Selleck is N/N0 = (CT / b)^-n above CT = b, 1 below (from memory). Typical
// secondary effluent: b 4.0, n 2.8 for total coliform, b 3.0, n 2.8 for fecal
// coliform; Selleck, Saunier and Collins (1978): b 2.87, n 3.38.
func Selleck(b, n float64) KillModel { return KillModel{"Selleck", b, n} }

// Surviving is N/N0 at a CT (mg·min/L), 0 to 1; NaN for a CT that is unknown or
// below 0, or coefficients that are not above 0.
func (m KillModel) Surviving(ctMgMinL float64) float64 {
	if !(ctMgMinL >= 0) || !(m.A > 0) || !(m.N > 0) {
		return nan
	}
	switch m.Name {
	case "Collins":
		return math.Pow(1+m.A*ctMgMinL, -m.N)
	case "Selleck":
		if ctMgMinL <= m.A {
			return 1
		}
		return math.Pow(ctMgMinL/m.A, -m.N)
	}
	return nan
}

// Prediction is a predicted count. It is not a result: only a laboratory's count
// is.
type Prediction struct {
	Per100mL float64 // predicted count after contact
	Log      float64 // predicted log reduction
	Label    string  // "predicted by Collins (0.23, 3), not measured"
}

// Predict gives the count after contact from the count before (per 100 mL).
func (m KillModel) Predict(beforePer100mL, ctMgMinL float64) Prediction {
	s := m.Surviving(ctMgMinL)
	return Prediction{Per100mL: beforePer100mL * s, Log: -math.Log10(s),
		Label: fmt.Sprintf("predicted by %s (%g, %g), not measured", m.Name, m.A, m.N)}
}
