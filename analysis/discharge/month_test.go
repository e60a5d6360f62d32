package discharge

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/testdata/published"
)

// The worked examples again, this time through a whole month.
func TestPublishedMonth(t *testing.T) {
	sheet := published.NewSheet(t)
	tab := published.Load(t, "worked_examples")

	l := newLab(t, limit("tss", "average monthly", `value = 30.0`)+limit("tss", "removal monthly minimum", `value = 85.0`)+
		limit("tss", "mass maximum daily", "value = 5000\nfigures = 4"))
	l.signal("Q", "2026-03-01 00:00", "2026-04-01 00:00", time.Hour/2, constant(2.5))
	for i, v := range []string{"5.30", "6.21", "4.00", "5.25", "8.72"} {
		l.add("L-TSS", fmt.Sprintf("2026-03-%02d 07:00", 2+2*i), v)
	}
	m := l.month(2026, time.March)
	r := tab.Find(t, "dmr-mean-1")
	sheet.Same("dmr-mean-1 as reported", r.Source(), r.Mark(), r.Text(t, "expected"), m.Lines[0].Report)
	require.InDelta(t, 5.896, m.Lines[0].Value, 1e-12)
	require.Equal(t, Within, m.Lines[0].State)

	// Removal and mass with the influent and effluent of the practice page.
	r = tab.Find(t, "removal-1")
	l = newLab(t, limit("tss", "removal monthly minimum", `value = 85.0`))
	l.add("L-TSI", "2026-03-03 07:00", "185")
	l.add("L-TSS", "2026-03-03 07:00", "18")
	m = l.month(2026, time.March)
	sheet.Row(r, "expected", m.Lines[0].Rounded)
	require.Equal(t, "90.3", m.Lines[0].Report)

	r = tab.Find(t, "tss-load-1")
	l = newLab(t, limit("tss", "mass maximum daily", "value = 5000"))
	l.signal("Q", "2026-03-01 00:00", "2026-04-01 00:00", time.Hour/2, constant(r.In(t, "flow_mgd")))
	l.add("L-TSS", "2026-03-03 07:00", "140")
	m = l.month(2026, time.March)
	sheet.Row(r, "expected", m.Lines[0].Value)

	// 23 and 25 hours.
	for _, id := range []string{"dst-23", "dst-25"} {
		r := tab.Find(t, id)
		d, err := time.Parse("2006-01-02", textIn(t, r, "date"))
		require.NoError(t, err)
		loc, err := time.LoadLocation(textIn(t, r, "zone"))
		require.NoError(t, err)
		c := newCalendar(d, d, loc)
		sheet.Row(r, "expected", c.hours(0))
	}
}

