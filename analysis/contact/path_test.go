package contact

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Derived: with C = C0 exp(-k t) and C0 = 5, k = ln(2)/30, the exposure over
// 30 min is (5 - 2.5)/k = 108.20 mg·min/L; CT at the outlet is 75.
func TestPathExposureFirstOrder(t *testing.T) {
	n := 120
	tr, err := Dynamic(plug(30_000, 1), Minutes{FlowMGD: constant(n, 1000*gpm), Residual: constant(n, 2.5)}, DefaultSettings())
	require.NoError(t, err)
	p, err := PathExposure(tr, constant(n, 5), constant(n, 2.5))
	require.NoError(t, err)
	near(t, 108.20, p.ExposureMgMinL[100], 0.005)
	near(t, math.Ln2/30, p.DecayPerMin[100], 1e-9)
	near(t, 75, tr.CTMgMinL[100], 1e-9)
	require.Equal(t, BeforeData, p.Why[5])

	// The inlet is read when the parcel entered, not now.
	inlet := constant(n, 5)
	for i := 80; i < n; i++ {
		inlet[i] = 10
	}
	p, err = PathExposure(tr, inlet, constant(n, 2.5))
	require.NoError(t, err)
	near(t, 5, p.InletMgL[105], 1e-9)
	near(t, 10, p.InletMgL[115], 1e-9)

	out := constant(n, 2.5)
	out[100] = 0
	p, err = PathExposure(tr, inlet, out)
	require.NoError(t, err)
	require.Equal(t, ResidualUnknown, p.Why[100])
	require.True(t, math.IsNaN(p.ExposureMgMinL[100]) && math.IsNaN(p.DecayPerMin[100]))
	_, err = PathExposure(tr, inlet[:3], out)
	require.Error(t, err)
}

// The mean of a decay lies between the geometric and the arithmetic mean
// (Pólya's inequality, from memory), whichever end is higher.
func TestLogMean(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 10_000 {
		a := math.Exp(6 * (rng.Float64() - 0.5))
		b := math.Exp(6 * (rng.Float64() - 0.5))
		if rng.IntN(4) == 0 {
			b = a * (1 + 1e-9*rng.Float64())
		}
		m := LogMean(a, b)
		near(t, m, LogMean(b, a), 1e-12*m)
		require.LessOrEqual(t, math.Sqrt(a*b), m*(1+1e-12))
		require.LessOrEqual(t, m, (a+b)/2*(1+1e-12))
	}
	near(t, 3, LogMean(3, 3), 0)
	require.True(t, math.IsNaN(LogMean(0, 1)))
	require.True(t, math.IsNaN(LogMean(1, -1)))
}

// What Explain says of the three CTs holds on an hour with a peak, the hour
// after it, and steady hours.
func TestExplainIsTrue(t *testing.T) {
	g, hours := hourGrid(6)
	flow := constant(g.N, 1000*gpm)
	for i := 130; i < 180; i++ { // hour 2: a peak to its end
		flow[i] = 3000 * gpm
	}
	out, in := constant(g.N, 2), constant(g.N, 3)
	b, s := plug(30_000, 1), DefaultSettings()
	m := Minutes{FlowMGD: flow, Residual: out}
	tr, err := Dynamic(b, m, s)
	require.NoError(t, err)
	dyn, err := Hourly(g, hours, tr, s)
	require.NoError(t, err)
	st, err := Steady(g, hours, b, m, s)
	require.NoError(t, err)
	p, err := PathExposure(tr, in, out)
	require.NoError(t, err)
	var path []Stat
	for _, w := range hours {
		path = append(path, statOf(g, w, p.ExposureMgMinL, p.Why, s))
	}

	near(t, st[1].CTMgMinL, dyn[1].CTMgMinL.Min, 1e-9)          // steady: they agree
	require.LessOrEqual(t, st[2].CTMgMinL, dyn[2].CTMgMinL.Min) // peak inside the hour
	require.Less(t, st[2].CTMgMinL, dyn[2].CTMgMinL.Mean)       //
	require.Greater(t, st[3].CTMgMinL, dyn[3].CTMgMinL.Min)     // after the flow has fallen
	for h := 1; h < 6; h++ {                                    // chlorine used on the way
		require.Greater(t, path[h].Min, dyn[h].CTMgMinL.Min)
	}
	text := strings.Join(Explain(), "\n")
	for _, word := range []string{"Dynamic CT", "Steady CT", "Path exposure"} {
		require.Contains(t, text, word)
	}
}
