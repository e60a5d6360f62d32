package upset_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/finding"
	"weirbook/analysis/quantity"
	"weirbook/analysis/upset"
)

// against is a finding that holds the residual analyser off by so many per cent.
// Its sentence names no direction.
func against(at int64, hours, size float64) upset.Found {
	f := found(at, hours, "residual-sample-lost", "AIT-1 has lost its sample.", 0.7)
	f.Party, f.Subject, f.Size = finding.ResidualAnalyser, "AIT-1", finding.Size{Value: size, Unit: "%"}
	return f
}

// A shortfall that an analyser reading low would make by itself may be that
// analyser's, and nothing is reckoned that somebody might feed by. One that reads
// high makes none: it hides them.
func TestAnAnalyserThatReadsLowMakesAShortfall(t *testing.T) {
	in, at := risen(t)
	in.Found = []upset.Found{against(at, 3, -60)}
	x := explain(t, in)
	require.Equal(t, upset.InstrumentOnly, x.Cause.Kind)
	require.Empty(t, x.Held)
	require.Empty(t, x.Split.Parts)
	require.Equal(t, []string{"AIT-1"}, x.NotReckoned)
	require.Contains(t, x.Episode.Main().Trust.Says, "may not be the water's")

	in.Found = []upset.Found{against(at, 3, 60)}
	x = explain(t, in)
	require.NotEqual(t, upset.InstrumentOnly, x.Cause.Kind)
	require.NotEmpty(t, x.Held)

	// A laboratory result that is above its limit says that the water was short.
	in.Found = []upset.Found{against(at, 3, -60)}
	in.Samples = []upset.Sample{{At: at + 2*3600_000, Value: 900, Limit: 410, Unit: "MPN/100 mL", Tag: "LAB"}}
	x = explain(t, in)
	require.NotEqual(t, upset.InstrumentOnly, x.Cause.Kind)
	require.NotEmpty(t, x.Held)
}

// What moved many times longer ago than the water takes did not begin it.
func TestAFirstMoverIsNotHoursOld(t *testing.T) {
	in := small(t, "UTC", func(g align.Grid, _, feed, demand []float64) {
		lo := 8*1440 + 600
		for i := lo; i < lo+180; i++ {
			demand[i] += 2.5
		}
		for i := lo - 360; i < lo+180; i++ {
			feed[i] *= 0.85 // borne for six hours
		}
	})
	x := explain(t, in)
	first, ok := x.First()
	require.True(t, ok)
	require.GreaterOrEqual(t, first.AtOutlet, x.Episode.Start-3*60*minute)
	require.NotEqual(t, upset.FeedFell, x.Cause.Kind)
}

// outfallHigh is the small plant with bisulfite and a limit at its outfall, where
// for an hour chlorine came through while the bisulfite stood at a share of normal.
func outfallHigh(t *testing.T, shown, bisulfite float64) (upset.Input, int64) {
	in := small(t, "UTC", nil)
	lo := 8*1440 + 600
	salt, final := make([]float64, in.Grid.N), constant(in.Grid.N, 0.01)
	for i := range salt {
		salt[i] = 2 * in.Basin.Residual[i]
		if i >= lo && i < lo+60 {
			in.Basin.Residual[i] *= shown
			salt[i] *= bisulfite
			final[i] = 0.5
		}
	}
	in.Judged = []upset.Judged{{What: upset.FinalHigh, Title: "residual at the outfall", Unit: "mg/L", V: final, Limit: []float64{0.1}, RestsOn: []string{"AIT-9"}}}
	in.Columns = append(in.Columns, upset.Column{Tag: "FIC-8", Kind: quantity.BisulfiteFeed, Title: "bisulfite feed", Unit: "gal/h", V: salt, Place: upset.AtOutfall, Steers: true})
	return in, in.Grid.Milli(lo)
}

// A dechlorination feed that fell by itself is a cause; one that fell with the
// residual that it is paced by is not.
func TestAPacedFeedIsNoCause(t *testing.T) {
	in, _ := outfallHigh(t, 1, 0.3)
	require.Equal(t, upset.BisulfiteFell, explain(t, in).Cause.Kind)

	in, at := outfallHigh(t, 0.3, 0.3)
	x := explain(t, in)
	require.Equal(t, upset.CauseUnknown, x.Cause.Kind)
	require.Contains(t, x.Cause.Says, "AIT-1")

	// With the analyser found low, the feed followed a wrong reading.
	in.Found = []upset.Found{against(at, 1, -70)}
	require.Equal(t, upset.MisledFeed, explain(t, in).Cause.Kind)
}

// More chlorine taken up leaves no more of it at the outfall while it goes on; once
// it is over, the control may swing past.
func TestACauseCanBringItsBreachAbout(t *testing.T) {
	in, at := outfallHigh(t, 1, 1)
	in.Found = []upset.Found{found(at-3600_000, 4, "demand-rise", "The water took up 2.0 mg/L more chlorine than normal.", 0.95)}
	require.Nil(t, explain(t, in).Cause.Found)

	in.Found = []upset.Found{found(at-3*3600_000, 3, "demand-rise", "The water took up 2.0 mg/L more chlorine than normal.", 0.95)}
	x := explain(t, in)
	require.NotNil(t, x.Cause.Found)
	require.Contains(t, x.Cause.Says, "swung back")
}
