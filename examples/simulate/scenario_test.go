package simulate

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Scoring months: enough of them, all kinds at all severities in each half, a
// quiet week to learn from, no event on top of another, halves apart by seed.
func TestScoreMonths(t *testing.T) {
	all := ScoreMonths()
	require.GreaterOrEqual(t, len(all), 60)
	seen := map[string]bool{}
	singles := map[string]bool{}
	clean := 0
	for _, s := range all {
		require.False(t, seen[s.Name], s.Name)
		seen[s.Name] = true
		require.Equal(t, s.Split == HeldOut, s.Config.Seed%2 == 0)
		start, end, err := s.Config.Clock()
		require.NoError(t, err)
		if s.Class == "clean" {
			clean++
			require.Empty(t, s.Config.Events)
			continue
		}
		require.NotEmpty(t, s.Config.Events, s.Name)
		last := start.Add(7 * 24 * time.Hour)
		for _, e := range s.Config.Events {
			require.False(t, e.Start.Before(last), s.Name)
			last = e.End.Add(24 * time.Hour)
			if s.Class == "single" {
				singles[s.Split+string(e.Severity)+string(e.Kind)] = true
			}
		}
		require.False(t, last.Add(-24*time.Hour).After(end), s.Name)
	}
	require.Len(t, singles, 2*3*len(Kinds()))
	require.GreaterOrEqual(t, clean, 12)
}
