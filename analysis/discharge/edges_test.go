package discharge

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A result that equals its limit is within it, above and below.
func TestEqualToTheLimit(t *testing.T) {
	l := newLab(t, limit("chlorine_total", "range", "low = 0.2\nhigh = 1.5\nsample = \"grab\""))
	l.add("L-TRC", "2026-03-02 08:00", "0.2")
	l.add("L-TRC", "2026-03-03 08:00", "1.5")
	m := l.month(2026, time.March)
	require.Equal(t, []State{Within, Within}, []State{m.Lines[0].State, m.Lines[1].State})
	require.Zero(t, m.Lines[0].Margin)
	require.Zero(t, m.Lines[1].Margin)
}

// A count below the limit counts as 1 where the rule is zero (Colorado general
// permit rationale, verified: 1 when below 2.2): (1 · 100)^(1/2) = 10.
func TestZeroCountsAsOneInAGeometricMean(t *testing.T) {
	l := newLab(t, limit("e_coli", "geometric mean monthly", "value = 126")+"[reporting]\nnon_detect = \"zero\"\n")
	l.add("L-EC", "2026-03-02 08:00", "<2")
	l.add("L-EC", "2026-03-03 08:00", "100")
	e := l.month(2026, time.March).Lines[0]
	require.InDelta(t, 10, e.Value, 1e-12)
	require.Contains(t, e.How, "a zero counts as 1")
	c := rule(Zero)
	c.Counts = true
	require.Equal(t, 1.0, c.Used(Value{2, Less}))
}

// One sample above in 30 days is allowed and said, and is no excursion.
func TestOneSampleAboveIsAllowed(t *testing.T) {
	l := newLab(t, limit("total_coliform", "not more than one in 30 days", "value = 23"))
	l.add("L-TC", "2026-02-10 08:00", "50") // more than 30 days before the next
	l.add("L-TC", "2026-03-15 08:00", "30")
	l.add("L-TC", "2026-03-16 08:00", "23")
	e := l.month(2026, time.March).Lines[0]
	require.Equal(t, "1", e.Report)
	require.Equal(t, Within, e.State)
	require.Empty(t, e.Excursions)
	l.add("L-TC", "2026-03-29 08:00", "24")
	e = l.month(2026, time.March).Lines[0]
	require.Equal(t, Above, e.State)
	require.Len(t, e.Excursions, 2)
	require.Equal(t, "samples", e.Unit)
}

// An hour covered for ten minutes is no hour; four days with one sample are no
// four days.
func TestAveragesNeedTheirCoverage(t *testing.T) {
	l := newLab(t, limit("chlorine_total", "one hour average", "value = 19\nunit = \"µg/L\"\nsample = \"continuous\""))
	l.signal("TRC", "2026-03-05 10:00", "2026-03-05 10:10", time.Minute, constant(1))
	l.signal("TRC", "2026-03-06 10:00", "2026-03-06 12:00", time.Minute, constant(0.010))
	e := l.month(2026, time.March).Lines[0]
	require.InDelta(t, 10, e.Value, 1e-9)
	require.Empty(t, e.Excursions)

	l = newLab(t, limit("chlorine_total", "four day average", "value = 11\nunit = \"µg/L\"\nsample = \"grab\""))
	l.add("L-TRC", "2026-03-02 08:00", "0.5")
	for d := 20; d <= 23; d++ {
		l.add("L-TRC", fmt.Sprintf("2026-03-%d 08:00", d), fmt.Sprintf("0.0%d", d-10))
	}
	e = l.month(2026, time.March).Lines[0]
	require.InDelta(t, 12, e.Value, 1e-9, "11, 12 and 13 µg/L of the 21st to 23rd: three of four days are enough")
	require.Equal(t, "21 to 24 March 2026", e.When)
}

// lb/h is a 24th of lb/d.
func TestMassInAnotherUnit(t *testing.T) {
	l := newLab(t, limit("tss", "mass maximum daily", "value = 900\nunit = \"lb/h\""))
	l.signal("Q", "2026-03-01 00:00", "2026-04-01 00:00", time.Hour/2, constant(2.4))
	l.add("L-TSS", "2026-03-04 07:00", "10")
	require.InDelta(t, 2.4*10*8.34/24, l.month(2026, time.March).Lines[0].Value, 1e-9)
}

// Less in the effluent is more removed: "<" becomes ">".
func TestSignOfARemoval(t *testing.T) {
	l := newLab(t, limit("tss", "removal monthly minimum", "value = 85"))
	l.add("L-TSI", "2026-03-04 07:00", "200")
	l.add("L-TSS", "2026-03-04 07:00", "<2")
	e := l.month(2026, time.March).Lines[0]
	require.Equal(t, ">99", e.Report)
	require.Equal(t, Within, e.State)
	l = newLab(t, limit("tss", "removal monthly minimum", "value = 85"))
	l.add("L-TSI", "2026-03-04 07:00", "<10")
	l.add("L-TSS", "2026-03-04 07:00", "5")
	e = l.month(2026, time.March).Lines[0]
	require.Equal(t, "<50", e.Report)
	require.Equal(t, Below, e.State, "less than 50 is less than 85")
}

