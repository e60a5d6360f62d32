package contact

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// slow is the dynamic method done plainly, minute by minute, in another way
// than the code: walk back from the middle of the minute and fill the volume.
func slow(flow []float64, volume float64, i int) float64 {
	need := volume
	have := flow[i] / gpm / 2 // half of the own minute
	if have >= need {
		return 0.5 * need / have
	}
	need -= have
	for k := i - 1; k >= 0; k-- {
		if math.IsNaN(flow[k]) {
			return math.NaN()
		}
		q := flow[k] / gpm
		if q >= need && q > 0 {
			return 0.5 + float64(i-1-k) + need/q
		}
		need -= q
	}
	return math.NaN()
}

// The one-pass method against the plain walk, on flows with gaps, stops and
// bursts.
func TestDynamicAgainstPlainWalk(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 60 {
		n := 1 + rng.IntN(500)
		flow := column(n, func(i int) float64 {
			switch rng.IntN(40) {
			case 0:
				return math.NaN()
			case 1, 2:
				return 0
			case 3:
				return 900
			}
			return 0.5 + 5*rng.Float64()
		})
		volume := math.Exp(3 + 9*rng.Float64())
		tr, err := Dynamic(plug(volume, 1), Minutes{FlowMGD: flow, Residual: constant(n, 2)}, DefaultSettings())
		require.NoError(t, err)
		for i := range n {
			if math.IsNaN(flow[i]) {
				require.Equal(t, FlowUnknown, tr.Why[i])
				continue
			}
			want := slow(flow, volume, i)
			if math.IsNaN(want) {
				require.True(t, math.IsNaN(tr.ContactMin[i]), i)
				require.NotEqual(t, Known, tr.Why[i])
				continue
			}
			near(t, want, tr.ContactMin[i], 1e-6, i)
		}
	}
}

// The same with a level that jumps about, metered at either end, against a
// search backwards from each minute for the latest entry.
func TestDynamicLevelsAgainstPlainSearch(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 2))
	for round := range 60 {
		n := 2 + rng.IntN(400)
		flow := column(n, func(int) float64 { return rng.Float64() * 3 })
		jump := []float64{100, 3000, 20_000}[round%3]
		b := plug(0, 0.3+0.7*rng.Float64())
		b.VolumeByMinute = column(n, func(int) float64 { return 25_000 + jump*(rng.Float64()-0.5) })
		cum := make([]float64, n+1)
		for i, q := range flow {
			if q <= DefaultSettings().ZeroFlowMGD {
				q = 0
			}
			cum[i+1] = cum[i] + q/gpm
		}
		for _, side := range []MeterSide{AtInlet, AtOutlet} {
			b.MeteredAt = side
			tr, err := Dynamic(b, Minutes{FlowMGD: flow, Residual: constant(n, 1)}, DefaultSettings())
			require.NoError(t, err)
			for i := range n {
				now := (cum[i] + cum[i+1]) / 2
				target, col := now-b.Factor.Value*b.VolumeByMinute[i], cum
				if side == AtOutlet { // cum + volume at entry = cum now
					target, col = now, column(n+1, func(k int) float64 {
						before, after := b.VolumeByMinute[max(k-1, 0)], b.VolumeByMinute[min(k, n-1)]
						return cum[k] + b.Factor.Value*(before+after)/2
					})
				}
				k := i
				for k >= 0 && col[k] > target {
					k--
				}
				if k < 0 {
					require.True(t, math.IsNaN(tr.ContactMin[i]))
					continue
				}
				entry := float64(k) + (target-col[k])/(col[k+1]-col[k])
				near(t, float64(i)+0.5-entry, tr.ContactMin[i], 1e-6, i)
			}
		}
	}
}

// Whatever the columns hold, nothing panics, a known minute is a number from 0
// up, an unknown one has its reason, and entry never lies after exit.
func checkTrack(t *testing.T, tr Track) {
	t.Helper()
	for i, v := range tr.ContactMin {
		switch tr.Why[i] {
		case Known, Idle:
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0), i)
			require.GreaterOrEqual(t, v, 0.0)
			require.LessOrEqual(t, tr.Entry[i], float64(i)+0.5+1e-9)
			require.GreaterOrEqual(t, tr.Entry[i], 0.0)
		default:
			require.True(t, math.IsNaN(v), i)
		}
		require.Equal(t, tr.CTWhy[i] == Known || tr.CTWhy[i] == Idle, !math.IsNaN(tr.CTMgMinL[i]), i)
	}
}

