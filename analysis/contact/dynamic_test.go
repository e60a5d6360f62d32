package contact

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

const gpm = 1 / GallonsPerMinutePerMGD // one gal/min in MGD

func plug(volumeGal, factor float64) Basin {
	return Basin{Name: "basin", VolumeGal: volumeGal, Factor: BafflingFactor(factor)}
}

// meansOf turns the running volume of a flow (gal since minute 0) into exact
// minute means (MGD).
func meansOf(n int, volume func(t float64) float64) []float64 {
	return column(n, func(i int) float64 { return (volume(float64(i+1)) - volume(float64(i))) * gpm })
}

// Identity (derived): at constant flow the contact time is factor x V / Q.
func TestDynamicConstantFlow(t *testing.T) {
	n := 300
	tr, err := Dynamic(plug(150_000, 0.7), Minutes{FlowMGD: constant(n, 5000*gpm), Residual: constant(n, 0.8)}, DefaultSettings())
	require.NoError(t, err)
	for i := range n {
		if i < 21 { // the parcel leaving at i + 0.5 entered at i - 20.5
			require.True(t, math.IsNaN(tr.ContactMin[i]))
			require.Equal(t, BeforeData, tr.Why[i])
			continue
		}
		near(t, 21, tr.ContactMin[i], 1e-9)
		near(t, 16.8, tr.CTMgMinL[i], 1e-9)
		near(t, float64(i)+0.5-21, tr.Entry[i], 1e-9)
		require.Equal(t, Known, tr.Why[i])
	}
}

// Identity (derived): with Q = a + b t the parcel leaving at t entered at
// te = (-a + sqrt((a + b t)^2 - 2 b V)) / b.
func TestDynamicRamp(t *testing.T) {
	for _, ramp := range []struct{ a, b float64 }{{2000, 10}, {8000, -10}, {500, 100}} {
		n, v := 400, 90_000.0
		flow := meansOf(n, func(t float64) float64 { return ramp.a*t + ramp.b*t*t/2 })
		tr, err := Dynamic(plug(180_000, 0.5), Minutes{FlowMGD: flow, Residual: constant(n, 1)}, DefaultSettings())
		require.NoError(t, err)
		known := 0
		for i := range n {
			at := float64(i) + 0.5
			q := ramp.a + ramp.b*at
			te := (-ramp.a + math.Sqrt(q*q-2*ramp.b*v)) / ramp.b
			if math.IsNaN(te) || te < 0 {
				require.Equal(t, BeforeData, tr.Why[i])
				continue
			}
			// Linear inside the minute at both ends: change per minute / flow / 8 each.
			tol := math.Abs(ramp.b) / 8 / math.Min(q, ramp.a+ramp.b*te) * 2.01
			near(t, at-te, tr.ContactMin[i], tol+1e-9, i)
			known++
		}
		require.Greater(t, known, 300)
	}
}

// Identity (derived): flow q0 (1 + A sin wt) passes exactly q0 P in any period
// P, so a basin of that volume has contact time P whenever the parcel leaves.
func TestDynamicSinusoidWholePeriod(t *testing.T) {
	const q0, amp, period = 3000.0, 0.6, 180.0
	w := 2 * math.Pi / period
	n := 1440
	flow := meansOf(n, func(t float64) float64 { return q0 * (t - amp/w*(math.Cos(w*t)-1)) })
	tr, err := Dynamic(plug(q0*period/0.5, 0.5), Minutes{FlowMGD: flow, Residual: constant(n, 1)}, DefaultSettings())
	require.NoError(t, err)
	for i := 180; i < n; i++ {
		near(t, period, tr.ContactMin[i], 1e-6) // the grid divides the period: exact
	}
}

