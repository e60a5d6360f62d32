package discharge

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Three hours of 0.5 mg/L on line beside daily grabs of 0.02: the line keeps the
// grabs' figure, and says what the analyser read. A standard of ten minutes on
// another day is not the water.
func TestReadingsBesideSamples(t *testing.T) {
	l := newLab(t, limit("chlorine_total", "maximum daily", "value = 0.10\nsample = \"grab\""))
	for d := 1; d <= 31; d++ {
		l.add("L-TRC", time.Date(2026, time.March, d, 8, 0, 0, 0, time.UTC).Format("2006-01-02 15:04"), "0.02")
	}
	l.signal("TRC", "2026-03-01 00:00", "2026-03-31 23:59", time.Minute, func(x time.Time) float64 {
		switch {
		case x.Day() == 12 && x.Hour() >= 1 && x.Hour() < 4:
			return 0.5
		case x.Day() == 20 && x.Hour() == 9 && x.Minute() < 10:
			return 1.0
		}
		return 0.01
	})
	line := l.month(2026, time.March).Lines[0]
	require.Equal(t, "0.02", line.Report)
	require.Equal(t, Within, line.State)
	require.Equal(t, 3, line.OnLineBeyond)
	require.Len(t, line.Remarks, 1)
	require.Contains(t, line.Remarks[0], "for most of 3 hours, first from 12 March 01:00, up to 0.5 mg/L")
}

// A line that is held against the signal itself has nothing beside it.
func TestNothingBesideASignal(t *testing.T) {
	l := newLab(t, limit("chlorine_total", "maximum daily", "value = 0.10\nsample = \"continuous\""))
	l.signal("TRC", "2026-03-01 00:00", "2026-03-31 23:59", time.Minute, constant(0.5))
	line := l.month(2026, time.March).Lines[0]
	require.Equal(t, Above, line.State)
	require.Zero(t, line.OnLineBeyond)
}
