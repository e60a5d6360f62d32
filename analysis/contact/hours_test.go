package contact

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
)

func hourGrid(hours int) (align.Grid, []align.Window) {
	g := align.Grid{Start: 1_767_225_600, N: 60 * hours} // 2026-01-01 00:00 UTC
	var w []align.Window
	for h := range hours {
		w = append(w, align.Window{Start: g.Milli(60 * h), End: g.Milli(60 * (h + 1))})
	}
	return g, w
}

// EPA, LT1ESWTR Disinfection Profiling and Benchmarking manual (EPA
// 816-R-03-004, 2003), worked example, from memory: a 150,000 gal clearwell at a
// peak of 5,000 gpm with baffling factor 0.7 and 0.8 mg/L: HRT 30 min, T10
// 21 min, CT 16.8.
func ExampleSteady() {
	g, hours := hourGrid(1)
	flow, residual := constant(60, 4000*gpm), constant(60, 1.1)
	flow[17], residual[40] = 5000*gpm, 0.8
	out, err := Steady(g, hours, plug(150_000, 0.7), Minutes{FlowMGD: flow, Residual: residual}, DefaultSettings())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("T10 %.0f min, CT %.1f mg·min/L\n", out[0].ContactMin, out[0].CTMgMinL)
	// Output: T10 21 min, CT 16.8 mg·min/L
}

func TestHourlyPartialData(t *testing.T) {
	g, hours := hourGrid(6)
	n := g.N
	flow, residual := constant(n, 1000*gpm), constant(n, 2)
	service := constant(n, 1)
	for i := 60; i < 80; i++ { // hour 1: flow unknown for 20 min, and 20 min of look-back
		flow[i] = math.NaN()
	}
	for i := 120; i < 136; i++ { // hour 2: residual lost for 16 min
		residual[i] = math.NaN()
	}
	for i := 180; i < 240; i++ { // hour 3: nothing leaves
		flow[i] = 0
	}
	for i := 300; i < 360; i++ { // hour 5: out of service
		service[i] = 0
	}
	residual[270] = 1.5
	b, s := plug(20_000, 1), DefaultSettings()
	m := Minutes{FlowMGD: flow, Residual: residual, InService: service}
	tr, err := Dynamic(b, m, s)
	require.NoError(t, err)
	dyn, err := Hourly(g, hours, tr, s)
	require.NoError(t, err)
	st, err := Steady(g, hours, b, m, s)
	require.NoError(t, err)

	// Hour 0: the first 20 minutes look back before the data.
	near(t, 40.0/60, dyn[0].CTMgMinL.Coverage, 1e-12)
	require.Equal(t, BeforeData, dyn[0].CTMgMinL.Why)
	require.True(t, math.IsNaN(dyn[0].CTMgMinL.Min))
	near(t, 40, st[0].CTMgMinL, 1e-9) // the steady form does not look back

	require.Equal(t, FlowGap, worseOf(dyn[1].CTMgMinL.Why, FlowUnknown))
	require.True(t, math.IsNaN(dyn[1].ContactMin.Mean))
	require.Equal(t, FlowUnknown, st[1].Why)
	require.True(t, math.IsNaN(st[1].CTMgMinL))

	near(t, 20, dyn[2].ContactMin.Min, 1e-9)
	require.Equal(t, ResidualUnknown, dyn[2].CTMgMinL.Why)
	require.Equal(t, ResidualUnknown, st[2].CTWhy)
	require.True(t, math.IsNaN(st[2].CTMgMinL))
	require.True(t, math.IsNaN(dyn[2].CTMgMinL.Min) && math.IsNaN(dyn[2].CTMgMinL.Mean))
	near(t, 20, st[2].ContactMin, 1e-9)

	require.Equal(t, Idle, dyn[3].CTMgMinL.Why)
	near(t, 1, dyn[3].CTMgMinL.Coverage, 0)
	require.Equal(t, Idle, st[3].CTWhy)

	// A residual is a residual without a flow too: hour 1 has its lowest.
	require.Equal(t, Known, st[1].ResidualWhy)
	near(t, 2, st[1].LowestResidual, 0)
	require.True(t, math.IsNaN(st[1].PeakFlowMGD) && math.IsNaN(st[1].VolumeGal))
	require.Equal(t, ResidualUnknown, st[2].ResidualWhy)
	require.True(t, math.IsNaN(st[2].LowestResidual)) // seen in 44 of 60 minutes is not determined

	// Hour 4: 1.5 mg/L in one minute, standing water before.
	require.Equal(t, 270, dyn[4].CTMgMinL.MinAt)
	near(t, 30, dyn[4].CTMgMinL.Min, 1e-9)
	near(t, 30, st[4].CTMgMinL, 1e-9)
	require.Equal(t, 60, dyn[4].CTMgMinL.Running)

	require.Equal(t, OutOfService, dyn[5].CTMgMinL.Why)
	require.Equal(t, OutOfService, st[5].Why)
	require.Equal(t, OutOfService, st[5].ResidualWhy)
	require.Equal(t, Idle, st[3].ResidualWhy)
}

// worseOf lets a test accept either reason when an hour has equal numbers of both.
func worseOf(got, also Reason) Reason {
	if got == also {
		return FlowGap
	}
	return got
}

// A window that reaches beyond the grid is covered only inside it.
func TestHourlyBeyondTheGrid(t *testing.T) {
	g := align.Grid{Start: 1_767_225_600, N: 30}
	w := []align.Window{{Start: g.Milli(0), End: g.Milli(60)}, {Start: g.Milli(600), End: g.Milli(660)}, {Start: g.Milli(-90), End: g.Milli(-30)}}
	b := plug(1000, 1)
	m := Minutes{FlowMGD: constant(30, 1000*gpm), Residual: constant(30, 1)}
	tr, err := Dynamic(b, m, DefaultSettings())
	require.NoError(t, err)
	h, err := Hourly(g, w, tr, DefaultSettings())
	require.NoError(t, err)
	near(t, 29.0/60, h[0].ContactMin.Coverage, 1e-12)
	for _, x := range h {
		require.True(t, math.IsNaN(x.ContactMin.Min))
		require.Equal(t, BeforeData, x.ContactMin.Why)
	}
	st, err := Steady(g, w, b, m, DefaultSettings())
	require.NoError(t, err)
	near(t, 0.5, st[0].FlowCoverage, 0)
	require.True(t, math.IsNaN(st[0].ContactMin))
	require.Zero(t, st[1].FlowCoverage)
}

func TestPeakMinutes(t *testing.T) {
	p := newPeak(3)
	for _, q := range []float64{1, 9, 2, 3} {
		p.add(q)
	}
	near(t, 14.0/3, p.highest(), 1e-12)
	p = newPeak(3)
	p.add(1)
	p.gap()
	p.add(8)
	near(t, 8, p.highest(), 0) // runs shorter than the span count with their own mean
}

// With a changing level the steady form takes the hour's lowest volume.
func TestSteadyLowestVolume(t *testing.T) {
	g, hours := hourGrid(1)
	b := plug(0, 0.5)
	b.VolumeByMinute = column(60, func(i int) float64 { return 50_000 - 200*float64(i%31) })
	st, err := Steady(g, hours, b, Minutes{FlowMGD: constant(60, 1000*gpm), Residual: constant(60, 2)}, DefaultSettings())
	require.NoError(t, err)
	near(t, 44_000, st[0].VolumeGal, 0)
	near(t, 22, st[0].ContactMin, 1e-9)
	near(t, 44, st[0].CTMgMinL, 1e-9)
}
