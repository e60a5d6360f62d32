package orp

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/orp/signal"
)

// Location and scale of Gumbel's law from its own quantile function,
// x = mode − scale·ln(−ln p) (Gumbel, Statistics of Extremes, 1958; derived).
func TestGumbelByQuartiles(t *testing.T) {
	var v []float64
	for i := range 4000 {
		p := (float64(i) + 0.5) / 4000
		v = append(v, 0.7-0.2*math.Log(-math.Log(p)))
	}
	g := signal.GumbelOf(v)
	require.InDelta(t, 0.7, g.Mode, 0.002)
	require.InDelta(t, 0.2, g.Scale, 0.002)
}

// Water that stops every night, and a basin that is out of service, are idle; a meter
// that shows nothing while chlorine is fed is at fault.
func TestIdleMinutes(t *testing.T) {
	n := 10 * 24 * 60
	in := Input{Grid: align.Grid{N: n}, Flow: Column{Tag: "F", V: make([]float64, n)}, Feed: Column{Tag: "HYPO", V: make([]float64, n)}, Idle: make([]bool, n)}
	for i := range n {
		if h := i / 60 % 24; h >= 6 {
			in.Flow.V[i], in.Feed.V[i] = 1.2, 60
		}
		if d := i / 1440; d == 4 && i%1440 > 720 && i%1440 < 900 {
			in.Flow.V[i] = 0 // the feed goes on
		}
		in.Idle[i] = i/1440 == 7
	}
	s := DefaultSettings()
	idle := in.rest(&s)
	require.True(t, idle[3*60])
	require.True(t, idle[6*60+30], "the basin fills again")
	require.False(t, idle[8*60])
	require.False(t, idle[4*1440+800], "the meter is at fault")
	require.True(t, idle[7*1440+800])
	require.True(t, math.IsNaN(in.Feed.V[3*60]))
	require.Equal(t, 60.0, in.Feed.V[8*60])
}

// One mistyped grab, ten times off, accuses nobody; four that agree do.
func TestNoSingleGrabAccuses(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	s := DefaultSettings()
	w := &work{in: &Input{Total: Column{Tag: "CL2"}}, s: &s}
	line := grabLine{}
	for d := range 30 {
		line.points = append(line.points, grabPoint{bin: d * binsADay, v: 0.02 * rng.NormFloat64()})
	}
	w.grabs = []grabLine{line}
	require.Empty(t, w.grabDrifts())
	line.points[12].v = 1
	line.points[13].v = 1
	require.Empty(t, w.grabDrifts(), "two blunders in a row")
	for d := 18; d < 25; d++ {
		line.points[d].v = -0.12
	}
	got := w.grabDrifts()
	require.Len(t, got, 1)
	require.Negative(t, got[0].size)
	require.Greater(t, got[0].Overlap(signal.Between(18*1440, 25*1440)), 1440)
}
