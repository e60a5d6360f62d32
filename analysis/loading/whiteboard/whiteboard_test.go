package whiteboard_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/loading"
	"weirbook/analysis/loading/whiteboard"
	"weirbook/testdata/published"
)

var nan = math.NaN()

func am(t testing.TB, s string) *whiteboard.Amount {
	t.Helper()
	a, err := whiteboard.ParseAmount(s)
	require.NoError(t, err)
	return a
}

// get gives the first result in a unit.
func get(t testing.TB, w *whiteboard.Work, err error, unit string) float64 {
	t.Helper()
	require.NoError(t, err)
	require.NoError(t, w.Check())
	for _, r := range w.Results {
		if r.Unit == unit {
			return r.Value
		}
	}
	t.Fatalf("no result in %s: %+v", unit, w.Results)
	return nan
}

func TestPublishedWhiteboardSums(t *testing.T) {
	sheet := published.NewSheet(t)
	tab := published.Load(t, "worked_examples")
	q := func(r published.Row, key, unit string) *whiteboard.Amount {
		return am(t, fmt.Sprintf("%v %s", r.In(t, key), unit))
	}
	for _, id := range []string{"feed-lbd-1", "feed-lbd-3", "vccs-1"} {
		r := tab.Find(t, id)
		w, err := whiteboard.Pounds(whiteboard.PoundsGiven{Flow: q(r, "flow_mgd", "MGD"), Conc: q(r, "dose_mg_l", "mg/L")})
		sheet.Row(r, "expected", get(t, w, err, "lb/d"))
		w, err = whiteboard.Dose(whiteboard.DoseGiven{Flow: q(r, "flow_mgd", "MGD"), Dose: q(r, "dose_mg_l", "mg/L")})
		sheet.Row(r, "expected", get(t, w, err, "lb/d"))
	}
	r := tab.Find(t, "dose-from-feed-1")
	w, err := whiteboard.Dose(whiteboard.DoseGiven{Feed: q(r, "feed_lb_d", "lb/d"), Flow: q(r, "flow_mgd", "MGD")})
	sheet.Row(r, "expected", get(t, w, err, "mg/L"))
	r = tab.Find(t, "dry-hypo-3")
	w, err = whiteboard.Hypochlorite(whiteboard.HypochloriteGiven{Flow: q(r, "flow_mgd", "MGD"), Dose: q(r, "dose_mg_l", "mg/L"), Dry: 100 * r.In(t, "available_fraction"), AgeDays: nan, HalfLifeDays: nan})
	sheet.Row(r, "expected", get(t, w, err, "lb/d"))
	r = tab.Find(t, "naocl-gpd-formula")
	w, err = whiteboard.Dose(whiteboard.DoseGiven{Flow: q(r, "flow_mgd", "MGD"), Dose: q(r, "dose_mg_l", "mg/L"),
		Solution: whiteboard.Solution{Strength: am(t, "12.5%"), As: loading.WeightChlorine, Gravity: r.In(t, "specific_gravity")}})
	sheet.Row(r, "expected", get(t, w, err, "gal/d"))
	r = tab.Find(t, "contact-15")
	w, err = whiteboard.Detention(nil, q(r, "peak_flow_mgd", "MGD"), q(r, "minutes", "min"))
	sheet.Row(r, "expected", get(t, w, err, "gal"))
	r = tab.Find(t, "t22-1")
	w, err = whiteboard.CT(whiteboard.CTGiven{CT: q(r, "ct_required", "mg-min/L"), Time: q(r, "modal_min", "min"), Factor: nan})
	sheet.Row(r, "expected", get(t, w, err, "mg/L"))
	// The profiling manual's example, step by step: T 30, T10 21, CT 16.8.
	r = tab.Find(t, "epa-ct-1")
	w, err = whiteboard.CT(whiteboard.CTGiven{Residual: q(r, "chlorine_mg_l", "mg/L"), Volume: q(r, "volume_gal", "gal"), Flow: q(r, "peak_flow_gpm", "gpm"), Factor: r.In(t, "baffling")})
	ct := get(t, w, err, "mg·min/L")
	sheet.Check("epa-ct-1 CT", r.Source(), r.Mark(), "16.8", 1e-9, ct)
	sheet.Check("epa-ct-1 T10", r.Source(), r.Mark(), "21", 1e-9, w.Results[1].Value)
	sheet.Check("epa-ct-1 HRT", r.Source(), r.Mark(), "30", 1e-9, w.Results[2].Value)
	// Common practice, no source.
	w, err = whiteboard.Pounds(whiteboard.PoundsGiven{Flow: am(t, "5MGD"), Conc: am(t, "2mg/L")})
	sheet.Check("calc pounds 5 MGD, 2 mg/L", "common practice", "no source", "83.4", 1e-9, get(t, w, err, "lb/d"))
	require.Equal(t, []string{"lb/d = MGD × mg/L × 8.34", "lb/d = 5 × 2 × 8.34", "lb/d = 83.4"}, w.Working)
	w, err = whiteboard.Pounds(whiteboard.PoundsGiven{Load: am(t, "185 lb/d"), Flow: am(t, "10 MGD")})
	sheet.Check("calc pounds 185 lb/d in 10 MGD", "common practice", "no source", "2.2", 0.05, get(t, w, err, "mg/L"))
}

