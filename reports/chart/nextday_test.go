package chart

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The day after 5 September 2026 in Santiago begins at 01:00: its 00:00 does not exist,
// and a walk from day to day must not stand still there.
func TestNextDayOverASkippedMidnight(t *testing.T) {
	loc, err := time.LoadLocation("America/Santiago")
	require.NoError(t, err)
	day := time.Date(2026, 9, 5, 0, 0, 0, 0, loc)
	for _, want := range []time.Time{time.Date(2026, 9, 6, 4, 0, 0, 0, time.UTC), time.Date(2026, 9, 7, 3, 0, 0, 0, time.UTC)} {
		day = nextDay(day, 1)
		require.Equal(t, want, day.UTC())
	}
}
