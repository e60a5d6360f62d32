package stat_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/review/stat"
	"weirbook/testdata/published"
)

// Each of these fails on a form that is commonly taken for the right one. Expected
// values are of the same sources as the rows of TestPublishedReview, or follow
// from the definition by hand.

func TestTrapPercentileBeyondItsSupport(t *testing.T) {
	require.False(t, stat.Supported(18, 0.95))
	require.True(t, stat.Supported(19, 0.95))
	require.False(t, stat.Supported(98, 0.99))
	require.True(t, stat.Supported(99, 0.99))
	require.False(t, stat.Supported(24, 0.0384), "3.84 percent needs 26 values")
	require.True(t, stat.Supported(26, 0.0384))
	require.True(t, math.IsNaN(stat.Quantile(nil, 0.5, stat.Type7)))
}

func TestTrapLogOfZero(t *testing.T) {
	l := stat.FitLog([]float64{0, 1, 2})
	require.False(t, l.Mu > math.Inf(-1), "a zero has no logarithm")
}

func TestTrapLowSideIsTheUpperTail(t *testing.T) {
	require.InDelta(t, 0.9362, stat.ExpectedAbove(1.5, 0.25, 1), 1e-4)
	require.Less(t, stat.ExpectedWithin(1.5, 0.25, 1), 0.1)
	// At 50 percent the coefficient rises with cv; at 95 it falls.
	require.Greater(t, stat.Reliability(1, 0.5), stat.Reliability(0.5, 0.5))
	require.Less(t, stat.Reliability(1, 0.95), stat.Reliability(0.5, 0.95))
}

func TestTrapFactorBelowOneKeepsTheMaximum(t *testing.T) {
	require.Greater(t, stat.PotentialFactor(58, 0.6, 0.95, 0.95), 1.0)
	require.Less(t, stat.PotentialFactor(59, 0.6, 0.95, 0.95), 1.0)
	require.InDelta(t, 7.0, stat.ProjectedMaximum(7, stat.PotentialFactor(200, 0.6, 0.95, 0.95)), 1e-12)
}

func TestTrapCVOfFewResults(t *testing.T) {
	cv, fallback := stat.LimitCV([]float64{1, 9}, 12) // 83 percent below detection
	require.True(t, fallback)
	require.InDelta(t, 0.6, cv, 0)
	_, fallback = stat.LimitCV([]float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}, 10)
	require.False(t, fallback)
}

func TestTrapStepPassesAsTrend(t *testing.T) {
	// Nile at Aswan: the level fell at once in 1899, the first year after the old dam's works began.
	var y, x []float64
	for _, r := range published.Load(t, "review_nile_annual").Rows {
		x, y = append(x, r.Num(t, "year")), append(y, r.Num(t, "value"))
	}
	require.Less(t, stat.MannKendall(x, y).P, 0.001, "a trend test alone sees a trend")
	s := stat.ChangePoint(y)
	require.InDelta(t, 1899, x[s.At], 0, "the first value after the change; 1898 is the last before it")
	require.Less(t, s.P, 0.001)
}

func TestTrapSerialDependence(t *testing.T) {
	require.InDelta(t, 100, stat.EffectiveN(100, -0.5), 0, "never more than n")
	require.InDelta(t, 100.0/3, stat.EffectiveN(100, 0.5), 1e-9)
	var a, b []float64
	for i := range 30 {
		a, b = append(a, float64(i%10)), append(b, float64(i%10)+2)
	}
	free, serial := stat.HodgesLehmann(a, b, 0.95, 1), stat.HodgesLehmann(a, b, 0.95, math.Sqrt(3))
	require.Greater(t, serial.P, free.P)
	require.Less(t, serial.Limits.Low, free.Limits.Low)
}

func TestTrapGapRaisesThePeakWeek(t *testing.T) {
	v := []float64{1, 1, 1, math.NaN(), math.NaN(), 9, 1, 1, 1}
	require.True(t, math.IsNaN(stat.Running(v, 7, 7)[6]), "a window with a gap has no mean unless less is asked")
	require.InDelta(t, 13.0/5, stat.Running(v, 7, 5)[6], 1e-12)
}

func TestTrapLargeLimitSaysNothing(t *testing.T) {
	few := []stat.Censored{{Value: 1}, {Value: 1.2}, {Value: 0.8}, {Value: 1.1}, {Value: 0.9}}
	one := append(append([]stat.Censored(nil), few...), stat.Censored{Value: 25, Below: true})
	a, ok := stat.FitOrderStatistics(few, 0)
	require.True(t, ok)
	b, ok := stat.FitOrderStatistics(one, 0)
	require.True(t, ok)
	require.InDelta(t, stat.Mean(a.Filled), stat.Mean(b.Filled), 0.1, "half the limit would make 2.9 of it")
	_, ok = stat.FitOrderStatistics([]stat.Censored{{Value: 1, Below: true}, {Value: 2, Below: true}, {Value: 3}}, 0)
	require.False(t, ok, "fewer than three detected")
	_, ok = stat.FitOrderStatistics([]stat.Censored{{Value: 0}, {Value: 2}, {Value: 3}, {Value: 4}}, 0)
	require.False(t, ok, "a zero has no logarithm")
}

