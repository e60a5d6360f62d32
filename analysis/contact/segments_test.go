package contact

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
)

// Derived: one basin cut into two segments has the same contact time as the
// whole, at any flow, and with the same residual the same CT.
func TestChainOfTwoIsTheWhole(t *testing.T) {
	n := 2000
	w := 2 * math.Pi / 700
	flow := meansOf(n, func(t float64) float64 { return 2500 * (t - 0.5/w*(math.Cos(w*t)-1)) })
	m := Minutes{FlowMGD: flow, Residual: constant(n, 2)}
	s := DefaultSettings()
	up, err := Dynamic(plug(50_000, 1), m, s)
	require.NoError(t, err)
	down, err := Dynamic(plug(70_000, 1), m, s)
	require.NoError(t, err)
	whole, err := Dynamic(plug(120_000, 1), m, s)
	require.NoError(t, err)
	both, err := Chain(up, down)
	require.NoError(t, err)
	for i := 120; i < n; i++ {
		near(t, whole.ContactMin[i], both.ContactMin[i], 0.01, i)
		near(t, whole.Entry[i], both.Entry[i], 0.02, i)
		near(t, whole.CTMgMinL[i], both.CTMgMinL[i], 0.02, i)
	}
	require.Equal(t, BeforeData, both.Why[10])

	// A residual lost between the two leaves the CT of the pair unknown.
	m.Residual = constant(n, 2)
	m.Residual[500] = math.NaN()
	up, err = Dynamic(plug(50_000, 1), m, s)
	require.NoError(t, err)
	m.Residual = constant(n, 2)
	both, err = Chain(up, down)
	require.NoError(t, err)
	lost := 0
	for i := 400; i < 700; i++ {
		if math.IsNaN(both.CTMgMinL[i]) {
			require.Equal(t, ResidualUnknown, both.CTWhy[i])
			require.Equal(t, Known, both.Why[i])
			lost++
		}
	}
	require.Greater(t, lost, 0)
	_, err = Chain(Track{}, down)
	require.Error(t, err)
}

func TestSplitFlow(t *testing.T) {
	common := []float64{6, 6, 6, 6, math.NaN()}
	flows, err := SplitFlow(common, []float64{0.5, 0.25, 0.25}, [][]float64{
		{1, 1, 0, 1, 1}, nil, {1, 0, 0, math.NaN(), 1},
	})
	require.NoError(t, err)
	require.Equal(t, []float64{3, 1.5, 1.5}, []float64{flows[0][0], flows[1][0], flows[2][0]})
	near(t, 4, flows[0][1], 1e-12)
	near(t, 2, flows[1][1], 1e-12)
	near(t, 6, flows[1][2], 1e-12) // alone in service
	require.Zero(t, flows[0][2])
	for i := range 3 { // parallel basins sum to the whole
		near(t, 6, flows[0][i]+flows[1][i]+flows[2][i], 1e-12)
	}
	require.True(t, math.IsNaN(flows[0][3])) // one state unknown
	require.True(t, math.IsNaN(flows[1][4]))
	_, err = SplitFlow(common, []float64{0.5, 0}, [][]float64{nil, nil})
	require.ErrorContains(t, err, "share 2")
	_, err = SplitFlow(common, []float64{0.5}, nil)
	require.Error(t, err)
	_, err = SplitFlow(common, []float64{0.5}, [][]float64{{1}})
	require.Error(t, err)
}

// Two equal basins on half the flow each are the one basin of both volumes.
func TestParallelHalvesAreTheWhole(t *testing.T) {
	n := 400
	common := meansOf(n, func(t float64) float64 { return 2000*t + 3*t*t })
	flows, err := SplitFlow(common, []float64{0.5, 0.5}, [][]float64{nil, nil})
	require.NoError(t, err)
	s := DefaultSettings()
	whole, err := Dynamic(plug(80_000, 0.5), Minutes{FlowMGD: common, Residual: constant(n, 3)}, s)
	require.NoError(t, err)
	a, err := Dynamic(plug(40_000, 0.5), Minutes{FlowMGD: flows[0], Residual: constant(n, 3)}, s)
	require.NoError(t, err)
	b, err := Dynamic(plug(40_000, 0.5), Minutes{FlowMGD: flows[1], Residual: constant(n, 2.5)}, s)
	require.NoError(t, err)
	low, err := LowestTrack(a, b)
	require.NoError(t, err)
	for i := 60; i < n; i++ {
		near(t, whole.ContactMin[i], low.ContactMin[i], 1e-6)
		near(t, b.CTMgMinL[i], low.CTMgMinL[i], 0)
	}
}

