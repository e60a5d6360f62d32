package discharge

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/plant"
)

// Every word of plant.toml has its definition and its way to be computed here, and
// no other has.
func TestEveryStatisticOnce(t *testing.T) {
	var words []string
	for _, s := range statistics {
		require.NotEmpty(t, s.law, s.word)
		require.NotNil(t, s.run, s.word)
		words = append(words, s.word)
	}
	names := plant.StatisticNames()
	require.Equal(t, names[:len(names)-1], words)
}

// Results on 6, 9, 12, 15 and 30 March of 10, 20, 60, 40 and 1. Worked by hand:
// seven days in a row that end on the 12th to the 15th hold (9, 12), (9, 12), (9,
// 12), (9, 12, 15): 40, 40, 40, 40; on the 16th to 18th (12, 15): 50, the highest.
// Geometric, of 12 and 15: √(60 × 40) = 48.99. Thirty days that begin with the
// exports on the 1st end on the 30th and hold all five: 131 ÷ 5 = 26.2; on the 31st
// the same.
func TestRollingMeans(t *testing.T) {
	l := newLab(t, limit("e_coli", "rolling 7 day average", "value = 45")+limit("e_coli", "rolling 7 day geometric mean", "value = 49\nfigures = 4")+
		limit("e_coli", "rolling 30 day average", "value = 126\nfigures = 3"))
	l.signal("TRC", "2026-03-01 00:00", "2026-04-01 00:00", time.Hour, constant(0.01)) // the exports cover all of March
	for _, x := range []struct{ day, v int }{{6, 10}, {9, 20}, {12, 60}, {15, 40}, {30, 1}} {
		l.add("L-EC", fmt.Sprintf("2026-03-%02d 09:00", x.day), fmt.Sprint(x.v))
	}
	m := l.month(2026, time.March)
	require.InDelta(t, 50, m.Lines[0].Value, 1e-9)
	require.Equal(t, Above, m.Lines[0].State)
	require.Equal(t, "10 to 16 March 2026", m.Lines[0].When)
	require.InDelta(t, math.Sqrt(60*40), m.Lines[1].Value, 1e-9)
	require.Equal(t, Within, m.Lines[1].State, "48.99 is not above 49")
	require.InDelta(t, 26.2, m.Lines[2].Value, 1e-9)
	require.Contains(t, strings.Join(m.Lines[2].Remarks, " "), "begin before the exports")
}

// A quarter's average is due in its last month and rests on all three: by hand (10
// + 20 + 60) ÷ 3 = 30; the year's is not due before December.
func TestQuarterAndYear(t *testing.T) {
	l := newLab(t, limit("e_coli", "average quarterly", "value = 40")+limit("e_coli", "average annual", "value = 40"))
	for _, x := range []struct {
		at string
		v  int
	}{{"2026-01-06", 10}, {"2026-02-09", 20}, {"2026-03-12", 60}} {
		l.add("L-EC", x.at+" 09:00", fmt.Sprint(x.v))
	}
	m := l.month(2026, time.February)
	require.Equal(t, NotDue, m.Lines[0].State)
	require.Contains(t, m.Lines[0].Remarks[0], "Due in March")
	m = l.month(2026, time.March)
	require.InDelta(t, 30, m.Lines[0].Value, 1e-9)
	require.Equal(t, Within, m.Lines[0].State)
	require.Equal(t, NotDue, m.Lines[1].State)
	require.Empty(t, m.Lines[1].Report)
}

// Two results of a day stand for it by their geometric mean, √(10 × 1000) = 100.
func TestGeometricWithinADay(t *testing.T) {
	l := newLab(t, limit("e_coli", "maximum daily", "value = 126"))
	l.add("L-EC", "2026-03-03 08:00", "10")
	l.add("L-EC", "2026-03-03 15:00", "1000")
	require.InDelta(t, 100, l.month(2026, time.March).Lines[0].Value, 1e-9)
}

// A composite stamped at 07:00 on the 1st is mostly water of the day before, and of
// the month before; two limits may count it apart.
func TestCompositeDayPerLimit(t *testing.T) {
	l := newLab(t, limit("tss", "average monthly", "value = 30")+limit("tss", "average monthly", "value = 30\ncomposite_day = \"stamped\"")+
		limit("tss", "average monthly", "value = 30\ncomposite_day = \"begun\""))
	l.add("L-TSS", "2026-03-01 07:00", "10")
	l.add("L-TSS", "2026-03-01 20:00", "20") // 20 of its 24 hours are of the 1st
	l.add("L-TSS", "2026-04-01 07:00", "60")
	m := l.month(2026, time.March)
	require.InDelta(t, (20+60)/2.0, m.Lines[0].Value, 1e-9)
	require.InDelta(t, 15, m.Lines[1].Value, 1e-9, "both of the 1st, one day")
	require.InDelta(t, 60, m.Lines[2].Value, 1e-9)
	// Stamped with a date alone, the day is that of the stamp.
	l = newLab(t, limit("tss", "average monthly", "value = 30"))
	l.add("L-TSS", "2026-03-01 00:00", "10")
	l.add("L-TSS", "2026-03-31 00:00", "20")
	require.InDelta(t, 15, l.month(2026, time.March).Lines[0].Value, 1e-9)
}

// No sample is due on a holiday.
func TestHolidays(t *testing.T) {
	l := newLab(t, limit("e_coli", "instantaneous maximum", "value = 500\nfrequency = \"1/day\"")+limit("e_coli", "geometric mean monthly", "value = 500\nfrequency = \"5/week\"")+
		"[reporting]\nholidays = [\"2026-05-25\"]\n")
	for d := 1; d <= 31; d++ {
		if d != 25 && time.Date(2026, 5, d, 0, 0, 0, 0, time.UTC).Weekday() != time.Saturday && time.Date(2026, 5, d, 0, 0, 0, 0, time.UTC).Weekday() != time.Sunday {
			l.add("L-EC", fmt.Sprintf("2026-05-%02d 09:00", d), "10")
		}
	}
	m := l.month(2026, time.May)
	require.Equal(t, 30, m.Lines[0].Required)
	require.Equal(t, 10, m.Lines[0].Missing, "the ten Saturdays and Sundays")
	require.Zero(t, m.Lines[1].Missing-4, "of the week that ends on 2 May only Friday the 1st is in the exports")
}
