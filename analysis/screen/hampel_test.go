package screen

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/testdata/published"
)

func TestPublishedMADScale(t *testing.T) {
	sheet := published.NewSheet(t)
	r := published.Load(t, "worked_examples").Find(t, "mad-const")
	sheet.Row(r, "expected", madScale)
	sheet.Check("mad-const from its definition", r.Source(), "derived", r.Text(t, "expected"), 5e-5, 1/(math.Sqrt2*math.Erfinv(0.5)))
}

// By hand: the window around the 9 holds 1 2 2 3 9 3 4; median 3, deviations
// 2 1 1 0 6 0 1, their median 1. At the edge the window is cut off.
func TestHampelByHand(t *testing.T) {
	v := []float64{1, 2, 2, 3, 9, 3, 4, 3}
	dist, sigma := hampel(v, 3, 3) // 1 2 2 3 9 3 4
	require.Equal(t, 0.0, dist)
	require.InDelta(t, 1.4826, sigma, 1e-12)
	dist, sigma = hampel(v, 4, 3) // 2 2 3 9 3 4 3: median 3, deviations 1 1 0 6 0 1 0
	require.Equal(t, 6.0, dist)
	require.InDelta(t, 1.4826, sigma, 1e-12)
	dist, sigma = hampel(v, 0, 3) // 1 2 2 3: median 2, deviations 1 0 0 1
	require.Equal(t, 1.0, dist)
	require.InDelta(t, 0.5*1.4826, sigma, 1e-12)
}

func TestStandOut(t *testing.T) {
	require.Equal(t, 300.0, standOut([]float64{12, 300, 9, 500, 11}, 40, 2.5))
	require.True(t, math.IsInf(standOut([]float64{500, 400, 300, 200, 150, 100, 70, 50, 30, 20, 15}, 40, 2.5), 1), "lengths of every size: none stands out")
	require.Equal(t, 60.0, standOut([]float64{60}, 40, 2.5), "the only long one")
	require.True(t, math.IsInf(standOut(nil, 40, 2.5), 1))
}