// Limits as printed, and a result on each side of each.
func TestPublishedLimits(t *testing.T) {
	sheet := published.NewSheet(t)
	tab := published.Load(t, "discharge_limits")
	find := func(param, stat string) published.Row {
		for _, r := range tab.Rows {
			if r.Cells["parameter"] == param && r.Cells["statistic"] == stat {
				return r
			}
		}
		t.Fatalf("no row %s, %s", param, stat)
		return published.Row{}
	}
	// The total residual chlorine criteria lie in µg/L, one hour and four days.
	acute := find("total residual chlorine, freshwater", "acute (CMC)").Text(t, "value")
	chronic := find("total residual chlorine, freshwater", "chronic (CCC)").Text(t, "value")
	l := newLab(t, limit("chlorine_total", "one hour average", "value = "+acute+"\nunit = \"µg/L\"\nsample = \"continuous\"")+
		limit("chlorine_total", "four day average", "value = "+chronic+"\nunit = \"µg/L\"\nsample = \"continuous\""))
	// 10 µg/L, and 100 µg/L for twelve minutes: any hour around it has
	// (12·100 + 48·10)/60 = 28 µg/L, four days (12·100 + 5748·10)/5760 = 10.19.
	at := time.Date(2026, 3, 20, 13, 0, 0, 0, l.loc)
	l.signal("TRC", "2026-03-01 00:00", "2026-04-01 00:00", time.Minute, func(x time.Time) float64 {
		if d := x.Sub(at); d >= 0 && d < 12*time.Minute {
			return 0.100
		}
		return 0.010
	})
	m := l.month(2026, time.March)
	hour, four := m.Lines[0], m.Lines[1]
	// The straight lines at both ends add one minute's worth of the rise.
	require.InDelta(t, 28, hour.Value, 1.6)
	require.Equal(t, Above, hour.State)
	require.Len(t, hour.Excursions, 1)
	require.InDelta(t, 10.19, four.Value, 0.03)
	require.Equal(t, Within, four.State)
	sheet.Check("CMC", find("total residual chlorine, freshwater", "acute (CMC)").Source(), "verified", acute, 0, hour.LimitValue)
	sheet.Check("CCC", find("total residual chlorine, freshwater", "chronic (CCC)").Source(), "verified", chronic, 0, four.LimitValue)

	// Title 22: 7-day median 2.2, 23 not more than once in 30 days, never 240.
	row := func(s string) published.Row {
		return find("total coliform, disinfected tertiary recycled water", s)
	}
	l = newLab(t, limit("total_coliform", "median 7 day", "value = "+row("7-day median").Text(t, "value"))+
		limit("total_coliform", "not more than one in 30 days", "value = "+row("not more than one sample in 30 days above").Text(t, "value"))+
		limit("total_coliform", "instantaneous maximum", "value = "+row("never above").Text(t, "value")))
	for d := 1; d <= 31; d++ {
		v := "2"
		switch {
		case d >= 10 && d <= 13: // four of seven above 2.2
			v = "4"
		case d == 20 || d == 28:
			v = "30"
		}
		l.add("L-TC", fmt.Sprintf("2026-03-%02d 08:00", d), v)
	}
	m = l.month(2026, time.March)
	require.Equal(t, Above, m.Lines[0].State, "the median of 9 to 13 March and two more is 4")
	require.Equal(t, "4.0", Round(m.Lines[0].Value, Places{Figures: 2, MaxDecimals: -1}, HalfUp))
	require.Equal(t, "2", m.Lines[1].Report)
	require.Equal(t, Above, m.Lines[1].State)
	require.Len(t, m.Lines[1].Excursions, 2)
	require.Equal(t, Within, m.Lines[2].State)
	require.Equal(t, "30", m.Lines[2].Report)

	// pH 6.0 to 9.0, measured on line: 40 CFR 401.17 (numbers from memory).
	low, high := find("pH", "range low").Text(t, "value"), find("pH", "range high").Text(t, "value")
	for _, c := range []struct {
		minutes  []int // length of each excursion, one a day from the 2nd
		total    State
		longest  State
		reported string
	}{
		{[]int{60, 60}, Within, Within, "120"},
		{[]int{61}, Within, Above, "61"},
		{[]int{60, 60, 60, 60, 60, 60, 60, 26}, Within, Within, "446"},
		{[]int{60, 60, 60, 60, 60, 60, 60, 27}, Above, Within, "447"},
	} {
		l := newLab(t, limit("ph", "range continuous", "low = "+low+"\nhigh = "+high+"\nph_excursions_granted = true")) // continuous: the minute of the last reading outside counts
		l.signal("PH", "2026-03-01 00:00", "2026-04-01 00:00", time.Minute, func(x time.Time) float64 {
			if i := x.Day() - 2; i >= 0 && i < len(c.minutes) && x.Hour()*60+x.Minute() < 600+c.minutes[i] && x.Hour() >= 10 {
				return 9.2
			}
			return 7.2
		})
		m := l.month(2026, time.March)
		require.Equal(t, c.total, m.Lines[0].State, c.minutes)
		require.Equal(t, c.longest, m.Lines[1].State, c.minutes)
		require.Equal(t, c.reported, m.Lines[0].Report)
		require.Len(t, m.Lines[0].Excursions, len(c.minutes))
	}
}

