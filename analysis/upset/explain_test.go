package upset_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
	"weirbook/analysis/upset"
)

// small is an invented plant in steady operation with a daily pattern: 10 days,
// flow 4 MGD ± 1, feed that follows it, contact time 20 min at 4 MGD, demand 3
// mg/L, dose 6 mg/L, hypochlorite of 1.0432 lb/gal. cut changes columns before
// what follows from them is worked out.
func small(t *testing.T, zone string, cut func(g align.Grid, flow, feed, demand []float64)) upset.Input {
	t.Helper()
	loc, err := time.LoadLocation(zone)
	require.NoError(t, err)
	return build(loc, 10, cut)
}

func build(loc *time.Location, days int, cut func(g align.Grid, flow, feed, demand []float64)) upset.Input {
	start := time.Date(2026, 3, 2, 0, 0, 0, 0, loc)
	g := align.Grid{Start: start.Unix(), N: days * 1440}
	n := g.N
	const strength = 1.0432
	flow, feed, demand := make([]float64, n), make([]float64, n), constant(n, 3)
	r := rand.New(rand.NewPCG(3, 3))
	wander := 0.0
	for i := range flow {
		h := g.Time(i).In(loc)
		flow[i] = 4 + math.Sin(2*math.Pi*(float64(h.Hour())+float64(h.Minute())/60)/24)
		wander += -wander/60 + 0.01*r.NormFloat64()
		demand[i] += wander + 0.02*r.NormFloat64()
		feed[i] = 6 * 8.34 * flow[i] / 24 / strength
	}
	if cut != nil {
		cut(g, flow, feed, demand)
	}
	contact, residual, ct, delay := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range flow {
		contact[i] = 80 / flow[i]
		delay[i] = 20
		j := max(i-20, 0)
		residual[i] = math.Max(0, 24*feed[j]*strength/(8.34*flow[j])-demand[j])
		ct[i] = contact[i] * residual[i]
	}
	in := upset.Input{Grid: g, Loc: loc, Plant: "Reed Hollow", Outfall: upset.Outfall{DetectMgL: nan},
		Basin: upset.Basin{Title: "contact basin", CT: ct, Required: []float64{30}, Residual: residual, Contact: contact, Delay: delay, Flow: flow,
			Feed: feed, Strength: constant(n, strength), ResidualMin: nan},
		Chlorine:       upset.Supply{Title: "hypochlorite", FullStroke: 40, Capacity: 30, LbPerGal: strength, Ratio: nan},
		Dechlorination: upset.Supply{Title: "bisulfite", FullStroke: nan, Capacity: 20, LbPerGal: 4, Ratio: 1.61},
		Judged: []upset.Judged{{What: upset.CTShort, Title: "CT in the contact basin", Unit: "mg·min/L", V: ct, Limit: []float64{30}, Flow: flow,
			RestsOn: []string{"AIT-1", "FIT-1"}}},
	}
	in.Columns = []upset.Column{
		{Tag: "FIT-1", Kind: quantity.Flow, Title: "flow through the basin", Unit: "MGD", V: flow},
		{Tag: "FIC-1", Kind: quantity.HypochloriteFeed, Title: "hypochlorite feed", Unit: "gal/h", V: feed, Place: upset.AtFeed, Lead: 1, Steers: true},
		{Tag: "dose less residual", Kind: upset.Demand, Title: "chlorine demand", Unit: "mg/L", V: upset.DemandOf(in), Place: upset.AtFeed},
		{Tag: "AIT-1", Kind: quantity.ChlorineTotal, Title: "residual at the outlet", Unit: "mg/L", V: residual, Place: upset.AtOutlet},
		{Tag: "AIT-2", Kind: quantity.PH, Title: "pH", V: constant(n, 7.1), Place: upset.AtOutlet},
		{Tag: "AIT-3", Kind: quantity.AmmoniaN, Title: "ammonia after secondary", Unit: "mg/L", V: constant(n, nan), Lead: 1},
	}
	return in
}

func explain(t *testing.T, in upset.Input) upset.Explanation {
	t.Helper()
	es := find(t, in)
	require.Len(t, es, 1)
	x, err := upset.Explain(in, es[0], es, upset.DefaultSettings())
	require.NoError(t, err)
	return x
}

