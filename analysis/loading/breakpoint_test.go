package loading

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Nitrite nitrogen takes 5.06 mg Cl2 per mg N before ammonia meets any chlorine.
// 12 mg/L of chlorine on 2 mg/L of ammonia N is 6.0:1 by the dose, and with 1 mg/L
// of nitrite N it is (12 − 5.06) ÷ 2 = 3.5:1, before the hump. By hand.
func TestPositionAfterNitrite(t *testing.T) {
	require.InDelta(t, 5.06, NitriteRatio, 0.005)
	require.Equal(t, PastHump, PositionNet(12, 2, 0))
	require.Equal(t, Monochloramine, PositionNet(12, 2, 1))
	require.Equal(t, DemandUnknown, PositionNet(12, 2, math.NaN()), "nobody measures nitrite")
	require.Equal(t, Monochloramine, PositionNet(8, 2, math.NaN()), "4:1 at most, whatever else took chlorine")
	require.Equal(t, PositionUnknown, PositionNet(math.NaN(), 2, 1))
	require.Equal(t, PositionUnknown, PositionNet(8, 0, 0))
	net := LessNitrite([]float64{12, 2, math.NaN()}, []float64{1, 1, 1})
	require.InDelta(t, 6.94, net[0], 0.01)
	require.Zero(t, net[1])
	require.True(t, math.IsNaN(net[2]))
}