// Weeks that straddle months, and which of them count. March 2026 begins on a
// Sunday; April 2026 on a Wednesday.
func TestWeeks(t *testing.T) {
	cases := []struct {
		begins, choice string
		month          time.Month
		counted        []string
	}{
		{"sunday", "where-it-ends", time.March, []string{"1 to 7 March 2026", "8 to 14 March 2026", "15 to 21 March 2026", "22 to 28 March 2026"}},
		{"sunday", "where-it-begins", time.March, []string{"1 to 7 March 2026", "8 to 14 March 2026", "15 to 21 March 2026", "22 to 28 March 2026", "29 March to 4 April 2026"}},
		{"sunday", "most-days", time.April, []string{"29 March to 4 April 2026", "5 to 11 April 2026", "12 to 18 April 2026", "19 to 25 April 2026", "26 April to 2 May 2026"}},
		{"monday", "whole-weeks-only", time.April, []string{"6 to 12 April 2026", "13 to 19 April 2026", "20 to 26 April 2026"}},
	}
	for _, c := range cases {
		l := newLab(t, "[reporting]\nweek_begins = \""+c.begins+"\"\nstraddling_weeks = \""+c.choice+"\"\n")
		b := newBench(l.input(2026, c.month))
		var got []string
		for _, w := range b.cal.weeks(2026, c.month, l.p.Reporting) {
			if w.Counted {
				got = append(got, w.String())
			}
		}
		require.Equal(t, c.counted, got, "%s %s", c.begins, c.choice)
	}
	// Whatever the choice of the first three, every week counts exactly once.
	for _, choice := range []string{"where-it-ends", "where-it-begins", "most-days"} {
		l := newLab(t, "[reporting]\nstraddling_weeks = \""+choice+"\"\n")
		seen := map[string]int{}
		for m := time.January; m <= time.December; m++ {
			for _, w := range newBench(l.input(2026, m)).cal.weeks(2026, m, l.p.Reporting) {
				if w.Counted {
					seen[w.String()]++
				}
			}
		}
		require.GreaterOrEqual(t, len(seen), 52)
		for w, n := range seen {
			require.Equal(t, 1, n, w)
		}
	}
}

func TestWeeklyAverage(t *testing.T) {
	l := newLab(t, limit("tss", "maximum weekly average", "value = 45\nfrequency = \"3/week\""))
	// The week 29 March to 4 April ends in April; its March days count there.
	for _, x := range [][2]string{{"2026-03-02", "40"}, {"2026-03-04", "44"}, {"2026-03-06", "54"}, {"2026-03-09", "10"}, {"2026-03-30", "100"}, {"2026-04-01", "10"}} {
		l.add("L-TSS", x[0]+" 07:00", x[1])
	}
	m := l.month(2026, time.March)
	require.InDelta(t, 46, m.Lines[0].Value, 1e-12)
	require.Equal(t, "1 to 7 March 2026", m.Lines[0].When)
	require.Equal(t, Above, m.Lines[0].State)
	require.Len(t, m.Lines[0].Excursions, 1)
	require.Equal(t, 12, m.Lines[0].Required)
	require.Equal(t, 8, m.Lines[0].Missing, "two missing in the second week, three in each of the next two")
	m = l.month(2026, time.April)
	require.InDelta(t, 55, m.Lines[0].Value, 1e-12)
}

// A month with a clock change: the 23-hour day is one day among others.
func TestClockChange(t *testing.T) {
	l := newLab(t, limit("flow", "average monthly", "report_only = true")+limit("chlorine_total", "average monthly", "value = 0.5\nsample = \"continuous\""))
	l.signal("Q", "2026-03-01 00:00", "2026-04-01 00:00", time.Hour/4, constant(3))
	// 0.1 on every day but the 8th, which has 23 hours of 0.41.
	l.signal("TRC", "2026-03-01 00:00", "2026-04-01 00:00", time.Minute, func(x time.Time) float64 {
		if x.Day() == 8 {
			return 0.41
		}
		return 0.1
	})
	m := l.month(2026, time.March)
	require.Equal(t, 23.0, m.Days[7].Hours)
	require.Len(t, m.Days, 31)
	require.InDelta(t, 3, m.Lines[0].Value, 1e-9)
	require.InDelta(t, (30*0.1+0.41)/31, m.Lines[1].Value, 1e-4, "each calendar day weighs the same")
	require.InDelta(t, 1, m.Lines[1].Cover, 1e-9)
	require.Contains(t, m.Remarks, "8 March 2026 has 23 hours: the clock was changed. It counts as one calendar day.")
	n := l.month(2026, time.November)
	require.Equal(t, 25.0, n.Days[0].Hours)
	require.Equal(t, NotDetermined, n.Lines[0].State)
}

