package review

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // a machine without zone files must pass too

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/contact"
	"weirbook/analysis/discharge"
	"weirbook/analysis/finding"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// invented is a plant of one basin, made only to be reviewed: its hours are drawn
// with seasons, days and serial dependence, and what is true of it is known.
type invented struct {
	rng    *rand.Rand
	rec    *Record
	weekly []float64 // a wander of the water, dependent from day to day
}

const denver = "America/Denver"

func zoneOf(t testing.TB) *time.Location {
	z, err := time.LoadLocation(denver)
	require.NoError(t, err)
	return z
}

// invent makes hours from a day on. r is the correlation of a day with the next.
func invent(t testing.TB, seed uint64, from time.Time, days int, r float64) *invented {
	rng := rand.New(rand.NewPCG(seed, 99))
	p := &plant.Plant{Name: "Invented", Zone: zoneOf(t), ZoneName: denver, Units: plant.US, HourCoverage: 0.75, DayCoverage: 0.75,
		Points: []plant.Point{{Name: "outlet", Title: "basin outlet", Basin: "basin"}, {Name: "outfall", Title: "outfall", Outfall: true, Dechlorinated: true}},
		Basins: []plant.Basin{{Name: "basin", Title: "contact basin", Outlet: "outlet", FlowAt: "outlet", Volume: 150_000, BafflingFactor: 0.6, Require: plant.Requirement{CT: 30, ContactTime: math.NaN(), ResidualMin: math.NaN()}}},
		Feeds:  []plant.Feed{{Name: "hypo", Title: "hypochlorite", Chemical: "hypochlorite", Basin: "basin", Price: 1.8, PriceUnit: "gal", Currency: "USD", Capacity: 22}},
		Tags: []plant.Tag{{Name: "Q", Measures: quantity.Flow, At: "outlet"}, {Name: "C", Measures: quantity.ChlorineTotal, At: "outlet"}, {Name: "ORP", Measures: quantity.ORP, At: "outlet"}, {Name: "C2", Measures: quantity.ChlorineTotal, At: "outfall"},
			{Name: "LAB-E", Measures: quantity.EColi, At: "outfall", Reading: series.Grab}}}
	f := &invented{rng: rng}
	start := time.Date(from.Year(), from.Month(), from.Day(), 0, 0, 0, 0, p.Zone)
	f.rec = &Record{Plant: p, Hours: align.Hours(start.UnixMilli(), start.AddDate(0, 0, days).UnixMilli(), p.Zone), Columns: map[string]*Column{}}
	w := rng.NormFloat64()
	for range days + 2 {
		w = r*w + math.Sqrt(1-r*r)*rng.NormFloat64()
		f.weekly = append(f.weekly, w)
	}
	n := len(f.rec.Hours)
	f.rec.Basins = []Basin{{Basin: p.Basins[0], FlowTag: "Q", ResidualTag: "C", Verdict: make([]contact.Verdict, n), CT: make([]float64, n), Required: make([]float64, n), Residual: make([]float64, n),
		PeakFlow: make([]float64, n), ContactMin: make([]float64, n), Doubt: make([]string, n), Cause: make([]Cause, n), Why: make([]string, n)}}
	for _, c := range []string{"basin.flow", "outlet.flow", "outlet.chlorine_total", "outlet.orp", "outfall.chlorine_total", "hypo.dose", "hypo.demand", "hypo.chlorine_used", "hypo.solution_used"} {
		f.rec.Columns[c] = &Column{Values: make([]float64, n)}
	}
	return f
}

