package stat

import "math"

// The arithmetic of "Technical Support Document for Water Quality-based Toxics
// Control", EPA/505/2-90-001 (1991), chapters 3 and 5, for log-normal independent
// values. Tables from memory; the factors agree with Wis. Adm. Code NR 106.

// FallbackCV is taken for fewer than ten results, or with 80 % or more of them
// below detection.
const FallbackCV = 0.6

// LimitCV is the cv of detected values, or the fallback where they are too few.
// fallback says that it was taken.
func LimitCV(detected []float64, n int) (cv float64, fallback bool) {
	if n < 10 || float64(n-len(detected)) >= 0.8*float64(n) {
		return FallbackCV, true
	}
	cv = CV(detected)
	if math.IsNaN(cv) {
		return FallbackCV, true
	}
	return cv, false
}

// PotentialFactor is what the highest of n results is multiplied by for an upper
// bound of the given percentile at the given confidence: exp((z_p - z_pn)·σ),
// p_n = (1 - confidence)^(1/n). It is below 1 where p_n exceeds the percentile:
// practice keeps the observed maximum then.
func PotentialFactor(n int, cv, confidence, percentile float64) float64 {
	if n < 1 {
		return math.NaN()
	}
	pn := math.Pow(1-confidence, 1/float64(n))
	return math.Exp((Z(percentile) - Z(pn)) * math.Sqrt(LogVariance(cv, 1)))
}

// WasteLoadMultiplier turns a waste-load allocation into a long-term average:
// over n days (1 acute, 4 chronic), exp(σn²/2 - z·σn).
func WasteLoadMultiplier(cv float64, n int, percentile float64) float64 {
	v := LogVariance(cv, float64(n))
	return math.Exp(v/2 - Z(percentile)*math.Sqrt(v))
}

// DailyMultiplier turns a long-term average into a daily maximum.
func DailyMultiplier(cv, percentile float64) float64 { return MonthlyMultiplier(cv, 1, percentile) }

// MonthlyMultiplier turns a long-term average into the average of n samples a
// month: exp(z·σn - σn²/2), both with σn² = ln(1 + cv²/n).
func MonthlyMultiplier(cv float64, n int, percentile float64) float64 {
	v := LogVariance(cv, float64(n))
	return math.Exp(Z(percentile)*math.Sqrt(v) - v/2)
}

// DerivedLimits are a long-term average and the limits that go with it.
type DerivedLimits struct{ LongTerm, DailyMaximum, MonthlyAverage float64 }

// LimitsFrom derives limits from an acute and a chronic allocation (NaN: none), n
// samples a month: allocations at the 99th percentile, the daily maximum at the
// 99th, the monthly average at the 95th.
func LimitsFrom(acute, chronic, cv float64, n int) DerivedLimits {
	lta := acute * WasteLoadMultiplier(cv, 1, 0.99)
	if c := chronic * WasteLoadMultiplier(cv, 4, 0.99); !(c >= lta) && !math.IsNaN(c) {
		lta = c
	}
	return DerivedLimits{lta, lta * DailyMultiplier(cv, 0.99), lta * MonthlyMultiplier(cv, n, 0.95)}
}

// ProjectedMaximum is the highest result times its factor, and never below it.
func ProjectedMaximum(highest, factor float64) float64 { return highest * math.Max(1, factor) }
