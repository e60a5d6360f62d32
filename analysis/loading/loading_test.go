package loading_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/loading"
	"weirbook/analysis/series"
)

const minute = int64(60_000)

var (
	nan  = math.NaN()
	line = align.Rule{Reading: series.Continuous, MaxGap: 15 * time.Minute}
)

func is(t *testing.T, want, got, tol float64) {
	t.Helper()
	require.False(t, math.IsNaN(got), "NaN, want %v", want)
	require.InDelta(t, want, got, tol)
}

func isNaN(t *testing.T, got float64) {
	t.Helper()
	require.True(t, math.IsNaN(got), "want NaN, got %v", got)
}

func TestPoundsSolvesForEachUnknown(t *testing.T) {
	for range 50 {
		q, c := rand.Float64()*50+0.01, rand.Float64()*300+0.01
		for _, f := range []loading.Factor{loading.Trade, loading.Exact} {
			l := f.PoundsPerDay(q, c)
			is(t, q, f.Flow(l, c), 1e-9*q)
			is(t, c, f.Concentration(l, q), 1e-9*c)
		}
		// One product, two systems: pounds exactly and kilograms agree.
		is(t, loading.Load(q*c).KilogramsPerDay(), loading.Exact.PoundsPerDay(q, c)*0.45359237, 1e-9*q*c)
		is(t, q*3785.411784*c/1000, loading.Load(q*c).KilogramsPerDay(), 1e-9*q*c)
	}
	isNaN(t, loading.Trade.Concentration(10, 0))
	isNaN(t, loading.Trade.Flow(10, 0))
	isNaN(t, loading.Trade.PoundsPerDay(nan, 1))
	isNaN(t, loading.Removal(0, 0))
}

func TestLiquidAndGasDoseAgree(t *testing.T) {
	// 100 gal/d of 12 trade percent is 100 x 12 x 0.0834 lb/d by the trade factor.
	lb := 100 * loading.Trade.PoundsPerGallon(120)
	is(t, 100*12*0.0834, lb, 1e-9)
	// Gallons in gallons: 100 × 120 × 1000 mg in 2,000,000.
	is(t, 6, loading.DoseOfGas(lb, 2, loading.Trade), 1e-12)
	is(t, 100, loading.FeedForDose(6, 2, 120), 1e-9)
}

func TestStrengthNeedsWhatItNeeds(t *testing.T) {
	require.NoError(t, loading.Strength{Value: 12.5, As: loading.TradePercent}.Check())
	require.ErrorContains(t, loading.Strength{Value: 12.5, As: loading.WeightNaOCl}.Check(), "specific gravity")
	require.ErrorContains(t, loading.Strength{Value: 125, As: loading.TradePercent}.Check(), "over 100 percent")
	require.ErrorContains(t, loading.Strength{Value: nan, As: loading.GramsPerLitre}.Check(), "zero or more")
	require.ErrorContains(t, loading.Strength{Value: 1, As: "proof"}.Check(), "not known")
	isNaN(t, loading.Strength{Value: 12, As: loading.WeightChlorine, SpecificGravity: nan}.GramsPerLitre())
	isNaN(t, loading.LabelsOf(loading.Strength{Value: 12, As: loading.TradePercent}).WeightNaOCl)
}

func TestStorage(t *testing.T) {
	is(t, 60, loading.AfterStorage(120, 100, 100), 1e-12)
	is(t, 30, loading.AfterStorage(120, 200, 100), 1e-12)
	is(t, 120, loading.AfterStorage(120, 50, nan), 0)
}

func TestBreakpointPositions(t *testing.T) {
	is(t, 5.06, loading.MonochloramineRatio, 0.005)
	is(t, 7.593, loading.BreakpointRatio, 0.0005)
	for ratio, want := range map[float64]loading.BreakpointPosition{
		3: loading.Monochloramine, 6: loading.PastHump, 8: loading.NearBreakpoint,
		12: loading.AroundBreakpoint, 20: loading.BeyondBreakpoint,
	} {
		require.Equal(t, want, loading.PositionOf(ratio))
		require.NotEmpty(t, want.String())
	}
	require.Equal(t, loading.PositionUnknown, loading.PositionOf(loading.ChlorineToNitrogen(8, 0)))
	is(t, 4, loading.ChlorineToNitrogen(8, 2), 0)
}

func TestDechlorination(t *testing.T) {
	a, err := loading.AgentOf("Sodium Bisulfite")
	require.NoError(t, err)
	is(t, 3.22, loading.DechlorinationNeeded(2, a.Field), 1e-9)
	is(t, 2, loading.ChlorineRemovable(3.22, a.Field), 1e-9)
	is(t, 50, loading.Excess(3, 2), 1e-9)
	is(t, -25, loading.Excess(1.5, 2), 1e-9)
	isNaN(t, loading.Excess(1, 0))
	_, err = loading.AgentOf("vinegar")
	require.ErrorContains(t, err, "metabisulfite")
}

