package analysis

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/series"
)

// TestDaysFromHours: a day added up from its hours is the day taken from the
// readings, gaps and clock changes included.
func TestDaysFromHours(t *testing.T) {
	loc, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	rnd := rand.New(rand.NewPCG(3, 4))
	s := &series.Series{Tag: "X"}
	from := time.Date(2026, 3, 6, 0, 0, 0, 0, loc).UnixMilli()
	to := time.Date(2026, 3, 12, 0, 0, 0, 0, loc).UnixMilli()
	for at := from - 3600_000; at < to+3600_000; at += int64(30_000 + rnd.IntN(400_000)) {
		if rnd.IntN(40) == 0 {
			at += int64(rnd.IntN(4 * 3600_000))
		}
		s.Append(at, 10*rnd.Float64(), 0)
	}
	rule := align.Rule{Reading: series.Continuous, MaxGap: 15 * time.Minute}
	hours, days := align.Hours(from, to, loc), align.Days(from, to, loc)
	h := &hourStats{of: map[string][]align.Stat{}}
	require.Nil(t, h.days("X", hours, days))
	h.keep("X", align.Over(s, rule, hours))
	got, want := h.days("X", hours, days), align.Over(s, rule, days)
	require.Len(t, got, 6)
	for i := range want {
		require.False(t, math.IsNaN(want[i].Mean))
		require.InDelta(t, want[i].Mean, got[i].Mean, 1e-9)
		require.InDelta(t, want[i].Cover, got[i].Cover, 1e-9)
		require.InDelta(t, want[i].Min, got[i].Min, 1e-12)
		require.InDelta(t, want[i].Max, got[i].Max, 1e-12)
		require.Equal(t, want[i].N, got[i].N)
	}
	// A period that begins within a day has days that are not made of its hours.
	require.Nil(t, h.days("X", hours[3:], days))
}
