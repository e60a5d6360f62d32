package export

import (
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/lex"
	"weirbook/analysis/series"
)

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
		t := int64(i) * lex.Minute
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
