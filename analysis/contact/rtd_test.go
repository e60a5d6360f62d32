package contact

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mathext"
)

// Tanks in series by the gamma function: roots solved outside of this project
// (derived; the formula verified).
func TestTanksInSeries(t *testing.T) {
	rows := published(t, "ct_tanks_in_series.csv")
	require.Len(t, rows, 12)
	for _, r := range rows {
		n := num(t, r["n"])
		t10, t90 := TanksTime(n, 0.10), TanksTime(n, 0.90)
		near(t, num(t, r["t10_over_hrt"]), t10, 0.5e-5, r)
		near(t, num(t, r["t50_over_hrt"]), TanksTime(n, 0.50), 0.5e-5, r)
		near(t, num(t, r["t90_over_hrt"]), t90, 0.5e-5, r)
		near(t, num(t, r["morrill_t90_t10"]), t90/t10, 0.5e-4, r)
		near(t, num(t, r["mode_over_hrt"]), TanksMode(n), 0.5e-5, r)
		near(t, num(t, r["t10_over_hrt"]), TanksFactor(n, T10).Value, 0.5e-5, r)
	}
	near(t, -math.Log(0.9), TanksTime(1, 0.1), 1e-12) // a single mixed tank
	require.True(t, math.IsNaN(TanksTime(0.5, 0.1)))
	require.True(t, math.IsNaN(TanksTime(3, 1)))
	require.Error(t, TanksFactor(1, Modal).Check()) // most water leaves a mixed tank at once
}

// The time at which a share has left, and the share that has left by then.
func TestTanksLeftUndoesTanksTime(t *testing.T) {
	for _, n := range []float64{1, 1.36, 2.5, 7, 40, 333, 5000} {
		for _, p := range []float64{0.001, 0.1, 0.5, 0.9, 0.999} {
			near(t, p, tanksLeft(n, TanksTime(n, p)), 1e-9, n, p)
		}
	}
}

func TestDispersionVariance(t *testing.T) {
	rows := published(t, "ct_dispersion_variance.csv")
	require.Len(t, rows, 6)
	for _, r := range rows {
		d := num(t, r["dispersion_number"])
		near(t, num(t, r["variance_closed"]), DispersionVarianceClosed(d), 0.6e-6, r)
		near(t, num(t, r["variance_open"]), DispersionVarianceOpen(d), 0.6e-6, r)
		near(t, num(t, r["equivalent_tanks_closed"]), EquivalentTanks(d), 0.6e-3, r)
		require.NoError(t, DispersionFactor(d, T10).Check())
	}
}

// EPA SWTR guidance manual (1991), appendix C, step-dose example (from memory):
// 2.0 mg/L fluoride over 0.2 mg/L; T10 about 13 min, 12.85 by a straight line
// between 0.045 and the manual's rounded 0.24.
func TestTracerStepExample(t *testing.T) {
	test := TracerTest{Kind: Step, FlowMGD: 3.6, VolumeGal: 75_000, Background: 0.2, Applied: 2.0}
	for i, r := range published(t, "ct_tracer_step_dose.csv") {
		test.Min = append(test.Min, num(t, r["t_min"]))
		test.MgL = append(test.MgL, num(t, r["measured_mg_l"]))
		near(t, num(t, r["c_over_c0"]), (test.MgL[i]-test.Background)/test.Applied, 0.0005, r)
	}
	r, err := AnalyseTracer(test)
	require.NoError(t, err)
	near(t, 13, r.T10, 0.5)
	near(t, 12.85, r.T10, 0.05)
	near(t, 12.85, reaches([]float64{12, 15}, []float64{0.045, 0.24}, 0.10), 0.005) // as printed
	near(t, 30, r.HydraulicMin, 1e-9)
	near(t, r.T10/30, r.Factor(T10).Value, 1e-12)
	require.Equal(t, 3.6, r.Factor(T10).FlowMGD)
	near(t, 43.5, r.T90, 1.5) // the samples pass 0.9 between 42 and 45 min
	require.Empty(t, r.Factor(T10).Doubt(3.8))
	require.Contains(t, r.Factor(T10).Doubt(5), "3.6 MGD")
}