func TestAFeedLossIsExplained(t *testing.T) {
	var lost int64
	in := small(t, "America/Denver", func(g align.Grid, flow, feed, demand []float64) {
		lost = time.Date(2026, 3, 11, 10, 0, 0, 0, mustZone("America/Denver")).UnixMilli()
		set(feed, g.Index(lost), g.Index(lost)+120, 0)
	})
	x := explain(t, in)
	first, ok := x.First()
	require.True(t, ok)
	require.Equal(t, "FIC-1", first.Tag)
	require.InDelta(t, lost, first.At, float64(5*minute))
	require.InDelta(t, lost+20*minute, first.AtOutlet, float64(5*minute))
	require.Equal(t, upset.FeedFell, x.Cause.Kind)
	require.Equal(t, upset.Moderate, x.Cause.Level)
	require.Equal(t, []string{"1 of the signals checked could not be ruled out"}, x.Cause.Against)

	// All that was lost is the feed's, and it adds up.
	var sum float64
	for _, p := range x.Split.Parts {
		sum += p.CT
		if p.Cause == upset.ByFeed {
			is(t, x.Split.CT-x.Split.NormalCT, p.CT, 0.05*x.Split.NormalCT)
		}
	}
	is(t, x.Split.CT-x.Split.NormalCT, sum, 1e-9)
	require.True(t, x.Split.StrengthStated)

	// What would have held it: demand as normal, since none could show.
	h := x.Held[0]
	require.True(t, h.Assumed)
	is(t, 3, h.Demand, 0.2)
	is(t, 30/h.Contact, h.NeedResidual, 0.02)
	is(t, h.NeedResidual+h.Demand, h.NeedDose, 1e-9)
	is(t, h.NeedDose*h.Flow*8.34, h.NeedLbD, 1e-9)
	is(t, h.NeedLbD/24/1.0432, h.NeedFeed, 1e-6)
	is(t, 100*h.NeedFeed/40, h.NeedSetting, 1e-9)
	require.Equal(t, upset.Yes, h.Within)
	is(t, h.NeedResidual*1.61, h.Dechlor/(8.34*meanOf(in.Basin.Flow, in.Grid, h.Window)), 1e-9)
	require.Equal(t, h.Start-20*minute, h.FeedFrom)

	// Ruled out, and not.
	said := map[string]upset.Checked{}
	for _, c := range x.Ruled {
		said[c.Tag] = c
	}
	require.True(t, said["FIT-1"].Ruled)
	require.True(t, said["AIT-2"].Ruled)
	require.False(t, said["AIT-3"].Ruled)
	require.Equal(t, "no readings in this time", said["AIT-3"].Why)

	text := upset.Narrative(in, x)
	for _, want := range []string{"CT in the contact basin was below the required 30 mg·min/L", "hypochlorite feed fell from", "First mover", "ruled out",
		"How sure: likely", "MG of water left in that state", "[What people did", "Ammonia after secondary: no readings"} {
		require.Contains(t, text, want)
	}
	for _, never := range []string{"NaN", "Inf", "compliant", "safe to"} {
		require.NotContains(t, text, never)
	}
}

func meanOf(v []float64, g align.Grid, w align.Window) float64 {
	return align.Fold(v, g, []align.Window{w})[0].Mean
}

func mustZone(name string) *time.Location {
	loc, err := time.LoadLocation(name)
	if err != nil {
		panic(err)
	}
	return loc
}

// The flow doubles and the feed follows: the time lost is the flow's, half the CT.
func TestAStormIsExplained(t *testing.T) {
	in := small(t, "America/Denver", func(g align.Grid, flow, feed, demand []float64) {
		at := g.Index(time.Date(2026, 3, 11, 9, 0, 0, 0, mustZone("America/Denver")).UnixMilli())
		for i := at; i < at+300; i++ {
			flow[i] *= 2.4
			feed[i] *= 2.4
		}
	})
	x := explain(t, in)
	first, ok := x.First()
	require.True(t, ok)
	require.Equal(t, "FIT-1", first.Tag)
	require.Equal(t, upset.FlowRose, x.Cause.Kind)
	for _, p := range x.Split.Parts {
		if p.Cause == upset.ByTime {
			is(t, -math.Log(2.4), p.Log, 0.01)
		}
	}
	// The feed rose with the flow: told as working against it, never as the cause.
	for _, m := range x.Moves {
		if m.Tag == "FIC-1" {
			require.True(t, m.Answers)
		}
	}
}

