package export

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// twoSystems gives a flow and the feed that follows it, of two files, from 2026-03-02
// on, six days before New York's clock goes to summer time (2026-03-08 07:00 UTC). The
// feed's times are moved as told.
func twoSystems(t *testing.T, moved func(time.Time) time.Duration) *Result {
	ny, err := time.LoadLocation("America/New_York")
	require.NoError(t, err)
	start := time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC).UnixMilli()
	a, b := pair(0, 0.01)
	for i := range a.T {
		a.T[i] += start
	}
	feed := &series.Series{}
	for i := range b.T {
		at := b.T[i] + start
		at += moved(time.UnixMilli(at)).Milliseconds()
		if n := feed.Len(); n == 0 || at > feed.T[n-1] {
			feed.Append(at, b.V[i], 0)
		}
	}
	return &Result{
		Series: map[string]*series.Series{"FLOW": a, "FEED": feed},
		Ledger: []ledger.LedgerRow{{File: "flow.csv", Tag: "FLOW"}, {File: "feed.csv", Tag: "FEED"}},
		clocks: map[string]*time.Location{"feed.csv": ny, "flow.csv": ny},
	}
}

func TestClockLeftOnWinterTime(t *testing.T) {
	kinds := map[string]quantity.Kind{"FLOW": quantity.Flow, "FEED": quantity.HypochloriteFeed}
	ask := func(moved func(time.Time) time.Duration) []string {
		return ClockQuestions(twoSystems(t, moved), kinds, DefaultLagSettings())
	}
	change := time.Date(2026, 3, 8, 7, 0, 0, 0, time.UTC)
	require.Empty(t, ask(func(time.Time) time.Duration { return 0 }))

	q := ask(func(at time.Time) time.Duration {
		if at.Before(change) {
			return 0
		}
		return -time.Hour
	})
	require.Len(t, q, 1)
	require.Contains(t, q[0], "FEED (feed.csv) lines up with FLOW (flow.csv) in winter and stands 60 min behind it in summer, from 2026-03-08 on")
	require.Contains(t, q[0], `time_zone = "Etc/GMT+5"`)

	// The other way round, the flow's system is the one left behind.
	q = ask(func(at time.Time) time.Duration {
		if at.Before(change) {
			return 0
		}
		return time.Hour
	})
	require.Len(t, q, 1)
	require.Contains(t, q[0], "Was the clock of flow.csv left on winter time?")

	// A clock that is off in winter as well was not left on winter time.
	q = ask(func(time.Time) time.Duration { return -time.Hour })
	require.Len(t, q, 1)
	require.Contains(t, q[0], "clock_offset")
	// Nor is one that is off by another time.
	q = ask(func(at time.Time) time.Duration {
		if at.Before(change) {
			return 0
		}
		return -35 * time.Minute
	})
	for _, x := range q {
		require.NotContains(t, x, "winter")
	}
}