func TestLowestTrackLeavesQuietBasinsOut(t *testing.T) {
	run := Track{ContactMin: []float64{30, 30, math.NaN()}, Entry: []float64{1, 1, 1}, CTMgMinL: []float64{60, 60, math.NaN()},
		Why: []Reason{Known, Known, FlowGap}, CTWhy: []Reason{Known, Known, FlowGap}}
	out := Track{ContactMin: []float64{math.NaN(), 5, 5}, Entry: []float64{0, 0, 0}, CTMgMinL: []float64{math.NaN(), 1, 1},
		Why: []Reason{OutOfService, Idle, Known}, CTWhy: []Reason{OutOfService, Idle, Known}}
	low, err := LowestTrack(run, out)
	require.NoError(t, err)
	near(t, 30, low.ContactMin[0], 0)
	near(t, 60, low.CTMgMinL[1], 0)
	require.True(t, math.IsNaN(low.ContactMin[2])) // one running basin unknown: the lowest is unknown
	require.Equal(t, FlowGap, low.Why[2])
	low, err = LowestTrack(out, run) // whatever the order
	require.NoError(t, err)
	near(t, 30, low.ContactMin[0], 0)
	require.Equal(t, FlowGap, low.Why[2])
	require.Equal(t, FlowGap, low.CTWhy[2])
	_, err = LowestTrack()
	require.Error(t, err)
}

func TestSteadySeriesAndParallel(t *testing.T) {
	g, hours := hourGrid(2)
	s := DefaultSettings()
	m := Minutes{FlowMGD: constant(g.N, 1000*gpm), Residual: constant(g.N, 2)}
	a, err := Steady(g, hours, plug(20_000, 0.5), m, s)
	require.NoError(t, err)
	m.Residual = constant(g.N, 1.5)
	m.Residual[70], m.Residual[71] = math.NaN(), 1.2
	b, err := Steady(g, hours, plug(30_000, 1), m, s)
	require.NoError(t, err)
	sum, err := AddSteady(a, b)
	require.NoError(t, err)
	near(t, 10*2+30*1.5, sum[0].CTMgMinL, 1e-9) // 40 CFR 141.2 and 141.74: segments are calculated apart and added
	near(t, 10*2+30*1.2, sum[1].CTMgMinL, 1e-9)
	near(t, 40, sum[0].ContactMin, 1e-9)
	low, err := LowestSteady(a, b)
	require.NoError(t, err)
	near(t, 20, low[0].CTMgMinL, 1e-9)
	a[1].CTMgMinL, a[1].CTWhy = math.NaN(), ResidualUnknown
	sum, err = AddSteady(a, b)
	require.NoError(t, err)
	require.Equal(t, ResidualUnknown, sum[1].CTWhy)
	require.Equal(t, Known, sum[1].Why)
	require.True(t, math.IsNaN(sum[1].CTMgMinL))
	_, err = AddSteady(a, b[:1])
	require.Error(t, err)
	_, err = LowestSteady(a, b[:1])
	require.Error(t, err)
}

func TestVolumes(t *testing.T) {
	// 7.48 gal/ft³ (verified, municipal formula sheet) to its last digit.
	near(t, 7.48, VolumeFromLevel([]float64{1}, 1)[0], 0.005)
	near(t, 10*1200*1728.0/231, VolumeFromLevel([]float64{10}, 1200)[0], 1e-6)
	v, err := VolumeFromCurve([]float64{0, 5, 7.5, 10, 10.1, -1, math.NaN()},
		[]CurvePoint{{0, 0}, {5, 1000}, {10, 3000}})
	require.NoError(t, err)
	require.Equal(t, []float64{0, 1000, 2000, 3000}, v[:4])
	for _, x := range v[4:] {
		require.True(t, math.IsNaN(x))
	}
	_, err = VolumeFromCurve(nil, []CurvePoint{{0, 0}})
	require.Error(t, err)
	_, err = VolumeFromCurve(nil, []CurvePoint{{0, 0}, {0, 5}})
	require.ErrorContains(t, err, "point 2")
	_, err = VolumeFromCurve(nil, []CurvePoint{{0, 0}, {1, math.Inf(1)}})
	require.ErrorContains(t, err, "point 2")
}

func TestInService(t *testing.T) {
	g := align.Grid{Start: 1_767_225_600, N: 6}
	got := InService(g, []float64{1, 0, math.NaN(), 1, 1, 1}, []align.Window{
		{Start: g.Milli(3) + 30_000, End: g.Milli(4) + 1}, {Start: g.Milli(-5), End: g.Milli(0)}, {Start: g.Milli(5), End: g.Milli(5)},
	})
	require.True(t, math.IsNaN(got[2]))
	got[2] = -1
	require.Equal(t, []float64{1, 0, -1, 0, 0, 1}, got)
	require.Equal(t, []float64{1, 1, 1, 1, 1, 1}, InService(g, nil, nil))
}