// A month with no samples for one parameter.
func TestNoSamples(t *testing.T) {
	l := newLab(t, limit("tss", "average monthly", `value = 30`)+limit("e_coli", "geometric mean monthly", "value = 126\nfrequency = \"1/week\""))
	l.add("L-TSS", "2026-03-03 07:00", "12")
	m := l.month(2026, time.March)
	require.Equal(t, "12", m.Lines[0].Report)
	e := m.Lines[1]
	require.Equal(t, NotDetermined, e.State)
	require.Empty(t, e.Report)
	require.True(t, math.IsNaN(e.Value) && math.IsNaN(e.Rounded) && math.IsNaN(e.Margin))
	require.Equal(t, []string{"No result of E. coli at Outfall 001 in March 2026: L-EC is in no export; check shows what they call their tags."}, e.Remarks)
	require.Equal(t, 4, e.Missing)
}

// A month with all non-detects: less than the largest, whatever the rule.
func TestAllBelow(t *testing.T) {
	for _, r := range []string{"zero", "half", "limit", "without-sign", "mle", "kaplan-meier"} {
		l := newLab(t, limit("tss", "average monthly", `value = 30`)+limit("tss", "maximum daily", `value = 45`)+
			limit("e_coli", "geometric mean monthly", "value = 126")+"[reporting]\nnon_detect = \""+r+"\"\n")
		for i, v := range []string{"<2", "<4", "<3"} {
			l.add("L-TSS", fmt.Sprintf("2026-03-%02d 07:00", 3+7*i), v)
			l.add("L-EC", fmt.Sprintf("2026-03-%02d 09:00", 3+7*i), "<1")
		}
		m := l.month(2026, time.March)
		require.Equal(t, []string{"<4", "<4", "<1"}, []string{m.Lines[0].Report, m.Lines[1].Report, m.Lines[2].Report}, r)
		require.Equal(t, Within, m.Lines[0].State)
		require.Equal(t, 3, m.Lines[0].NonDetects)
		require.Contains(t, m.Lines[0].SpreadText, "zero 0, half 2, limit <3, without-sign 3, mle none, kaplan-meier none")
	}
	l := newLab(t, limit("tss", "average monthly", `value = 30`)+"[reporting]\nnon_detect = \"half\"\nall_below = \"as-rule\"\n")
	l.add("L-TSS", "2026-03-03 07:00", "<4")
	require.Equal(t, "2", l.month(2026, time.March).Lines[0].Report)
}

// A limit below what the laboratory can see: not an excursion, and not within
// either (Colorado permit: not a violation when the limit is below the
// detection limit).
func TestLimitBelowDetection(t *testing.T) {
	l := newLab(t, limit("chlorine_total", "maximum daily", "value = 11\nunit = \"µg/L\"\nsample = \"grab\""))
	l.add("L-TRC", "2026-03-03 07:00", "<0.05")
	l.add("L-TRC", "2026-03-04 07:00", "<0.05")
	e := l.month(2026, time.March).Lines[0]
	require.Equal(t, "<50", e.Report)
	require.Equal(t, CannotTell, e.State)
	require.Empty(t, e.Excursions)
	require.Equal(t, 2, e.Undecided)
	l.add("L-TRC", "2026-03-05 07:00", "0.06")
	e = l.month(2026, time.March).Lines[0]
	require.Equal(t, Above, e.State)
	require.Len(t, e.Excursions, 1)
}