// Metric plants read metric sentences with the same content.
func TestMetricWords(t *testing.T) {
	in := small(t, "Europe/Berlin", func(g align.Grid, flow, feed, demand []float64) { set(demand, 9*1440+600, 9*1440+900, 5.5) })
	in.Metric, in.Factor = true, 8.345404
	x := explain(t, in)
	require.Equal(t, upset.DemandRose, x.Cause.Kind)
	text := strings.Join(append(upset.HeldLines(&in, &x), upset.Headline(&in, &x)...), " ")
	require.Contains(t, text, "kg/d")
	require.Contains(t, text, "L/h")
	require.Contains(t, text, "m³ of water left")
	require.NotContains(t, text, "gal")
	require.NotContains(t, text, "lb")
}

// The same clock hours are taken across a change of the clock: the pattern of
// the day follows the clock, so nothing but the demand may seem to move.
func TestNormalFollowsTheClock(t *testing.T) {
	// 8 March 2026 is the 23-hour day in Denver; the upset lies on the 9th.
	in := small(t, "America/Denver", func(g align.Grid, flow, feed, demand []float64) {
		at := g.Index(time.Date(2026, 3, 9, 8, 0, 0, 0, mustZone("America/Denver")).UnixMilli())
		set(demand, at, at+240, 5.5)
	})
	x := explain(t, in)
	require.Equal(t, "weekdays", x.Normal.Like)
	require.Equal(t, []string{"2026-03-02", "2026-03-03", "2026-03-04", "2026-03-05", "2026-03-06"}, x.Normal.Days)
	for _, c := range x.Ruled {
		if c.Tag == "FIT-1" {
			require.True(t, c.Ruled)
			require.Less(t, math.Abs(c.Extreme), 0.1)
		}
	}
	first, ok := x.First()
	require.True(t, ok)
	require.Equal(t, "dose less residual", first.Tag)
}

// Same input, same words, and the order of doubts and samples does not matter.
func TestSameInputSameWords(t *testing.T) {
	in := small(t, "America/Denver", func(g align.Grid, flow, feed, demand []float64) { set(feed, 9*1440+600, 9*1440+700, 0) })
	in.Doubts = []upset.Doubt{
		{Stretch: series.Stretch{Start: in.Grid.Milli(9*1440 + 500), End: in.Grid.Milli(9*1440 + 650)}, Tag: "AIT-1", Party: "residual-analyser", Kind: "a", Confidence: 0.7},
		{Stretch: series.Stretch{Start: in.Grid.Milli(9*1440 + 500), End: in.Grid.Milli(9*1440 + 620)}, Tag: "FIT-1", Party: "flow-meter", Kind: "b", Confidence: 0.7}}
	a := upset.Narrative(in, explain(t, in))
	require.Equal(t, a, upset.Narrative(in, explain(t, in)))
}

// Readings that are missing when a signal moves leave its beginning open.
func TestAGapLeavesTheBeginningOpen(t *testing.T) {
	var at int
	in := small(t, "America/Denver", func(g align.Grid, flow, feed, demand []float64) {
		at = g.Index(time.Date(2026, 3, 11, 10, 0, 0, 0, mustZone("America/Denver")).UnixMilli())
		set(feed, at, at+180, 0)
	})
	shown := append([]float64(nil), in.Columns[1].V...)
	set(shown, at-40, at+20, nan)
	in.Columns[1].V = shown
	x := explain(t, in)
	first, ok := x.First()
	require.True(t, ok)
	require.Equal(t, "FIC-1", first.Tag)
	require.InDelta(t, in.Grid.Milli(at-40), first.Since, float64(5*minute))
	require.InDelta(t, in.Grid.Milli(at+20), first.At, float64(5*minute))
	require.Contains(t, x.Cause.Says, "some time between 09:20 and 10:20, when readings were missing")
}