func TestPump(t *testing.T) {
	full := loading.FullStroke(20)
	require.NoError(t, full.Check())
	is(t, 5, full.At(25), 1e-12)
	is(t, 22, full.At(110), 1e-9)
	isNaN(t, full.At(130))
	is(t, 0, full.At(-0.2), 0)
	isNaN(t, full.At(nan))
	c := loading.Calibration{Percent: []float64{20, 60, 100}, Output: []float64{3, 12, 19}}
	require.NoError(t, c.Check())
	is(t, 1.5, c.At(10), 1e-12)
	is(t, 7.5, c.At(40), 1e-12)
	is(t, 12, c.At(60), 1e-12)
	is(t, 36, loading.StrokeAndSpeed(60, 60), 1e-12)
	require.Error(t, loading.Calibration{Percent: []float64{50, 20}, Output: []float64{1, 2}}.Check())
	require.Error(t, loading.Calibration{}.Check())
}

func TestDemandUsesTheParcelsOwnDose(t *testing.T) {
	// A dose step at minute 60 reaches the outlet 30 minutes later.
	n := 200
	dose, res, delay := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		dose[i], delay[i] = 5, 30
		if i >= 60 {
			dose[i] = 8
		}
		res[i] = 2
		if i >= 90 {
			res[i] = 5
		}
	}
	d := loading.DemandColumn(dose, res, delay)
	for i := range n {
		if i < 30 {
			isNaN(t, d[i])
			continue
		}
		is(t, 3, d[i], 1e-12)
	}
	half := loading.Delayed([]float64{0, 10, 20}, []float64{0, 0.5, nan})
	is(t, 0, half[0], 0)
	is(t, 5, half[1], 1e-12)
	isNaN(t, half[2])
	isNaN(t, loading.Delayed([]float64{1, 2}, []float64{0})[1])
}

func TestColumns(t *testing.T) {
	q := []float64{2, 0, nan, 4}
	feed := loading.LiquidColumn([]float64{10, 10, 10, nan}, []float64{120}, loading.Trade)
	is(t, 10*24*1.0008, feed[0], 1e-9)
	d := loading.DoseColumn(feed, q, 0.01, loading.Trade)
	is(t, 240*120*1000/2e6, d[0], 1e-12)
	isNaN(t, d[1])
	isNaN(t, d[2])
	isNaN(t, d[3])
	r := loading.RatioColumn([]float64{6, 6}, []float64{2, 0.01}, 0.05)
	is(t, 3, r[0], 0)
	isNaN(t, r[1])
	p := loading.PercentColumn([]float64{50, nan}, loading.FullStroke(30))
	is(t, 15, p[0], 0)
	isNaN(t, p[1])
	is(t, 3.22, loading.NeededColumn([]float64{2}, 1.61)[0], 1e-9)
}

func TestTankDropCountsDeliveries(t *testing.T) {
	// 2 gal a minute drawn for a day, one delivery of 3000 gal over 30 minutes,
	// the gauge reading to 10 gal.
	s := &series.Series{Tag: "tank"}
	v := 4000.0
	for i := range int64(1441) {
		s.Append(i*minute, math.Round(v/10)*10, 0)
		v -= 2
		if i >= 600 && i < 630 {
			v += 100
		}
	}
	ws := []align.Window{{Start: 0, End: 1440 * minute}, {Start: 0, End: 300 * minute}, {Start: 590 * minute, End: 615 * minute}}
	d := loading.TankDrop(s, line, 200, ws)
	is(t, 2*1440, d[0].Gallons, 25)
	require.Equal(t, 1, d[0].Refills)
	is(t, 600, d[1].Gallons, 10)
	require.Zero(t, d[1].Refills)
	isNaN(t, d[2].Gallons) // a delivery through most of it
	// A gap at the edge: not known.
	isNaN(t, loading.TankDrop(s, line, 200, []align.Window{{Start: -60 * minute, End: 0}})[0].Gallons)
	is(t, 100*1728.0/231, loading.TankVolume(10, 10), 1e-9)
}

func TestUse(t *testing.T) {
	is(t, 12.5, loading.DaysLeft(1000, 80), 0)
	isNaN(t, loading.DaysLeft(1000, 0))
}

// ramped makes a signal and its twin that move together, irregularly sampled.
func ramped(seed uint64, n int) (q, c *series.Series) {
	r := rand.New(rand.NewPCG(seed, 1))
	q, c = &series.Series{Tag: "q"}, &series.Series{Tag: "c"}
	tq, tc := int64(0), int64(0)
	for range n {
		q.Append(tq, 5+2*math.Sin(float64(tq)/1e7)+0.1*r.NormFloat64(), 0)
		c.Append(tc, 10+5*math.Sin(float64(tc)/1e7)+0.1*r.NormFloat64(), 0)
		tq += 1000 + int64(r.IntN(120_000))
		tc += 1000 + int64(r.IntN(120_000))
	}
	return q, c
}