func TestSeasonAndNoDischarge(t *testing.T) {
	l := newLab(t, limit("e_coli", "instantaneous maximum", "value = 235\nseason = \"03-15..10-31\"\nfrequency = \"1/day\"")+
		limit("e_coli", "geometric mean monthly", "value = 126\nseason = \"05-01..10-31\""))
	l.signal("Q", "2026-03-01 00:00", "2026-04-01 00:00", time.Hour/4, func(x time.Time) float64 {
		if x.Day() >= 20 && x.Day() <= 22 {
			return 0
		}
		return 2
	})
	l.add("L-EC", "2026-03-03 09:00", "900") // before the season
	l.add("L-EC", "2026-03-21 09:00", "800") // no discharge
	l.add("L-EC", "2026-03-25 09:00", "100")
	m := l.month(2026, time.March)
	require.Equal(t, "100", m.Lines[0].Report)
	require.Equal(t, NotInSeason, m.Lines[1].State)
	// 17 days of the season; the 20th begins with a slope from 2 to 0.
	require.Contains(t, []int{14, 15}, m.Lines[0].Required)
	require.Contains(t, fmt.Sprint(m.Remarks), "Days without discharge")
}

func TestCarriedSigns(t *testing.T) {
	l := newLab(t, limit("e_coli", "geometric mean monthly", "value = 126")+limit("e_coli", "instantaneous maximum", "value = 3000"))
	for i, v := range []string{"<10", "100", ">2419.6"} {
		l.add("L-EC", fmt.Sprintf("2026-03-%02d 09:00", 3+i), v)
	}
	m := l.month(2026, time.March)
	require.Equal(t, Greater, m.Lines[0].Sign, "New York: greater than wins")
	require.Equal(t, Above, m.Lines[0].State)
	require.Equal(t, ">2419.6", m.Lines[1].Report)
	require.Equal(t, CannotTell, m.Lines[1].State)
}

func TestAccuracyAndYearToDate(t *testing.T) {
	l := newLab(t, limit("tss", "average monthly", `value = 30`))
	l.add("L-TSS", "2026-01-05 07:00", "10")
	l.add("L-TSS", "2026-02-05 07:00", "20")
	l.add("L-TSS", "2026-03-05 07:00", "28.5")
	e := l.month(2026, time.March).Lines[0]
	require.True(t, e.WithinAccuracy, "10 % of 28.5 is 2.85, the margin 1.5")
	require.Len(t, e.ToDate, 3)
	require.Equal(t, []string{"10", "20", "29"}, []string{e.ToDate[0].Report, e.ToDate[1].Report, e.ToDate[2].Report})
}

// The figures of a month do not depend on the order of the tags.
func TestOrder(t *testing.T) {
	l := newLab(t, limit("tss", "average monthly", `value = 30`))
	for i := range 9 {
		l.add("L-TSS", fmt.Sprintf("2026-03-%02d 07:00", 2+3*i), fmt.Sprintf("%d.%d", 3+i, i))
	}
	in := l.input(2026, time.March)
	a, err := Summarise(in)
	require.NoError(t, err)
	for i, j := 0, len(in.Tags)-1; i < j; i, j = i+1, j-1 {
		in.Tags[i], in.Tags[j] = in.Tags[j], in.Tags[i]
	}
	b, err := Summarise(in)
	require.NoError(t, err)
	require.Equal(t, fmt.Sprintf("%+v", a), fmt.Sprintf("%+v", b))
}

func TestRefused(t *testing.T) {
	_, err := Summarise(Input{})
	require.Error(t, err)
	l := newLab(t, "")
	in := l.input(2026, 13)
	_, err = Summarise(in)
	require.ErrorContains(t, err, "there is no month")
	m := l.month(2026, time.March)
	require.Contains(t, m.Remarks, "The exports hold nothing of March 2026.")
	l.series("Q").T = []int64{5, 3}
	_, err = Summarise(l.input(2026, 3))
	require.Error(t, err)
}
