package discharge

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A meter that ends at 2 MGD and stands there for 12 hours of 3 March: the month's
// mean is (30 × 1 + 1.5) ÷ 31 MGD at least, and so is the day, its mass and the
// month's. By hand.
func TestOffScaleIsAtLeast(t *testing.T) {
	l := newLab(t, limit("flow", "average monthly", "value = 4")+limit("tss", "mass maximum daily", "value = 900")+limit("flow", "maximum daily", "value = 1.2"))
	for i := range l.p.Tags {
		if l.p.Tags[i].Name == "Q" {
			l.p.Tags[i].Low, l.p.Tags[i].High = 0, 2
		}
	}
	l.signal("Q", "2026-03-01 00:00", "2026-04-01 00:00", time.Minute, func(at time.Time) float64 {
		if at.Day() == 3 && at.Hour() >= 6 && at.Hour() < 18 {
			return 2
		}
		return 1
	})
	l.add("L-TSS", "2026-03-04 07:00", "10") // water of the 3rd, most of it
	m := l.month(2026, time.March)
	flow, mass, day := m.Lines[0], m.Lines[1], m.Lines[2]
	require.InDelta(t, (30+1.5)/31, flow.Value, 0.001)
	require.Equal(t, Greater, flow.Sign)
	require.Equal(t, CannotTell, flow.State, "at least 1.02 MGD does not tell on which side of 4 it lies")
	require.InDelta(t, 10*1.5*8.34, mass.Value, 0.1)
	require.Equal(t, Greater, mass.Sign)
	require.Equal(t, Above, day.State, "at least 1.5 MGD is above 1.2")
	require.Contains(t, strings.Join(flow.Remarks, " "), "Q stood at the end of its scale (2 MGD) for 720 minutes: 3 March 2026.")
}