// A finely sampled pulse and step through n tanks against the closed forms:
// mean volume/flow, variance its square over n, times by the published table.
func TestTracerAgainstTanks(t *testing.T) {
	const n, hrt = 6.0, 40.0
	gammaN := math.Gamma(n)
	e := func(t float64) float64 {
		x := t / hrt
		return math.Pow(n, n) * math.Pow(x, n-1) * math.Exp(-n*x) / gammaN / hrt
	}
	left := func(t float64) float64 { // closed form for whole n
		x, term, sum := n*t/hrt, 1.0, 0.0
		for k := 0; k < 6; k++ {
			sum += term
			term *= x / float64(k+1)
		}
		return 1 - math.Exp(-x)*sum
	}
	var at, pulse, step []float64
	for x := 0.0; x <= 240; x += 0.25 {
		at, pulse, step = append(at, x), append(pulse, 0.3+500*e(x)), append(step, 0.3+1.7*left(x))
	}
	for _, test := range []TracerTest{
		{Kind: Pulse, FlowMGD: 1.44, VolumeGal: 40_000, Background: 0.3, Min: at, MgL: pulse},
		{Kind: Step, FlowMGD: 1.44, VolumeGal: 40_000, Background: 0.3, Applied: 1.7, Min: at, MgL: step},
	} {
		r, err := AnalyseTracer(test)
		require.NoError(t, err)
		near(t, hrt, r.HydraulicMin, 1e-9)
		near(t, 0.52532*hrt, r.T10, 0.002, test.Kind) // derived table, n = 6
		near(t, 0.94503*hrt, r.T50, 0.002, test.Kind)
		near(t, 1.54578*hrt, r.T90, 0.002, test.Kind)
		near(t, hrt, r.MeanMin, 0.01, test.Kind)
		near(t, hrt*hrt/n, r.VarianceMin2, 0.2, test.Kind)
		near(t, 2.9426, r.Morrill, 0.001, test.Kind)
		near(t, 5.0/6*hrt, r.ModalMin, 0.3, test.Kind) // a sample apart
	}
}

func TestTracerRefuses(t *testing.T) {
	good := TracerTest{Kind: Pulse, FlowMGD: 1, VolumeGal: 1e4, Min: []float64{0, 5, 10}, MgL: []float64{0, 1, 0}}
	_, err := AnalyseTracer(good)
	require.NoError(t, err)
	for want, spoil := range map[string]func(*TracerTest){
		"not later":  func(x *TracerTest) { x.Min = []float64{0, 5, 5} },
		"volume":     func(x *TracerTest) { x.VolumeGal = 0 },
		"3 or more":  func(x *TracerTest) { x.Min, x.MgL = x.Min[:2], x.MgL[:2] },
		"applied":    func(x *TracerTest) { x.Kind = Step },
		"slug":       func(x *TracerTest) { x.Kind = "slug" },
		"no tracer":  func(x *TracerTest) { x.Background = 2 },
		"sample 2":   func(x *TracerTest) { x.MgL = []float64{0, math.NaN(), 0} },
		"a tenth":    func(x *TracerTest) { x.Kind, x.Applied = Step, 100 },
		"beside 3":   func(x *TracerTest) { x.Min = x.Min[:2] },
		"background": func(x *TracerTest) { x.Background = math.NaN() },
	} {
		bad := good
		spoil(&bad)
		_, err := AnalyseTracer(bad)
		require.ErrorContains(t, err, want)
	}
}

// tanksLeft is the share of the water that has left n tanks in series by time t
// (over volume / flow), 0 to 1.
func tanksLeft(n, t float64) float64 {
	if !(n >= 1 && n <= 1e4) || math.IsNaN(t) {
		return nan
	}
	if t <= 0 {
		return 0
	}
	if math.IsInf(t, 1) {
		return 1
	}
	return mathext.GammaIncReg(n, n*t)
}