// run fills the hours. flow and residual give the level of an hour by its time;
// noise is the share by which the day's wander moves them.
func (f *invented) run(flow, residual func(at time.Time) float64, noise float64) *Record {
	b := &f.rec.Basins[0]
	const effective = 0.15 * 0.6
	for i := range f.rec.Hours {
		at := f.rec.At(i)
		day := i / 24
		daily := 1 + 0.3*math.Sin(2*math.Pi*(float64(at.Hour())-6)/24)
		season := math.Sin(2 * math.Pi * float64(at.YearDay()) / 365.25)
		q := flow(at) * daily * (1 + 0.1*season) * math.Exp(noise*f.weekly[day]+0.02*f.rng.NormFloat64())
		c := residual(at) * (1 + 0.1*season) * math.Exp(noise*f.weekly[(day+1)%len(f.weekly)]+0.05*f.rng.NormFloat64())
		b.PeakFlow[i], b.Residual[i] = q, c
		b.ContactMin[i] = 1440 * effective / q
		b.CT[i], b.Required[i] = c*b.ContactMin[i], 30
		b.Verdict[i] = contact.Met
		if b.CT[i] < 30 {
			b.Verdict[i], b.Cause[i] = contact.Short, CauseFlow
		}
		demand := 3 * math.Exp(0.05*f.weekly[day])
		put := func(name string, v float64) { f.rec.Columns[name].Values[i] = v }
		put("basin.flow", q)
		put("outlet.flow", q)
		put("outlet.chlorine_total", c)
		put("outlet.orp", 600)
		put("outfall.chlorine_total", 0.02*math.Exp(0.3*f.rng.NormFloat64()))
		put("hypo.dose", c+demand)
		put("hypo.demand", demand)
		put("hypo.chlorine_used", (c+demand)*q*8.34/24)
		put("hypo.solution_used", (c+demand)*q*8.34/24/1.0432)
	}
	return f.rec
}

func flat(v float64) func(time.Time) float64 { return func(time.Time) float64 { return v } }

func day(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }

func (f *invented) make(t testing.TB, from, to, otherFrom, otherTo time.Time) *Review {
	ms := func(x time.Time) int64 {
		if x.IsZero() {
			return 0
		}
		return time.Date(x.Year(), x.Month(), x.Day(), 0, 0, 0, 0, f.rec.Plant.Zone).UnixMilli()
	}
	r, err := Make(f.rec, Asked{From: ms(from), To: ms(to), CompareFrom: ms(otherFrom), CompareTo: ms(otherTo)})
	require.NoError(t, err)
	return r
}

func changes(r *Review) (n int) {
	for _, c := range r.Comparisons {
		if c.Says == "higher" || c.Says == "lower" {
			n++
		}
	}
	return n
}

// TestTruthPlantWithoutChangeSaysSo: of a hundred plants that did not change, the
// comparison of two years must call no change in 95. The water wanders from day to
// day with a correlation of 0.5 to 0.9.
func TestTruthPlantWithoutChangeSaysSo(t *testing.T) {
	plants := 100
	if testing.Short() {
		plants = 8
	}
	quiet, trends := 0, 0
	for k := range plants {
		f := invent(t, uint64(k), day(2023, time.January, 1), 731, []float64{0.5, 0.7, 0.8, 0.9}[k%4])
		f.run(flat(4), flat(2), 0.1)
		r := f.make(t, day(2024, time.January, 1), day(2025, time.January, 1), day(2023, time.January, 1), day(2024, time.January, 1))
		if changes(r) == 0 {
			quiet++
		}
		whole := f.make(t, day(2023, time.January, 1), day(2025, time.January, 1), time.Time{}, time.Time{})
		for _, x := range whole.Trends {
			if x.Why == "" && x.Says != "no trend told" {
				trends++
				break
			}
		}
	}
	t.Logf("%d of %d plants without change said so by comparison; %d showed a trend or step", quiet, plants, trends)
	require.GreaterOrEqual(t, quiet*100, 95*plants)
	require.LessOrEqual(t, trends*100, 8*plants, "two years of months; a trend or step anywhere in the plant")
}

