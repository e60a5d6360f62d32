// Package stat holds the statistics of a performance review as pure functions:
// percentiles and plotting positions, log-normal reliability, derived limits,
// trends, shifts between two periods, peaks, results below detection, quantile
// lines, contact capacity, instruments. Each stands beside its source.
//
// Values that are not numbers are never taken: callers leave them out first
// (Known does) and count what they left out. A figure that the values cannot bear
// is NaN.
package stat

import (
	"math"
	"sort"

	gonum "gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Known gives a copy of the values that are numbers, in their order.
func Known(v []float64) []float64 {
	out := make([]float64, 0, len(v))
	for _, x := range v {
		if !math.IsNaN(x) && !math.IsInf(x, 0) {
			out = append(out, x)
		}
	}
	return out
}

// Sorted gives the known values in ascending order.
func Sorted(v []float64) []float64 {
	out := Known(v)
	sort.Float64s(out)
	return out
}

// Mean is the arithmetic mean; NaN without values.
func Mean(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	return gonum.Mean(v, nil)
}

// SD is the standard deviation with n - 1; NaN for fewer than two values.
func SD(v []float64) float64 {
	if len(v) < 2 {
		return math.NaN()
	}
	return gonum.StdDev(v, nil)
}

// CV is the coefficient of variation, SD over mean.
func CV(v []float64) float64 {
	m := Mean(v)
	if !(m > 0) {
		return math.NaN()
	}
	return SD(v) / m
}

// Median is the median of the known values.
func Median(v []float64) float64 { return Quantile(Sorted(v), 0.5, Type7) }

// Z is the standard normal quantile of p.
func Z(p float64) float64 { return distuv.UnitNormal.Quantile(p) }

// Phi is the standard normal distribution function.
func Phi(z float64) float64 { return distuv.UnitNormal.CDF(z) }

func logs(v []float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = math.Log(x)
	}
	return out
}
