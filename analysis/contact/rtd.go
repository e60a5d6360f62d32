package contact

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// TanksTime is the time by which the share p (0 to 1) of the water has left n
// equal tanks in series, over volume / flow. n need not be whole, 1 to 10,000.
// NaN outside.
//
// E(t) = n^n t^(n-1) exp(-n t) / Γ(n), whose integral is the regularised
// incomplete gamma function P(n, n t); university reactor laboratory manual
// (verified).
func TanksTime(n, p float64) float64 {
	if !(n >= 1 && n <= 1e4) || !(p > 0 && p < 1) {
		return nan
	}
	return mathext.GammaIncRegInv(n, p) / n
}

// TanksMode is the modal time of n tanks in series over volume / flow: (n-1)/n,
// the time at which E is highest.
func TanksMode(n float64) float64 {
	if !(n >= 1) {
		return nan
	}
	return (n - 1) / n
}

// DispersionVarianceClosed is the variance over (volume / flow)² of a vessel
// closed at both ends with dispersion number d = D/(uL), above 0 to 10:
// 2 d - 2 d² (1 - exp(-1/d)). Same manual (verified).
func DispersionVarianceClosed(d float64) float64 {
	if !(d > 0 && d <= 10) {
		return nan
	}
	return 2*d + 2*d*d*math.Expm1(-1/d)
}

// DispersionVarianceOpen is the same for a vessel open at both ends:
// 2 d + 8 d². Same manual (verified).
func DispersionVarianceOpen(d float64) float64 {
	if !(d > 0 && d <= 10) {
		return nan
	}
	return 2*d + 8*d*d
}

// EquivalentTanks is the number of tanks in series with the variance of a closed
// vessel of dispersion number d: 1 / variance.
func EquivalentTanks(d float64) float64 { return 1 / DispersionVarianceClosed(d) }

// TanksFactor is the contact time of n tanks in series: T10 or the modal time
// (0 for a single tank, which Check refuses), or the mean.
func TanksFactor(n float64, kind TimeKind) Factor {
	f := Factor{Kind: kind, Source: fmt.Sprintf("%g tanks in series", n)}
	switch kind {
	case T10:
		f.Value = TanksTime(n, 0.10)
	case Modal:
		f.Value = TanksMode(n)
	case Mean:
		f.Value = 1
		if !(n >= 1) {
			f.Value = nan
		}
	}
	return f
}

// DispersionFactor is the contact time of a closed vessel of dispersion number
// d, by the tanks in series of the same variance.
func DispersionFactor(d float64, kind TimeKind) Factor {
	n := EquivalentTanks(d)
	f := TanksFactor(n, kind)
	f.Source = fmt.Sprintf("dispersion number %g, closed vessel, as %.1f tanks in series", d, n)
	return f
}
