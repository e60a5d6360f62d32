package contact

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// z95 is the normal quantile that leaves 2.5 % on either side (statistical
// tables): a band of half width h stands for a standard error of h / 1.96.
const z95 = 1.959964

func TestAccuracy(t *testing.T) {
	near(t, 0.09, Accuracy{2, 0.05}.Half(2), 1e-12) // 2 % of 2 and 0.05
	near(t, 0.05, Accuracy{math.NaN(), 0.05}.Half(2), 1e-12)
	require.Zero(t, Accuracy{math.NaN(), math.NaN()}.Half(2))
	require.False(t, Accuracy{math.NaN(), 0}.Stated())
	near(t, 0.5, Band{-2, 1}.Relative(), 0)
	require.Zero(t, Band{}.Relative())
	require.Equal(t, Band{-6, 3}, Band{2, 1}.Scale(-3))
}

// First-order propagation on a calculator: 10 ± 0.3 times 20 ± 0.8 is 200 with
// a relative half width of √(3² + 4²) = 5 %, so ± 10.
func TestBandByHand(t *testing.T) {
	a, b := Band{10, 0.3}, Band{20, 0.8}
	near(t, 10, a.Times(b).Half, 1e-9)
	near(t, 190, a.Times(b).Low(), 1e-9)
	near(t, 210, a.Times(b).High(), 1e-9)
}

// Monte Carlo: the band says that it holds 95 of 100 true values. Readings are
// drawn around true values with the stated accuracies; the share of bands, put
// on by the readings, that hold the truth is counted. 40,000 draws leave a
// standard error of 0.11 points; the first-order form may be off by half a point
// more for quotients of 5 to 10 %.
func TestBandCoversAsOftenAsItSays(t *testing.T) {
	rng := rand.New(rand.NewPCG(2026, 4))
	acc := Accuracies{Flow: Accuracy{Percent: 5}, Residual: Accuracy{Percent: 3, Absolute: 0.05}, Volume: Accuracy{Percent: 2}, Factor: Accuracy{Percent: 10}}
	cases := []struct {
		name string
		run  func(read func(v float64, a Accuracy) float64) (truth float64, b Band)
	}{
		{"CT", func(read func(float64, Accuracy) float64) (float64, Band) {
			const v, f, q, c = 100_000.0, 0.7, 5.0, 2.0
			rv, rf, rq, rc := read(v, acc.Volume), read(f, acc.Factor), read(q, acc.Flow), read(c, acc.Residual)
			contact := ContactTimeMin(rv, rq, rf)
			return c * ContactTimeMin(v, q, f), acc.CTBand(rc, acc.ContactBand(contact, rv, rf, rq))
		}},
		{"load", func(read func(float64, Accuracy) float64) (float64, Band) {
			const q, c = 5.0, 12.0
			b := acc.Flow.Of(read(q, acc.Flow)).Times(Accuracy{Percent: 8}.Of(read(c, Accuracy{Percent: 8}))).Scale(8.34)
			return q * c * 8.34, b
		}},
	}
	for _, c := range cases {
		const draws = 40_000
		held := 0
		for range draws {
			truth, b := c.run(func(v float64, a Accuracy) float64 { return v + rng.NormFloat64()*a.Half(v)/z95 })
			if b.Low() <= truth && truth <= b.High() {
				held++
			}
		}
		near(t, 95, 100*float64(held)/draws, 0.8, c.name)
		t.Logf("%s: %.2f %% of bands hold the truth", c.name, 100*float64(held)/draws)
	}
}

// Monte Carlo through the whole dynamic method on minutes with a diurnal flow:
// a meter's error stays the same through the look-back and the hour. The band
// holds the truth 95 times of 100; a band narrowed as if the 60 minutes were
// independent would hold it far less often.
func TestDynamicBandCovers(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	const v, f, residual = 150_000.0, 0.6, 2.0
	acc := Accuracies{Flow: Accuracy{Percent: 6}, Residual: Accuracy{Percent: 4}}
	n := 240
	w := 2 * math.Pi / 1440
	flow := meansOf(n, func(t float64) float64 { return 4000 * (t - 0.4/w*(math.Cos(w*t)-1)) })
	b, s := plug(v, f), DefaultSettings()
	truth, err := Dynamic(b, Minutes{FlowMGD: flow, Residual: constant(n, residual)}, s)
	require.NoError(t, err)
	g, hours := hourGrid(4)
	want, err := Hourly(g, hours, truth, s)
	require.NoError(t, err)
	const draws = 3000
	held, narrow := 0, 0
	read := make([]float64, n)
	for range draws {
		eq, ec := 1+rng.NormFloat64()*0.06/z95, 1+rng.NormFloat64()*0.04/z95
		for i := range flow {
			read[i] = flow[i] * eq
		}
		tr, err := Dynamic(b, Minutes{FlowMGD: read, Residual: constant(n, residual*ec)}, s)
		require.NoError(t, err)
		h, err := Hourly(g, hours[3:], tr, s)
		require.NoError(t, err)
		ct, contact := h[0].CTMgMinL.Mean, h[0].ContactMin.Mean
		band := acc.CTBand(residual*ec, acc.ContactBand(contact, v, f, LookBackFlowMGD(v, f, contact)))
		miss := math.Abs(ct - want[3].CTMgMinL.Mean)
		if miss <= band.Half {
			held++
		}
		if miss <= band.Half/math.Sqrt(60) {
			narrow++
		}
	}
	near(t, 95, 100*float64(held)/draws, 1.5) // standard error 0.4 points
	require.Less(t, 100*float64(narrow)/draws, 40.0)
	t.Logf("band holds the truth %.1f %%, narrowed by √60 %.1f %%", 100*float64(held)/draws, 100*float64(narrow)/draws)
}