func FuzzDynamic(f *testing.F) {
	seed := func(v ...float64) []byte {
		var b []byte
		for _, x := range v {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
		}
		return b
	}
	f.Add(seed(1, 2, math.NaN(), 0, -3, 1e300, math.Inf(1), 5, 5, 5), 1000.0, 0.7, true)
	f.Add(seed(0, 0, 0, 0), 1e-9, 1.0, false)
	f.Add(seed(1e6, 1e6, 1e-300, 4), 1e12, 0.1, true)
	f.Add(seed(1, 2, 3), math.Inf(1), 0.1, true)
	f.Fuzz(func(t *testing.T, raw []byte, volume, factor float64, outlet bool) {
		n := min(len(raw)/8, 500)
		col := column(n, func(i int) float64 {
			return math.Float64frombits(binary.LittleEndian.Uint64(raw[8*i:]))
		})
		b := plug(volume, factor)
		m := Minutes{FlowMGD: col, Residual: col}
		s := DefaultSettings()
		g, hours := hourGrid(1)
		g.N = n
		for _, levels := range [][]float64{nil, column(n, func(i int) float64 { return volume + 100*col[n-1-i] })} {
			b.VolumeByMinute = levels
			if !outlet {
				b.MeteredAt = AtInlet
			}
			tr, err := Dynamic(b, m, s)
			if err != nil {
				continue
			}
			checkTrack(t, tr)
			_, err = Hourly(g, hours, tr, s)
			require.NoError(t, err)
			_, err = Steady(g, hours, b, m, s)
			require.NoError(t, err)
			_, err = PathExposure(tr, col, col)
			require.NoError(t, err)
			_, err = Chain(tr, tr)
			require.NoError(t, err)
			m.InService = col
			tr, err = Dynamic(b, m, s)
			require.NoError(t, err)
			checkTrack(t, tr)
			m.InService = nil
		}
	})
}

func FuzzTracer(f *testing.F) {
	f.Add([]byte{0, 0, 1, 10, 2, 60, 3, 10, 4, 0}, 0.0, 1.0, false)
	f.Add([]byte{1, 0, 2, 50, 3, 90, 9, 100}, 0.2, 2.0, true)
	f.Fuzz(func(t *testing.T, raw []byte, background, applied float64, step bool) {
		test := TracerTest{Kind: Pulse, FlowMGD: 2, VolumeGal: 5e4, Background: background, Applied: applied}
		if step {
			test.Kind = Step
		}
		for i := 0; i+1 < len(raw); i += 2 {
			test.Min, test.MgL = append(test.Min, float64(raw[i])), append(test.MgL, float64(raw[i+1]))
		}
		r, err := AnalyseTracer(test)
		if err == nil {
			require.False(t, math.IsNaN(r.T10))
			require.False(t, r.T50 < r.T10 || r.T90 < r.T50)
		}
	})
}

// A reversal or an absurd flow is unknown, not zero: the look-back ends there.
func TestReversalAndAbsurdFlow(t *testing.T) {
	for _, bad := range []float64{-0.5, math.Inf(1), math.Inf(-1), 1e7, math.NaN()} {
		flow := constant(100, 1)
		flow[60] = bad
		tr, err := Dynamic(plug(7000, 1), Minutes{FlowMGD: flow, Residual: constant(100, 1)}, DefaultSettings())
		require.NoError(t, err)
		require.Equal(t, FlowUnknown, tr.Why[60], bad)
		require.Equal(t, FlowGap, tr.Why[65], bad)
		require.Equal(t, Known, tr.Why[75], bad)
	}
	flow := constant(100, 1)
	flow[60] = -0.0005 // a meter's noise around zero
	tr, err := Dynamic(plug(7000, 1), Minutes{FlowMGD: flow, Residual: constant(100, 1)}, DefaultSettings())
	require.NoError(t, err)
	require.Equal(t, Idle, tr.Why[60])
	near(t, 10.08+1, tr.ContactMin[65], 1e-9) // 7000 gal at 694.4 gpm, and one minute of standing
}

// With the basin back in service the look-back may not reach into the time out.
func TestReturnToService(t *testing.T) {
	service := constant(200, 1)
	for i := 50; i < 80; i++ {
		service[i] = 0
	}
	service[150] = math.NaN()
	tr, err := Dynamic(plug(10_000, 1), Minutes{FlowMGD: constant(200, 1000*gpm), Residual: constant(200, 1), InService: service}, DefaultSettings())
	require.NoError(t, err)
	require.Equal(t, OutOfService, tr.Why[60])
	require.Equal(t, ServiceChange, tr.Why[85])
	near(t, 10, tr.ContactMin[90], 1e-9)
	require.Equal(t, ServiceDoubt, tr.Why[150])
	require.Equal(t, ServiceChange, tr.Why[155])
	for r := Known; r <= OutsideTable; r++ {
		require.Equal(t, r == Known, r.String() == "")
	}
	require.Equal(t, "unknown reason", Reason(99).String())
}