// Whatever is worked out leads back to what it was worked out from, in any unit.
func TestEveryUnknownLeadsBack(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 200 {
		flow := fmt.Sprintf("%.6g %s", 0.1+20*r.Float64(), []string{"MGD", "gpm", "m³/h", "L/s", "cfs", "kgpd"}[r.IntN(6)])
		conc := fmt.Sprintf("%.6g %s", 0.1+20*r.Float64(), []string{"mg/L", "ug/L", "g/L"}[r.IntN(3)])
		f, c := am(t, flow), am(t, conc)
		w, err := whiteboard.Pounds(whiteboard.PoundsGiven{Flow: f, Conc: c})
		require.NoError(t, err)
		load := am(t, fmt.Sprintf("%.17g %s", w.Results[0].Value, w.Results[0].Unit))
		back, err := whiteboard.Pounds(whiteboard.PoundsGiven{Flow: f, Load: load})
		mgl := c.Value * c.Unit.Scale
		require.InEpsilon(t, mgl, get(t, back, err, "mg/L"), 1e-9)
		back, err = whiteboard.Pounds(whiteboard.PoundsGiven{Conc: c, Load: load})
		require.InEpsilon(t, f.Value*f.Unit.Scale, get(t, back, err, "MGD"), 1e-9)

		sol := whiteboard.Solution{Strength: am(t, fmt.Sprintf("%.4g%%", 5+10*r.Float64())), As: loading.TradePercent, Gravity: nan}
		d := am(t, fmt.Sprintf("%.6g mg/L", 0.1+20*r.Float64()))
		w, err = whiteboard.Dose(whiteboard.DoseGiven{Flow: f, Dose: d, Solution: sol})
		feed := am(t, fmt.Sprintf("%.17g gpd", get(t, w, err, "gal/d")))
		w, err = whiteboard.Dose(whiteboard.DoseGiven{Flow: f, Feed: feed, Solution: sol})
		require.InEpsilon(t, d.Value, get(t, w, err, "mg/L"), 1e-9)
		w, err = whiteboard.Dose(whiteboard.DoseGiven{Dose: d, Feed: feed, Solution: sol})
		require.InEpsilon(t, f.Value*f.Unit.Scale, get(t, w, err, "MGD"), 1e-9)

		v, bf := am(t, fmt.Sprintf("%.6g gal", 1000+1e6*r.Float64())), 0.1+0.9*r.Float64()
		w, err = whiteboard.CT(whiteboard.CTGiven{Residual: d, Volume: v, Flow: f, Factor: bf})
		ct := am(t, fmt.Sprintf("%.17g mg-min/L", get(t, w, err, "mg·min/L")))
		for _, g := range []struct {
			g    whiteboard.CTGiven
			unit string
			want float64
		}{
			{whiteboard.CTGiven{CT: ct, Volume: v, Flow: f, Factor: bf}, "mg/L", d.Value},
			{whiteboard.CTGiven{CT: ct, Residual: d, Flow: f, Factor: bf}, "gal", v.Value},
			{whiteboard.CTGiven{CT: ct, Residual: d, Volume: v, Factor: bf}, "MGD", f.Value * f.Unit.Scale},
			{whiteboard.CTGiven{CT: ct, Residual: d, Volume: v, Flow: f, Factor: nan}, "", bf},
		} {
			w, err = whiteboard.CT(g.g)
			require.InEpsilon(t, g.want, get(t, w, err, g.unit), 1e-9)
		}

		dg := whiteboard.DechlorinationGiven{Agent: "bisulfite", Ratio: nan, Residual: d, Flow: f}
		w, err = whiteboard.Dechlorination(dg)
		dg.Feed, dg.Residual = am(t, fmt.Sprintf("%.17g lb/d", get(t, w, err, "lb/d"))), nil
		w, err = whiteboard.Dechlorination(dg)
		require.InEpsilon(t, d.Value, get(t, w, err, "mg/L"), 1e-9)
		dg.Residual, dg.Flow = d, nil
		w, err = whiteboard.Dechlorination(dg)
		require.InEpsilon(t, f.Value*f.Unit.Scale, get(t, w, err, "MGD"), 1e-9)
	}
}