// The same flow with any volume: the entry solves
// (t - te) - A/w (cos wt - cos w te) = V / q0, found here by bisection.
func TestDynamicSinusoid(t *testing.T) {
	const q0, amp, period, v = 3000.0, 0.6, 1440.0, 100_000.0
	w := 2 * math.Pi / period
	volume := func(t float64) float64 { return q0 * (t - amp/w*(math.Cos(w*t)-1)) }
	n := 3 * 1440
	tr, err := Dynamic(plug(v, 1), Minutes{FlowMGD: meansOf(n, volume), Residual: constant(n, 1)}, DefaultSettings())
	require.NoError(t, err)
	worst := 0.0
	for i := 200; i < n; i++ {
		at := float64(i) + 0.5
		lo, hi := 0.0, at
		for range 80 {
			mid := (lo + hi) / 2
			if volume(at)-volume(mid) > v {
				lo = mid
			} else {
				hi = mid
			}
		}
		near(t, at-lo, tr.ContactMin[i], 0.002)
		worst = math.Max(worst, math.Abs(at-lo-tr.ContactMin[i]))
	}
	t.Logf("largest error %.5f min over three days of diurnal flow", worst)
}

// A gap of flow anywhere inside the look-back leaves the contact time unknown,
// and not one minute longer.
func TestDynamicGapOfFlow(t *testing.T) {
	n := 200
	flow := constant(n, 1000*gpm)
	flow[100] = math.NaN()
	tr, err := Dynamic(plug(20_000, 1), Minutes{FlowMGD: flow, Residual: constant(n, 1)}, DefaultSettings())
	require.NoError(t, err)
	near(t, 20, tr.ContactMin[99], 1e-9)
	require.Equal(t, FlowUnknown, tr.Why[100])
	for i := 101; i <= 120; i++ { // entered at i + 0.5 - 20, at or before minute 100
		require.True(t, math.IsNaN(tr.ContactMin[i]), i)
		require.Equal(t, FlowGap, tr.Why[i])
		require.Equal(t, FlowGap, tr.CTWhy[i])
	}
	near(t, 20, tr.ContactMin[121], 1e-9)
}

func TestDynamicStandingWater(t *testing.T) {
	n := 200
	flow := constant(n, 1000*gpm)
	for i := 100; i < 130; i++ {
		flow[i] = 0
	}
	tr, err := Dynamic(plug(20_000, 1), Minutes{FlowMGD: flow, Residual: constant(n, 1)}, DefaultSettings())
	require.NoError(t, err)
	require.Equal(t, Idle, tr.Why[110])
	near(t, 20+10.5, tr.ContactMin[110], 1e-9) // stood since minute 100
	require.Equal(t, Known, tr.Why[135])
	near(t, 50, tr.ContactMin[135], 1e-9) // 20 of flow and 30 of standing
	near(t, 20, tr.ContactMin[160], 1e-9)
}

// Derived: a basin that fills at a steady rate with steady outflow q. The
// parcel leaving at t entered when cum + V was cum(t): q te + V0 + r te = q t,
// so the contact time is (V0 + r t) / (q + r); measured at the inlet (q + r),
// the water behind it is V(t): (V0 + r t)/(q + r) as well.
func TestDynamicRisingLevel(t *testing.T) {
	const q, r, v0 = 1000.0, 50.0, 20_000.0
	n := 400
	b := plug(0, 1)
	b.VolumeByMinute = column(n, func(i int) float64 { return v0 + r*(float64(i)+0.5) })
	out, err := Dynamic(b, Minutes{FlowMGD: constant(n, q*gpm), Residual: constant(n, 1)}, DefaultSettings())
	require.NoError(t, err)
	b.MeteredAt = AtInlet
	in, err := Dynamic(b, Minutes{FlowMGD: constant(n, (q+r)*gpm), Residual: constant(n, 1)}, DefaultSettings())
	require.NoError(t, err)
	for i := 40; i < n; i++ {
		want := (v0 + r*(float64(i)+0.5)) / (q + r)
		near(t, want, out.ContactMin[i], 0.001, i)
		near(t, want, in.ContactMin[i], 0.001, i)
	}
}

func TestDynamicRefusesBadDescriptions(t *testing.T) {
	m := Minutes{FlowMGD: constant(5, 1), Residual: constant(5, 1)}
	_, err := Dynamic(plug(0, 0.5), m, DefaultSettings())
	require.ErrorContains(t, err, "volume")
	_, err = Dynamic(plug(100, 0), m, DefaultSettings())
	require.ErrorContains(t, err, "factor")
	m.Residual = constant(4, 1)
	_, err = Dynamic(plug(100, 0.5), m, DefaultSettings())
	require.ErrorContains(t, err, "4 minutes of residual")
}
