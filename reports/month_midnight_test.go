package reports

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
)

// Chile's clocks went from 24:00 of 5 September 2026 to 01:00 of the 6th, which is 04:00
// UTC: that day has no midnight of its own, and begins at the change. (IANA time zone
// database.)
func TestDayThatBeginsAtAClockChange(t *testing.T) {
	zone, err := time.LoadLocation("America/Santiago")
	require.NoError(t, err)
	m := &discharge.Month{Year: 2026, Month: time.September, Process: []discharge.Process{{Key: "outlet.flow", Unit: "MGD"}}}
	for d := 5; d <= 7; d++ {
		day := time.Date(2026, time.September, d, 0, 0, 0, 0, time.UTC)
		m.Days = append(m.Days, discharge.CalendarDay{Date: day, Hours: 24})
		m.Process[0].Days = append(m.Process[0].Days, discharge.Day{Date: day, Min: math.NaN(), Max: math.NaN(), Value: discharge.Value{V: 2}})
	}
	csv, err := monthDailyCSV(m, zone, plant.US)
	require.NoError(t, err)
	require.Contains(t, string(csv), "2026-09-05T00:00:00-04:00,2026-09-05T04:00:00Z")
	require.Contains(t, string(csv), "2026-09-06T01:00:00-03:00,2026-09-06T04:00:00Z")
	require.Contains(t, string(csv), "2026-09-07T00:00:00-03:00,2026-09-07T03:00:00Z")
}