func TestMetricIsExactAndAgrees(t *testing.T) {
	w, err := whiteboard.Pounds(whiteboard.PoundsGiven{Flow: am(t, "1000 m³/d"), Conc: am(t, "2 mg/L")})
	require.InDelta(t, 2.0, get(t, w, err, "kg/d"), 1e-12)
	us, err := whiteboard.Pounds(whiteboard.PoundsGiven{Flow: am(t, fmt.Sprintf("%.17g MGD", 1000/3785.411784)), Conc: am(t, "2 mg/L")})
	require.InDelta(t, 2.0, get(t, us, err, "kg/d"), 1e-12)
	require.InDelta(t, get(t, us, err, "lb/d"), get(t, w, nil, "lb/d"), 1e-12)
}

func TestWhatCannotBeDoneIsSaid(t *testing.T) {
	for want, f := range map[string]func() (*whiteboard.Work, error){
		"give all but one": func() (*whiteboard.Work, error) { return whiteboard.Pounds(whiteboard.PoundsGiven{}) },
		"leave one of": func() (*whiteboard.Work, error) {
			return whiteboard.Detention(am(t, "1gal"), am(t, "1MGD"), am(t, "1min"))
		},
		"cannot be converted":     func() (*whiteboard.Work, error) { return whiteboard.Detention(am(t, "1mg/L"), am(t, "1MGD"), nil) },
		"flow must be above zero": func() (*whiteboard.Work, error) { return whiteboard.Detention(am(t, "1gal"), am(t, "0MGD"), nil) },
		"zero or more":            func() (*whiteboard.Work, error) { return whiteboard.Detention(am(t, "-1gal"), am(t, "1MGD"), nil) },
		"not both": func() (*whiteboard.Work, error) {
			return whiteboard.Pounds(whiteboard.PoundsGiven{Flow: am(t, "1MGD"), Volume: am(t, "1gal")})
		},
		"a weight goes with": func() (*whiteboard.Work, error) {
			return whiteboard.Pounds(whiteboard.PoundsGiven{Flow: am(t, "1MGD"), Load: am(t, "1lb")})
		},
		"say what 12.5 % is": func() (*whiteboard.Work, error) {
			return whiteboard.Dose(whiteboard.DoseGiven{Flow: am(t, "1MGD"), Dose: am(t, "1mg/L"), Solution: whiteboard.Solution{Strength: am(t, "12.5%"), Gravity: nan}})
		},
		"--gravity": func() (*whiteboard.Work, error) {
			return whiteboard.Dechlorination(whiteboard.DechlorinationGiven{Agent: "bisulfite", Ratio: nan, Flow: am(t, "1MGD"), Residual: am(t, "1mg/L"), Solution: whiteboard.Solution{Strength: am(t, "38%"), Gravity: nan}})
		},
		"is a volume": func() (*whiteboard.Work, error) {
			return whiteboard.Dose(whiteboard.DoseGiven{Feed: am(t, "1gal/h"), Flow: am(t, "1MGD")})
		},
		"no dechlorination": func() (*whiteboard.Work, error) {
			return whiteboard.Dechlorination(whiteboard.DechlorinationGiven{Agent: "tea", Ratio: nan})
		},
		"above 0 and up to 1": func() (*whiteboard.Work, error) { return whiteboard.CT(whiteboard.CTGiven{Factor: 1.4}) },
		"--half-life": func() (*whiteboard.Work, error) {
			return whiteboard.Hypochlorite(whiteboard.HypochloriteGiven{Solution: whiteboard.Solution{Strength: am(t, "125g/L"), Gravity: nan}, AgeDays: 3, HalfLifeDays: nan, Dry: nan})
		},
		"up to 100 percent": func() (*whiteboard.Work, error) {
			return whiteboard.Hypochlorite(whiteboard.HypochloriteGiven{Dry: 140, AgeDays: nan, HalfLifeDays: nan})
		},
		"lb/d, kg/d, gal/d": func() (*whiteboard.Work, error) {
			return whiteboard.Dose(whiteboard.DoseGiven{Feed: am(t, "3mg/L"), Flow: am(t, "1MGD")})
		},
	} {
		_, err := f()
		require.ErrorContains(t, err, want)
		require.NotContains(t, err.Error(), "NaN")
	}
}

