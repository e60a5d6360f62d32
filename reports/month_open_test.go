package reports

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
)

// The charts that stand open are of what lies beyond a limit, then of what lies nearest
// to one; what only has to be reported is not among them.
func TestChartsThatStandOpen(t *testing.T) {
	line := func(column int, state discharge.State, margin float64) discharge.Line {
		return discharge.Line{Column: column, ForPlant: true, Report: "1", State: state, MarginPct: margin}
	}
	reported := line(4, discharge.Within, 0)
	reported.Limit = plant.Limit{ReportOnly: true}
	m := &discharge.Month{Lines: []discharge.Line{line(0, discharge.Within, 60), line(1, discharge.Within, 5), line(2, discharge.Above, -80), line(0, discharge.Within, 40), line(3, discharge.Within, 20), reported}}
	require.Equal(t, map[int]bool{2: true}, nearestLimits(m, 1))
	require.Equal(t, map[int]bool{2: true, 1: true, 3: true}, nearestLimits(m, 3))
	require.Equal(t, map[int]bool{2: true, 1: true, 3: true, 0: true}, nearestLimits(m, 9))
}

// A chart says how its figures lie to their limits, and nothing where that is open.
func TestWhatAMonthsChartSays(t *testing.T) {
	says := func(ls ...discharge.Line) string {
		m := &discharge.Month{}
		for _, l := range ls {
			l.ForPlant = true
			m.Lines = append(m.Lines, l)
		}
		return monthMessage(m, 0)
	}
	within := discharge.Line{Statistic: "average monthly", Report: "20", LimitText: "30", LimitValue: 30, State: discharge.Within}
	beyond := discharge.Line{Statistic: "maximum daily", Report: "1250", LimitText: "410", LimitValue: 410, State: discharge.Above}
	open := discharge.Line{Statistic: "maximum daily", Report: "<5", LimitText: "4", LimitValue: 4, State: discharge.NotDetermined}
	none := discharge.Line{Statistic: "maximum daily", Report: "5", LimitValue: math.NaN(), State: discharge.Within}
	require.Equal(t, ": within its limit", says(within))
	require.Equal(t, ": within its limits", says(within, within))
	require.Equal(t, ": maximum daily 1,250 beyond 410", says(within, beyond))
	require.Empty(t, says(within, open))
	require.Empty(t, says(none))
}
