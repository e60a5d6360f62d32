package review

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A residual of 3·exp(-0.01·T) in 0.3 MG with a factor of 0.6 holds CT of 45 up to
// 14.4408 MGD (the root by scipy 1.10.1 brentq); it reaches 3/(0.01·e) = 110.4 at most.
func TestTruthCapacityWithDecay(t *testing.T) {
	f := invent(t, 6, day(2023, time.January, 1), 200, 0.7)
	f.run(flat(12), flat(2), 0)
	b := &f.rec.Basins[0]
	b.Require.CT = 45
	for i := range b.PeakFlow {
		q := 8 + 10*f.rng.Float64()
		b.PeakFlow[i], b.ContactMin[i] = q, 1440*0.18/q
		b.Residual[i] = 3 * math.Exp(-0.01*b.ContactMin[i]) * (1 + 1e-4*f.rng.NormFloat64())
	}
	whole := func() *Review {
		return f.make(t, day(2023, time.January, 1), day(2023, time.July, 20), time.Time{}, time.Time{})
	}
	c := whole().Capacity[0].Basins[0]
	require.InDelta(t, 0.01, c.DecayRate, 1e-4)
	require.InDelta(t, 14.4408, c.Decay.Flow, 0.02)

	b.Require.CT = 120
	require.Contains(t, whole().Capacity[0].Basins[0].Decay.Why, "reaches 110 mg·min/L at most")
	b.Require.CT = 45
	for i := range b.Residual {
		b.Residual[i] = 2 + 0.02*b.ContactMin[i]
	}
	c = whole().Capacity[0].Basins[0]
	require.Contains(t, c.Decay.Why, "no rate of decay is told")
	require.True(t, math.IsNaN(c.Decay.Flow))
}

// 120 days, each with a flow of its own, parted by rank/(121): 12, 36, 24, 36 and 12
// days. The highest twelve flows are 2.08 to 2.19 MGD, the loads ten times these.
func TestLoadsByZoneOfFlow(t *testing.T) {
	f := invent(t, 7, day(2023, time.January, 1), 120, 0.7)
	f.run(flat(4), flat(2), 0)
	flow, load := make([]float64, len(f.rec.Hours)), make([]float64, len(f.rec.Hours))
	for i := range flow {
		flow[i] = 1 + float64(f.rec.At(i).YearDay()-1)/100
		load[i] = 10 * flow[i]
	}
	f.rec.Columns["outfall.flow"] = &Column{Values: flow}
	f.rec.Columns["outfall.chlorine_total_load"] = &Column{Values: load}
	z := f.make(t, day(2023, time.January, 1), day(2023, time.May, 1), time.Time{}, time.Time{}).Zones
	require.Len(t, z, 5)
	var days []int
	for _, x := range z {
		days = append(days, x.Days)
	}
	require.Equal(t, []int{12, 36, 24, 36, 12}, days)
	require.InDelta(t, 2.08, z[0].FlowLow, 1e-9)
	require.InDelta(t, 2.19, z[0].FlowHigh, 1e-9)
	require.InDelta(t, 21.35, z[0].Median, 1e-9)
	require.InDelta(t, 21.87, z[0].P90, 1e-9, "place 0.9·13 = 11.7 of twelve")
}

// A residual that falls only because the flow grows shows a trend, and none at equal
// flow; one that falls by 0.05 mg/L a year beside a flow that comes and goes shows it
// more surely at equal flow.
func TestTruthTrendAtEqualFlow(t *testing.T) {
	trend := func(seed uint64, growth, falling float64) Trend {
		f := invent(t, seed, day(2020, time.January, 1), 1827, 0.9)
		years := func(at time.Time) float64 { return float64(at.Year()-2020) + float64(at.YearDay())/365 }
		f.run(func(at time.Time) float64 { return 4 + growth*years(at) }, flat(2), 0.1)
		b := &f.rec.Basins[0]
		for i := range b.Residual {
			b.Residual[i] = 3 - 0.2*b.PeakFlow[i] - falling*years(f.rec.At(i)) + 0.05*f.rng.NormFloat64()
		}
		for _, x := range f.make(t, day(2020, time.January, 1), day(2025, time.January, 1), time.Time{}, time.Time{}).Trends {
			if x.Name == "residual, lowest of the hour" {
				return x
			}
		}
		t.Fatal("no trend of the residual")
		return Trend{}
	}
	x := trend(1, 0.3, 0)
	require.Less(t, x.P, 0.01)
	require.InDelta(t, -0.2, x.AtFlow.PerFlow, 0.03)
	require.Greater(t, x.AtFlow.P, 0.05)
	require.Contains(t, x.Says, "with what goes with the flow taken off, none is told")
	x = trend(2, 0, 0.05)
	require.InDelta(t, -0.05, x.AtFlow.Slope, 0.01)
	require.Less(t, x.AtFlow.P, 0.001)
	require.LessOrEqual(t, x.AtFlow.P, x.P)
}

// Chemical per volume is the sum of pounds over the sum of volume: a day of 1 MG at
// 90 lb and one of 9 MG at 90 lb come to 18 lb/MG; the mean of the days' ratios is 50.
func TestTrapMeanOfDailyRatios(t *testing.T) {
	f := invent(t, 8, day(2023, time.January, 1), 2, 0.7)
	f.run(flat(4), flat(2), 0)
	for i := range f.rec.Hours {
		q := []float64{1, 9}[i/24]
		for name, v := range map[string]float64{"basin.flow": q, "outlet.flow": q, "hypo.chlorine_used": 90.0 / 24, "hypo.dose": 90 / (q * 8.34)} {
			f.rec.Columns[name].Values[i] = v
		}
	}
	u := f.make(t, day(2023, time.January, 1), day(2023, time.January, 3), time.Time{}, time.Time{}).Use
	require.Len(t, u, 1)
	require.InDelta(t, 180, u[0].Pounds, 1e-6)
	require.InDelta(t, 10, u[0].MG, 1e-6)
	require.InDelta(t, 18, u[0].PoundsPerMG, 1e-6)
}

// Demand is dose less residual: a line of it on the dose, or on the residual, would be
// one of a thing on itself. Nor is residual on dose fitted: a controlled plant shows
// its controller there.
func TestTrapDemandOnItself(t *testing.T) {
	f := invent(t, 9, day(2023, time.January, 1), 60, 0.7)
	f.run(flat(4), flat(2), 0.1)
	r := f.make(t, day(2023, time.January, 1), day(2023, time.March, 2), time.Time{}, time.Time{})
	require.NotEmpty(t, r.Drivers)
	for _, d := range r.Drivers {
		require.NotContains(t, d.With, "dose")
		require.NotContains(t, d.With, "residual")
		require.NotContains(t, d.With, "demand")
	}
}