// Hourly masses add up to the daily one, over a day of 23, 24 and 25 hours.
func TestMassBalanceAcrossClockChanges(t *testing.T) {
	loc, err := time.LoadLocation("America/Chicago")
	require.NoError(t, err)
	for _, date := range []string{"2026-03-08", "2026-11-01", "2026-07-04"} {
		d, err := time.ParseInLocation("2006-01-02", date, loc)
		require.NoError(t, err)
		q, c := ramped(3, 2000)
		for i := range q.T {
			q.T[i] += d.UnixMilli() - 100*minute
			c.T[i] += d.UnixMilli() - 100*minute
		}
		day := align.Days(d.UnixMilli(), d.UnixMilli()+1, loc)
		hours := align.Hours(day[0].Start, day[0].End, loc)
		whole := loading.Masses(q, c, line, line, day, 0.9)[0]
		var load float64
		for _, m := range loading.Masses(q, c, line, line, hours, 0.9) {
			load += float64(m.Load) * m.Minutes
			require.GreaterOrEqual(t, m.FlowWeighted, 4.0)
		}
		is(t, float64(whole.Load)*whole.Minutes, load, 1e-6)
		is(t, float64(len(hours))*60, whole.Minutes, 1e-9)
		require.Greater(t, whole.FlowWeighted, whole.MeanMgL, "they rise together")
	}
}

func TestTooLittleCoverIsNotDetermined(t *testing.T) {
	q, c := ramped(4, 300)
	ws := []align.Window{{Start: 0, End: 60 * minute}, {Start: 1000 * 60 * minute, End: 1001 * 60 * minute}}
	for i := range c.F[:40] {
		c.F[i] = series.Bad
	}
	for _, m := range loading.Masses(q, c, line, line, ws, 0.75) {
		isNaN(t, float64(m.Load))
		isNaN(t, m.FlowWeighted)
	}
}

func TestCompositesKeepTheirOwnDay(t *testing.T) {
	// Flow 2 MGD until 08:00 of day two, then 6. The composite ran 08:00 to 08:00.
	q := &series.Series{Tag: "q"}
	for i := range int64(3 * 1440) {
		v := 2.0
		if i >= 1440+480 {
			v = 6
		}
		q.Append(i*minute, v, 0)
	}
	hold := align.Rule{Reading: series.OnChange, MaxGap: time.Hour}
	c := &series.Series{Tag: "bod"}
	c.Append((1440+480)*minute, 10, 0)
	c.Append((2*1440+480)*minute, 20, series.LessThan)
	c.Append((2*1440+500)*minute, 30, series.Bad)
	ss := loading.CompositeLoads(c, q, hold, 24*time.Hour, false, 0.75)
	require.Len(t, ss, 2)
	is(t, 10*2, float64(ss[0].Load), 1e-9)
	is(t, 20*6, float64(ss[1].Load), 1e-9)
	require.Equal(t, "24-h composite", ss[0].Label)
	require.Equal(t, series.LessThan, ss[1].Flag)
	is(t, 6, loading.CompositeLoads(c, q, hold, 24*time.Hour, true, 0.75)[0].FlowMGD, 1e-9)

	g := loading.GrabLoads(c, q, hold)
	require.Len(t, g, 2)
	is(t, 60, float64(g[0].Load), 1e-9)
	require.Equal(t, "grab", g[0].Label)
}

func TestLoadingRates(t *testing.T) {
	s := loading.Sizes{AreaFt2: 5000, WeirFt: 400, VolumeGal: 450000, MediaFt3: nan}
	l := loading.Stressor{AverageMGD: 4, PeakMGD: 10, AverageMgL: 150, PeakMgL: 200, Organic: true}
	rows := loading.LoadingRows(s, l, map[string]float64{"surface_overflow_rate": 1000, "detention_time": 180}, map[string]float64{"surface_overflow_rate": 1800})
	require.Len(t, rows, 4)
	is(t, 800, rows[0].Average, 1e-9)
	is(t, 2000, rows[0].Peak, 1e-9)
	is(t, 80, rows[0].OfDesignAverage, 1e-9)
	is(t, 111.111, rows[0].OfDesignPeak, 0.001)
	is(t, 10000, rows[1].Average, 1e-9)
	isNaN(t, rows[1].DesignAverage)
	is(t, 162, rows[2].Average, 1e-9)
	is(t, 111.11, rows[2].OfDesignAverage, 0.01)
	is(t, 4*150*8.34/(450000/7.480519481/1000), rows[3].Average, 1e-3)
	// Metric: 1 gpd/ft² is 0.040746 m³/(m²·d); exact kilograms from trade pounds.
	_, _, f := loading.OverflowRate.Unit()
	is(t, 0.0407458, f, 1e-7)
	_, _, f = loading.OrganicRate.Unit()
	is(t, 4*3785.411784*150/1000/(450000*3.785411784/1000), rows[3].Average*f, 1e-6)
	require.Len(t, loading.RateWords(), 5)
}

func TestEveryFormulaNamesItsSource(t *testing.T) {
	for _, e := range loading.Formulas() {
		require.NotEmpty(t, e.Quantity)
		require.NotEmpty(t, e.Formula, e.Quantity)
		require.NotEmpty(t, e.Units, e.Quantity)
		require.NotEmpty(t, e.Source, e.Quantity)
		require.NotEmpty(t, e.Mark, e.Quantity)
	}
}