// TestTruthStepIsRecovered: a residual cut by 0.3 mg/L must be told, and the
// interval must hold it in 95 of 100 (90 is the bound of 60 plants' luck).
func TestTruthStepIsRecovered(t *testing.T) {
	if testing.Short() {
		t.Skip("60 plants; the tests without -short have them")
	}
	told, held := 0, 0
	const plants = 60
	for k := range plants {
		f := invent(t, 1000+uint64(k), day(2023, time.January, 1), 731, 0.7)
		f.run(flat(4), func(at time.Time) float64 {
			if at.Year() == 2024 {
				return 1.7
			}
			return 2
		}, 0.05)
		r := f.make(t, day(2024, time.January, 1), day(2025, time.January, 1), day(2023, time.January, 1), day(2024, time.January, 1))
		for _, c := range r.Comparisons {
			if c.Name == "residual, lowest of the hour" {
				if c.Says == "lower" {
					told++
				}
				if c.Limits.Low <= -0.3 && c.Limits.High >= -0.3 {
					held++
				}
			}
		}
	}
	t.Logf("a step of 0.3 mg/L was told in %d of %d plants; the interval held it in %d", told, plants, held)
	require.Equal(t, plants, told)
	require.GreaterOrEqual(t, held, 54)
}

// TestTruthTrendIsRecovered: demand that rises by 0.1 mg/L a year, and a step in its
// stead, are told apart.
func TestTruthTrendIsRecovered(t *testing.T) {
	if testing.Short() {
		t.Skip("30 plants of five years; the tests without -short have them")
	}
	slopes, held, steps := 0, 0, 0
	const plants = 30
	for k := range plants {
		f := invent(t, 2000+uint64(k), day(2020, time.January, 1), 1827, 0.7)
		f.run(func(at time.Time) float64 { return 4 + 0.3*(float64(at.Year()-2020)+float64(at.YearDay())/365) }, func(at time.Time) float64 {
			if at.Before(time.Date(2023, time.April, 1, 0, 0, 0, 0, at.Location())) {
				return 2.4
			}
			return 2
		}, 0.03)
		r := f.make(t, day(2020, time.January, 1), day(2025, time.January, 1), time.Time{}, time.Time{})
		for _, x := range r.Trends {
			switch x.Name {
			case "flow":
				require.True(t, x.UsesSeason)
				if x.Says == "a slope fits better than a step" {
					slopes++
				}
				if x.Slopes.Low <= 0.3 && x.Slopes.High >= 0.3 {
					held++
				}
				require.InDelta(t, 0.3, x.Slope, 0.06)
			case "residual, lowest of the hour":
				if x.Says == "a step in April 2023 fits better than a slope" {
					steps++
				}
			}
		}
	}
	t.Logf("of %d plants: slope told as a slope in %d, its interval held 0.3 MGD a year in %d, the step told in its month in %d", plants, slopes, held, steps)
	require.GreaterOrEqual(t, slopes, 27)
	require.GreaterOrEqual(t, held, 24)
	require.GreaterOrEqual(t, steps, 27)
}

// TestTruthCapacity: with a residual of 2.4 - 0.1·Q at the median, CT of 30 binds at
// Q = 2.4·k/(30 + 0.1·k), k = 1440·0.09 MG: by hand 311.04/42.96 = 7.24 MGD.
func TestTruthCapacity(t *testing.T) {
	f := invent(t, 5, day(2023, time.January, 1), 365, 0.7)
	f.run(flat(4), flat(2), 0)
	b := &f.rec.Basins[0]
	for i := range b.PeakFlow {
		q := 2 + 7*f.rng.Float64()
		b.PeakFlow[i], b.ContactMin[i] = q, 1440*0.09/q
		b.Residual[i] = 2.4 - 0.1*q + 0.2*f.rng.NormFloat64()
	}
	r := f.make(t, day(2023, time.January, 1), day(2024, time.January, 1), time.Time{}, time.Time{})
	c := r.Capacity[0]
	require.InDelta(t, 0.09, c.Basins[0].Effective, 1e-9)
	require.InDelta(t, 7.24, c.All[0].Flow, 0.05)
	// One in ten hours lies 1.2816 deviations of 0.2 lower: (2.4 - 0.2563)·k/(30 + 0.1·k) = 277.82/42.96.
	require.InDelta(t, 6.467, c.All[1].Flow, 0.08)
	require.Contains(t, c.LargestOut[0].Why, "one basin")

	// Half the flows: the line ends before CT binds, and no figure is made up.
	for i := range b.PeakFlow {
		b.PeakFlow[i] = 2 + (b.PeakFlow[i]-2)/3
		b.ContactMin[i] = 1440 * 0.09 / b.PeakFlow[i]
	}
	r = f.make(t, day(2023, time.January, 1), day(2024, time.January, 1), time.Time{}, time.Time{})
	require.True(t, r.Capacity[0].All[0].Beyond)
	require.True(t, math.IsNaN(r.Capacity[0].All[0].Flow))
	require.Contains(t, r.Capacity[0].All[0].Why, "the line ends there")
}

