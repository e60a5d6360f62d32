package reports

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/examples"
	"weirbook/reports/page"
)

// TestHeadlineOfALostSample: the analyser lost its sample, the bisulfite followed
// it, and chlorine went out. CT only reads short; what passed the outfall is real.
func TestHeadlineOfALostSample(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole run; the tests without -short have it")
	}
	in, err := exampleInput(examples.Month("lost-sample"))
	require.NoError(t, err)
	r, err := analysis.Run(context.Background(), in)
	require.NoError(t, err)
	v := Verdict(r)
	require.Contains(t, v[0], "reads short in 12 of the ")
	require.Contains(t, v[0], "do not take that as it stands before a grab settles it")
	require.Contains(t, v[2], "The residual analyser AIT-421 was at fault")
	require.Contains(t, v[3], "above the limit of 0.10 mg/L (maximum daily); in 11 hours most readings were above it")
	stand, word := standing(r)
	require.Equal(t, page.Bad, stand)
	require.Equal(t, "Final residual above its limit for 11 hours", word)
}

// TestVerdictHoldsThePermit: the demo's upset let a grab of 1,112 per 100 mL out
// against 410, which the laboratory's sheet shows; rounded to the three figures of
// such a result it is 1,110.
func TestVerdictHoldsThePermit(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole run; the tests without -short have it")
	}
	r, err := demoRun(false)
	require.NoError(t, err)
	v := Verdict(r)
	require.Contains(t, v[1], "1 lies beyond: E. coli at the outfall, instantaneous maximum, 1,110 per 100 mL against 410 (17 March 2026")
	stand, word := standing(r)
	require.Equal(t, page.Bad, stand)
	require.Contains(t, word, "1 result beyond a permit limit")
	first := gathered(r)[0]
	require.GreaterOrEqual(t, first.Upset, 0, "what broke a limit stands before an instrument")
	require.NotEmpty(t, first.Parts, "and the ammonia that brought it about is a part of it")
}