func TestTrapDecaySetsACeiling(t *testing.T) {
	require.True(t, math.IsNaN(stat.CapacityDecay(3, 0.01, 0.18, 111)))
	require.False(t, math.IsNaN(stat.CapacityDecay(3, 0.01, 0.18, 110)))
	// A line that rises with the flow faster than CT asks binds nowhere.
	require.True(t, math.IsNaN(stat.CapacityLine(1, 1, 0.18, 45)))
}

func TestTrapFewPointsHaveNoTail(t *testing.T) {
	require.False(t, stat.QuantileUsable(24, 0.1))
	require.True(t, stat.QuantileUsable(50, 0.1))
	l := stat.FitQuantile([]float64{2, 2, 2, 2}, []float64{1, 2, 3, 4}, 0.5)
	require.True(t, math.IsNaN(l.Slope), "one x has no slope")
}

// A line through many points is held against the definition: the share below it
// and no better line nearby.
func TestQuantileLineOfRoundedPoints(t *testing.T) {
	var x, y []float64
	s := uint64(7)
	next := func() float64 {
		s = s*6364136223846793005 + 1442695040888963407
		return float64(s>>33) / (1 << 31)
	}
	for range 2000 {
		q := math.Round(next()*80) / 10
		x, y = append(x, q), append(y, math.Round((3-0.1*q+next())*20)/20)
	}
	loss := func(a, b float64) float64 {
		sum := 0.0
		for i := range x {
			r := y[i] - a - b*x[i]
			if r < 0 {
				sum += r * (0.1 - 1)
			} else {
				sum += r * 0.1
			}
		}
		return sum
	}
	l := stat.FitQuantile(x, y, 0.1)
	require.InDelta(t, loss(l.Intercept, l.Slope), l.Loss, 1e-9)
	for _, da := range []float64{-0.02, 0, 0.02} {
		for _, db := range []float64{-0.005, 0, 0.005} {
			require.GreaterOrEqual(t, loss(l.Intercept+da, l.Slope+db), l.Loss-1e-9)
		}
	}
}

func TestTrapCheckDateIsNotTheFailure(t *testing.T) {
	// Found bad at the check of day 14, good at day 7: by day 7 nothing has failed.
	s := stat.Turnbull([]stat.Seen{{After: 7, By: 14}, {After: 7, By: 14}, {After: 14, By: 21}, {After: 21, By: math.Inf(1)}})
	require.InDelta(t, 14, s.Time[0], 0)
	require.InDelta(t, 0.5, s.Good[0], 1e-9)
	_, ok := stat.FitLife([]stat.Seen{{After: 7, By: 14}, {After: 7, By: math.Inf(1)}})
	require.False(t, ok)
	l, ok := stat.FitLife([]stat.Seen{{After: 7, By: 14}, {After: 7, By: 14}, {After: 14, By: 21}, {After: 14, By: 21}, {After: 21, By: 28}})
	require.True(t, ok)
	require.Less(t, l.Quantile(0.5), 18.0, "the dates of the checks have a median of 21 days")
}

func TestTrapNoFailuresIsNotForEver(t *testing.T) {
	m := stat.BetweenFailures(1000, 0, 0.95)
	require.True(t, math.IsInf(m.Mean, 1))
	require.InDelta(t, 1000/-math.Log(0.05), m.Limits.Low, 1e-9)
	require.True(t, math.IsNaN(stat.BetweenFailures(0, 0, 0.95).Mean))
}

func TestTrapAgreementIsNotCorrelation(t *testing.T) {
	a, b := []float64{1, 2, 3, 4, 5}, []float64{2, 4, 6, 8, 10}
	g := stat.Agree(a, b) // correlation 1, and they do not agree
	require.InDelta(t, -3, g.Bias, 1e-12)
	require.InDelta(t, -3-1.96*math.Sqrt(2.5), g.Limits.Low, 1e-9)
}

func TestTrapTooFewSaysNothing(t *testing.T) {
	require.True(t, math.IsNaN(stat.MannKendall([]float64{1, 2, 3}, []float64{1, 2, 3}).P))
	require.True(t, math.IsNaN(stat.HodgesLehmann([]float64{1, 2}, []float64{1, 2, 3}, 0.95, 1).By))
	require.Equal(t, -1, stat.ChangePoint([]float64{1, 2, 3}).At)
	require.True(t, math.IsNaN(stat.ClopperPearson(0, 0, 0.95).Low))
	require.True(t, math.IsNaN(stat.BlockSE([]float64{1, 2, 3}, 2)))
}