// TestTruthDriftInterval: a probe cleaned every 30 days fouls after a Weibull time
// of shape 3 and scale 40 days: one in ten by 40·(-ln 0.9)^(1/3) = 18.9 days, half by 35.4.
func TestTruthDriftInterval(t *testing.T) {
	var tenth, half []float64
	records := 8
	if testing.Short() {
		records = 1
	}
	for k := range records {
		f := invent(t, 3000+uint64(k), day(2018, time.January, 1), 5*365, 0.5)
		f.run(flat(4), flat(2), 0.05)
		start := f.rec.Hours[0].Start
		const dayMs = 24 * 3_600_000
		for at := start + dayMs; at < f.rec.Hours[len(f.rec.Hours)-1].End-45*dayMs; at += 45 * dayMs {
			f.rec.Services = append(f.rec.Services, Service{"ORP", at - 600_000, at})
			life := 40 * math.Pow(f.rng.ExpFloat64(), 1.0/3)
			if bad := at + int64(life*dayMs); bad < at+45*dayMs {
				f.rec.Doubts = append(f.rec.Doubts, Doubt{Tag: "ORP", Kind: "probe-fouling", Party: finding.ORPProbe, Start: bad, End: at + 45*dayMs - 3_600_000})
			}
		}
		r := f.make(t, day(2018, time.January, 1), day(2022, time.December, 30), time.Time{}, time.Time{})
		for _, x := range r.Instruments {
			if x.Tag == "ORP" {
				require.NotNil(t, x.Drift)
				tenth, half = append(tenth, x.Drift.Tenth), append(half, x.Drift.Median)
			}
		}
	}
	mean := func(v []float64) (s float64) {
		for _, x := range v {
			s += x / float64(len(v))
		}
		return s
	}
	t.Logf("one in ten by %.1f days (true 18.9), half by %.1f (true 35.4), means of %d records", mean(tenth), mean(half), len(half))
	wide := 8 / float64(records) // one record alone says less
	require.InDelta(t, 18.9, mean(tenth), 2.5*math.Sqrt(wide))
	require.InDelta(t, 35.4, mean(half), 2*math.Sqrt(wide))
}

// TestTruthOverfeed: at 2 mg/L where CT asks for 30/t, what is beyond is known.
func TestTruthOverfeed(t *testing.T) {
	f := invent(t, 6, day(2023, time.January, 1), 365, 0.7)
	f.run(flat(3), flat(2.5), 0.03)
	b := f.rec.Basins[0]
	beyond := 0.0
	for i, c := range b.Residual {
		beyond += math.Max(0, c-30/b.ContactMin[i]) * f.rec.Columns["basin.flow"].Values[i] * 8.34 / 24
	}
	r := f.make(t, day(2023, time.January, 1), day(2024, time.January, 1), time.Time{}, time.Time{})
	require.Len(t, r.Overfeeds, 1)
	require.InDelta(t, beyond, r.Overfeeds[0].Excess, 1e-6*beyond)
	require.InDelta(t, beyond/1.0432*1.8, r.Overfeeds[0].Cost, 1e-6*beyond, "price by the gallon, 1.0432 lb in one")
}

