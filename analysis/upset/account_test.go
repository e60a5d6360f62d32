package upset_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/finding"
	"weirbook/analysis/series"
	"weirbook/analysis/upset"
)

// risen is the small plant whose demand rises by 2.5 mg/L for three hours of the
// eighth day.
func risen(t *testing.T) (upset.Input, int64) {
	var at int64
	in := small(t, "UTC", func(g align.Grid, _, _, demand []float64) {
		lo := 8*1440 + 600
		at = g.Milli(lo)
		for i := lo; i < lo+180; i++ {
			demand[i] += 2.5
		}
	})
	return in, at
}

func found(at int64, hours float64, kind, says string, confidence float64) upset.Found {
	return upset.Found{Stretch: series.Stretch{Start: at, End: at + int64(hours*3600_000)}, Kind: kind, Party: finding.Process,
		Subject: "chlorine chemistry", Confidence: confidence, Says: says, Evidence: []string{"free chlorine went, and total stayed."}}
}

// What the judging holds and what moved first tell one story: one sentence, that
// of the judging, and both stand in what speaks for it.
func TestOneAccount(t *testing.T) {
	in, at := risen(t)
	in.Found = []upset.Found{found(at, 3, "ammonia-breakthrough", "Ammonia binds the chlorine from 10:00 to 13:00.", 0.9)}
	x := explain(t, in)
	require.Equal(t, upset.AmmoniaMoved, x.Cause.Kind)
	require.Equal(t, upset.High, x.Cause.Level)
	require.False(t, x.Cause.Disputed)
	require.Contains(t, x.Cause.Says, "Ammonia binds the chlorine")
	text := upset.Narrative(in, x)
	require.Contains(t, text, "Ammonia binds the chlorine")
	require.Contains(t, text, "judging the instruments holds, 90 % sure")
	require.Contains(t, strings.Join(x.Cause.For, "\n"), "it moved first")
}

// Where they disagree both sides stand there, with their evidence.
func TestDisagreement(t *testing.T) {
	in, at := risen(t)
	in.Found = []upset.Found{found(at, 3, "storm", "A storm doubled the flow.", 0.7)}
	x := explain(t, in)
	require.True(t, x.Cause.Disputed)
	require.NotEqual(t, upset.High, x.Cause.Level)
	require.Contains(t, x.Cause.Says, "disagree")
	require.Contains(t, x.Cause.Says, "storm doubled the flow")
	require.Contains(t, x.Cause.Says, "more chlorine was lost")
	require.Contains(t, strings.Join(x.Cause.Against, "\n"), "free chlorine went")
}

// A finding that begins long after the breach is no part of its account.
func TestLaterFindingIsNoCause(t *testing.T) {
	in, at := risen(t)
	in.Found = []upset.Found{found(at+2*3600_000, 5, "feed-lost", "The feed stopped.", 0.97)}
	x := explain(t, in)
	require.Nil(t, x.Cause.Found)
	require.NotContains(t, x.Cause.Says, "stopped")
}

// What moved only after the breach began did not bring it about, however far it
// moved: then the first mover is not known.
func TestFirstMoverPrecedes(t *testing.T) {
	in, at := risen(t)
	for k := range in.Columns {
		c := &in.Columns[k]
		if c.Kind == upset.Demand {
			c.V = constant(len(c.V), 3) // not reckoned
		}
		if c.Tag == "FIC-1" {
			lo := in.Grid.Index(at) + 110
			for i := lo; i < lo+60; i++ {
				c.V[i] *= 0.3
			}
		}
	}
	x := explain(t, in)
	first, ok := x.First()
	if ok {
		require.LessOrEqual(t, first.AtOutlet, x.Episode.Start+(15*time.Minute).Milliseconds())
		require.True(t, first.Effect, "only what shows the breach moved before it: %s", first.Title)
	}
	require.Equal(t, upset.CauseUnknown, x.Cause.Kind)
}

// A shortfall by an analyser that shows less chlorine than the outfall holds is
// that analyser's; a weak finding against it alone lowers how sure the cause is.
func TestChlorineAtTheOutfallContradicts(t *testing.T) {
	in, at := risen(t)
	for k := range in.Columns {
		if in.Columns[k].Kind == upset.Demand {
			in.Columns[k].RestsOn = []string{"AIT-1"}
		}
	}
	f := found(at, 3, "residual-sample-lost", "AIT-1 reads 77 % low.", 0.38)
	f.Party, f.Subject = finding.ResidualAnalyser, "AIT-1"
	in.Found = []upset.Found{f}
	x := explain(t, in)
	require.Equal(t, upset.DemandRose, x.Cause.Kind)
	require.Equal(t, upset.Moderate, x.Cause.Level)
	require.Contains(t, strings.Join(x.Cause.Against, "\n"), "38 % sure")

	in.Outfall.Final = constant(in.Grid.N, 2.4)
	x = explain(t, in)
	require.Equal(t, upset.InstrumentOnly, x.Cause.Kind)
	require.Contains(t, x.Cause.Says, "AIT-1")
	require.Contains(t, strings.Join(x.Cause.Against, "\n"), "more chlorine was lost")
}