func TestImpossibleResultsAreRemarkedOn(t *testing.T) {
	w, err := whiteboard.Dose(whiteboard.DoseGiven{Dose: am(t, "1mg/L"), Flow: am(t, "1MGD"), Residual: am(t, "2mg/L")})
	require.NoError(t, err)
	require.Contains(t, strings.Join(w.Notes, " "), "residual above the dose cannot be")
	w, err = whiteboard.CT(whiteboard.CTGiven{CT: am(t, "500mg-min/L"), Residual: am(t, "1mg/L"), Volume: am(t, "1000gal"), Flow: am(t, "1MGD"), Factor: nan})
	require.NoError(t, err)
	require.Contains(t, strings.Join(w.Notes, " "), "cannot be")
	w, err = whiteboard.Pounds(whiteboard.PoundsGiven{Flow: am(t, "1e300MGD"), Conc: am(t, "1e300g/L")})
	require.NoError(t, err)
	require.ErrorContains(t, w.Check(), "no finite number")
}

func TestNum(t *testing.T) {
	for v, want := range map[float64]string{
		83.4: "83.4", 52083.33: "52,083", 999.96: "1,000", 1234567: "1,234,567", 0.012345: "0.01235",
		0: "0", -1234.4: "-1,234", 2.21823: "2.218", 1e-7: "1e-07", 100: "100",
	} {
		require.Equal(t, want, whiteboard.Num(v))
	}
	require.Equal(t, "not determined", whiteboard.Num(nan))
}

// No text that a person can type makes a sum panic or print a non-number.
func FuzzSums(f *testing.F) {
	f.Add("5MGD", "2mg/L", "83.4lb/d")
	f.Add("1e308gpm", "-2g/L", "0lb")
	f.Add("NaN MGD", "12.5%", "")
	f.Fuzz(func(t *testing.T, a, b, c string) {
		parse := func(s string) *whiteboard.Amount { x, _ := whiteboard.ParseAmount(s); return x }
		x, y, z := parse(a), parse(b), parse(c)
		check := func(w *whiteboard.Work, err error) {
			if err != nil || w.Check() != nil {
				return
			}
			require.NotEmpty(t, w.Results)
			require.NotContains(t, strings.Join(w.Working, " "), "NaN")
		}
		check(whiteboard.Pounds(whiteboard.PoundsGiven{Flow: x, Conc: y, Load: z}))
		check(whiteboard.Pounds(whiteboard.PoundsGiven{Volume: x, Conc: y, Load: z}))
		check(whiteboard.Detention(x, y, z))
		sol := whiteboard.Solution{Strength: z, As: loading.TradePercent, Gravity: nan}
		check(whiteboard.Dose(whiteboard.DoseGiven{Feed: x, Flow: y, Solution: sol, Residual: z, Ammonia: y}))
		check(whiteboard.Dose(whiteboard.DoseGiven{Dose: x, Flow: y, Solution: sol}))
		check(whiteboard.CT(whiteboard.CTGiven{Residual: x, Time: y, CT: z, Factor: nan}))
		check(whiteboard.CT(whiteboard.CTGiven{Residual: x, Volume: y, Flow: z, Factor: 0.5}))
		check(whiteboard.Hypochlorite(whiteboard.HypochloriteGiven{Solution: sol, Flow: x, Dose: y, AgeDays: 3, HalfLifeDays: 90, Dry: nan}))
		check(whiteboard.Dechlorination(whiteboard.DechlorinationGiven{Agent: "sulfite", Ratio: nan, Residual: x, Flow: y, Feed: z}))
	})
}