// The list of bad input: each gets a stated figure, a reason or a question.
func TestBadRecords(t *testing.T) {
	whole := func(f *invented) *Review {
		return f.make(t, day(2023, time.January, 1), day(2024, time.January, 1), time.Time{}, time.Time{})
	}
	fresh := func() *invented {
		f := invent(t, 7, day(2023, time.January, 1), 365, 0.7)
		f.run(flat(4), flat(2), 0.05)
		return f
	}
	says := func(r *Review, what string) {
		t.Helper()
		for _, s := range r.Limited {
			if strings.Contains(strings.ToLower(s), strings.ToLower(what)) {
				return
			}
		}
		t.Errorf("nothing says %q in %q", what, r.Limited)
	}

	f := fresh()
	r := f.make(t, day(2023, time.March, 1), day(2023, time.March, 15), time.Time{}, time.Time{})
	says(r, "holds 14 days. Less than a month")
	for _, x := range r.Trends {
		require.NotEmpty(t, x.Why)
	}
	for _, p := range r.Peaks[0].Peaks {
		if p.Name == "maximum month, calendar" {
			require.True(t, math.IsNaN(p.Flow))
			require.Contains(t, p.Note, "too short")
		}
	}

	f = fresh()
	for k := range 20 {
		at := f.rec.Hours[k*300].Start
		f.rec.Samples = append(f.rec.Samples, Sample{Tag: "LAB-E", At: at, Value: discharge.Value{V: 2, Sign: discharge.Less}})
	}
	r = whole(f)
	says(r, "below detection: only the share")
	says(r, "no limit is stated for")
	says(r, "states no limit of the permit")
	for _, p := range r.Percentiles {
		if p.What == "results" {
			for i, v := range p.Values {
				require.True(t, math.IsNaN(v) || p.Below[i], "less than, never a number")
			}
		}
	}
	for _, x := range r.Potentials {
		require.True(t, x.Fallback)
	}

	// Half a year without the residual.
	f = fresh()
	b := &f.rec.Basins[0]
	for i := 24 * 100; i < 24*282; i++ {
		b.Residual[i], b.CT[i], b.Verdict[i], b.Why[i] = math.NaN(), math.NaN(), contact.NotDetermined, "no residual"
		f.rec.Columns["outlet.chlorine_total"].Values[i] = math.NaN()
	}
	r = whole(f)
	says(r, "has no value for 182 days from 11 April 2023")
	says(r, "50 % of the hours could not be determined")
	require.Equal(t, 183*24, r.Reliability[0].Hours.N)
	for _, x := range r.Instruments {
		if x.Tag == "C" {
			require.Equal(t, 182*24, x.CostHours)
		}
	}

	// The unit, or the span, changes in the middle.
	f = fresh()
	for i := 24 * 181; i < 24*365; i++ {
		f.rec.Columns["basin.flow"].Values[i] *= 694.44
	}
	says(whole(f), "Did its unit or span change")
	f = fresh()
	for i, v := range f.rec.Columns["outfall.chlorine_total"].Values {
		if i < 24*181 {
			f.rec.Columns["outfall.chlorine_total"].Values[i] = math.Min(v, 0.022)
		}
	}
	says(whole(f), "Was the instrument's span changed?")

	// Nothing is asked of the basin.
	f = fresh()
	f.rec.Basins[0].Require.CT = math.NaN()
	for i := range f.rec.Basins[0].Verdict {
		f.rec.Basins[0].Verdict[i] = ""
	}
	r = whole(f)
	says(r, "requires nothing of the contact basin")
	require.Contains(t, r.Summary.Sentences[0], "No hour")
	require.NotEmpty(t, r.Capacity[0].All[0].Why)

	// No basin at all.
	f = fresh()
	f.rec.Basins, f.rec.Plant.Basins = nil, nil
	r = whole(f)
	says(r, "No contact basin is described")
	require.Len(t, r.Summary.Sentences, 5)
	require.Len(t, r.Summary.Worth, 3)
}