// Monthly, quarterly and yearly samples are missed in the period's last month.
func TestSamplingPeriods(t *testing.T) {
	for _, c := range []struct {
		frequency         string
		month             time.Month
		taken             []string
		required, missing int
	}{
		{"2/month", time.March, []string{"2026-03-04 07:00"}, 2, 1},
		{"2/month", time.March, []string{"2026-03-04 07:00", "2026-03-05 07:00"}, 2, 0},
		{"1/quarter", time.February, nil, 0, 0},
		{"1/quarter", time.March, nil, 1, 1},
		{"1/quarter", time.March, []string{"2026-01-04 07:00"}, 1, 0},
		{"1/year", time.March, nil, 0, 0},
		{"1/year", time.December, nil, 1, 1},
		{"2/day", time.February, []string{"2026-02-04 07:00", "2026-02-04 09:00", "2026-02-05 07:00"}, 56, 53},
	} {
		l := newLab(t, limit("tss", "average monthly", "value = 30\nfrequency = \""+c.frequency+"\""))
		for _, at := range c.taken {
			l.add("L-TSS", at, "10")
		}
		e := l.month(2026, c.month).Lines[0]
		require.Equal(t, []int{c.required, c.missing}, []int{e.Required, e.Missing}, "%+v", c)
	}
}

// A signal's mass takes the flow-weighted mean: high concentration at high
// flow. Twelve hours of 1 MGD and 1 mg/L, twelve of 3 MGD and 3 mg/L: the mean of
// the products is 5, the product of the means 4.
func TestFlowWeightedMass(t *testing.T) {
	l := newLab(t, limit("chlorine_total", "mass maximum daily", "value = 900\nsample = \"continuous\""))
	step := func(x time.Time) float64 {
		if x.Hour() < 12 {
			return 1
		}
		return 3
	}
	l.p.Tags[0].Reading, l.p.Tags[1].Reading = 1, 1 // on-change: steps
	l.signal("Q", "2026-03-01 00:00", "2026-04-01 00:00", time.Minute, step)
	l.signal("TRC", "2026-03-01 00:00", "2026-04-01 00:00", time.Minute, step)
	m := l.month(2026, time.March)
	d := m.Columns[m.Lines[0].Column].Days[m.Columns[m.Lines[0].Column].MonthLo+2]
	require.InDelta(t, 5*8.34, d.Load, 1e-6)
	require.InDelta(t, 2.5, d.Carried, 1e-9)
	require.False(t, math.IsNaN(m.Lines[0].Value))
}

// The accuracy decides: 10 % of 26 is 2.6, and the limit is 4 away.
func TestOutsideTheAccuracy(t *testing.T) {
	l := newLab(t, limit("tss", "average monthly", "value = 30"))
	l.add("L-TSS", "2026-03-04 07:00", "26")
	e := l.month(2026, time.March).Lines[0]
	require.False(t, e.WithinAccuracy)
	require.InDelta(t, 2.6, e.Accuracy, 1e-12)
}

// A discharge that stops and begins at midnight: both days between are without
// discharge, whatever line leads to the first reading after them.
func TestDischargeBeginsAtMidnight(t *testing.T) {
	l := newLab(t, limit("flow", "average monthly", "report_only = true")+limit("e_coli", "geometric mean monthly", "value = 126\nfrequency = \"7/week\""))
	l.signal("Q", "2026-03-01 00:00", "2026-04-01 00:00", 5*time.Minute, func(x time.Time) float64 {
		if x.Day() == 11 || x.Day() == 12 {
			return 0
		}
		return 2
	})
	for d := 1; d <= 31; d++ {
		l.add("L-EC", fmt.Sprintf("2026-03-%02d 09:00", d), "10")
	}
	m := l.month(2026, time.March)
	require.Contains(t, m.Remarks, "Days without discharge at effluent (Q): 11 to 12 March 2026. They are not counted.")
	require.InDelta(t, 2, m.Lines[0].Value, 0.001)
	require.Equal(t, 29, m.Lines[0].Values)
	require.Equal(t, []int{29, 26, 0}, []int{m.Lines[1].Taken, m.Lines[1].Required, m.Lines[1].Missing}, "7 in three weeks, 5 in the week with two dry days")
}

// A week in which nothing was detected does not pass for the highest because
// its reporting limit was high: half of 20 is 10, and the other week has 15.
func TestWeekWithoutDetections(t *testing.T) {
	l := newLab(t, limit("tss", "maximum weekly average", "value = 45")+"[reporting]\nnon_detect = \"half\"\n")
	l.add("L-TSS", "2026-03-03 07:00", "<20")
	l.add("L-TSS", "2026-03-10 07:00", "15")
	e := l.month(2026, time.March).Lines[0]
	require.Equal(t, "15", e.Report)
	require.Equal(t, "8 to 14 March 2026", e.When)
}
