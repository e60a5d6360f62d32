package export

import (
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/series"
)

func total(vs ...float64) *series.Series {
	s := &series.Series{Tag: "FQI"}
	for i, v := range vs {
		s.Append(int64(i)*3600_000, v, 0)
	}
	return s
}

func TestCounterRates(t *testing.T) {
	// 10 an hour is 240 a day.
	r, steps := CounterRates(total(100, 110, 120, 120), CounterRule{Rollover: math.NaN()})
	require.Empty(t, steps)
	require.Equal(t, []float64{240, 240, 0}, r.V[:3])
	require.True(t, math.IsNaN(r.V[3]))
	require.Equal(t, series.Bad, r.F[3])

	// A six-digit counter passes its end: 999,990 to 2 is 12.
	r, steps = CounterRates(total(999960, 999970, 999980, 999990, 2, 12), CounterRule{Rollover: math.NaN()})
	require.InDelta(t, 12*24.0, r.V[3], 1e-9)
	require.Equal(t, 1e6, steps[0].Rollover)
	// The same, at a stated value that is no power of ten.
	r, steps = CounterRates(total(64970, 64980, 64990, 65530, 4), CounterRule{Rollover: 65536})
	require.InDelta(t, 10*24.0, r.V[3], 1e-9)
	require.Equal(t, 65536.0, steps[0].Rollover)

	// Set back to zero: how much passed is not known.
	r, steps = CounterRates(total(500, 510, 520, 3, 13), CounterRule{Rollover: math.NaN()})
	require.True(t, math.IsNaN(r.V[2]))
	require.Equal(t, series.Bad, r.F[2])
	require.True(t, math.IsNaN(steps[0].Rollover))
	require.Equal(t, 240.0, r.V[3])

	// A reset near a power of ten that would mean an impossible rate.
	r, _ = CounterRates(total(910, 911, 912, 50, 51), CounterRule{Rollover: math.NaN()})
	require.True(t, math.IsNaN(r.V[2]))

	// A gap longer than is bridged, and an unusable reading passed over.
	s := total(100, 110, 120, 130)
	s.F[1] = series.Bad
	r, _ = CounterRates(s, CounterRule{Rollover: math.NaN(), MaxGapMS: 3600_000})
	require.True(t, math.IsNaN(r.V[0]))
	require.Equal(t, 240.0, r.V[1])
	r, _ = CounterRates(total(), CounterRule{})
	require.Zero(t, r.Len())
}

// pair is a flow with passing showers and a feed that follows it, whose clock
// stands behind by so many minutes.
func pair(behind int, noise float64) (a, b *series.Series) {
	r := rand.New(rand.NewSource(3))
	n := 12 * 1440
	v := make([]float64, n+400)
	x := 0.0
	for i := range v {
		x = 0.995*x + r.NormFloat64()*0.05
		v[i] = 5 + math.Sin(2*math.Pi*float64(i)/1440) + x
	}
	a, b = &series.Series{}, &series.Series{}
	for i := 0; i < n; i++ {
		t := int64(i) * minute
		a.Append(t, v[i+200]+r.NormFloat64()*noise, 0)
		b.Append(t, 2*v[i+200+behind]+r.NormFloat64()*noise, 0)
	}
	return a, b
}

func TestEstimateLag(t *testing.T) {
	for _, behind := range []int{60, -60, 45} {
		a, b := pair(behind, 0.1)
		l := EstimateLag(a, b, DefaultLagSettings())
		require.Equal(t, behind, l.Minutes)
		require.True(t, l.Ask, "%+v", l)
		require.GreaterOrEqual(t, l.Days, 10)
	}
	a, b := pair(0, 0.1)
	l := EstimateLag(a, b, DefaultLagSettings())
	require.Zero(t, l.Minutes)
	require.False(t, l.Ask)
	// Ten minutes is how long water takes: not asked about.
	a, b = pair(-10, 0.1)
	require.False(t, EstimateLag(a, b, DefaultLagSettings()).Ask)
	// Two signals that have nothing in common.
	a, _ = pair(0, 0.1)
	r := rand.New(rand.NewSource(9))
	for i := range b.V {
		b.V[i] = r.NormFloat64()
	}
	require.False(t, EstimateLag(a, b, DefaultLagSettings()).Ask)
	require.Zero(t, EstimateLag(&series.Series{}, b, DefaultLagSettings()).Days)
}
