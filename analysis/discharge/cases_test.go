package discharge

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/plant"
	"weirbook/analysis/series"
)

// A signal with gaps: the day with enough coverage stands for itself and is
// named, the other is left out and named.
func TestDaysCoveredInPart(t *testing.T) {
	l := newLab(t, limit("chlorine_total", "average monthly", "value = 0.5\nsample = \"continuous\"\nfrequency = \"continuous\""))
	l.signal("TRC", "2026-03-01 00:00", "2026-03-10 18:00", time.Minute, constant(0.1)) // the 10th: three quarters
	l.signal("TRC", "2026-03-12 14:00", "2026-03-12 20:00", time.Minute, constant(9.9)) // the 12th: a quarter
	e := l.month(2026, time.March).Lines[0]
	require.InDelta(t, 0.1, e.Value, 1e-9)
	require.Equal(t, 10, e.Values)
	joined := strings.Join(e.Remarks, " ")
	require.Contains(t, joined, "10 March 2026: the covered part stands for the whole day.")
	require.Contains(t, joined, "Not determined, and left out: 11 to 31 March 2026.")
	require.Contains(t, joined, "Incomplete: rests on 32.2 % of the month") // (9·24 − 1 + 18 + 6) h of 743
	require.Equal(t, "continuous, 32.2 % of the time covered", e.Sampling)
}

// A composite stamped at the end of its sampling counts for the day before
// where the permit says so, also over the edge of the month.
func TestCompositeDay(t *testing.T) {
	rows := [][2]string{{"2026-03-01 07:00", "10"}, {"2026-03-10 07:00", "20"}, {"2026-04-01 07:00", "60"}}
	for choice, want := range map[string]float64{"stamped": 15, "day-before": 40} {
		l := newLab(t, limit("tss", "average monthly", "value = 30")+"[reporting]\ncomposite_day = \""+choice+"\"\n")
		for _, r := range rows {
			l.add("L-TSS", r[0], r[1])
		}
		require.InDelta(t, want, l.month(2026, time.March).Lines[0].Value, 1e-12, choice)
	}
}

// Mass by each day's own flow, not by the month's means; in pounds by the
// trade's factor, in kilograms by the exact one.
func TestMassByEachDaysFlow(t *testing.T) {
	l := newLab(t, limit("tss", "mass average monthly", "value = 9000\nfigures = 6")+limit("tss", "mass average monthly", "value = 9000\nunit = \"kg/d\"\nfigures = 6"))
	l.signal("Q", "2026-03-01 00:00", "2026-03-10 00:00", time.Hour/2, constant(1))
	l.signal("Q", "2026-03-10 00:30", "2026-04-01 00:00", time.Hour/2, constant(3))
	l.add("L-TSS", "2026-03-04 07:00", "10")
	l.add("L-TSS", "2026-03-20 07:00", "30")
	m := l.month(2026, time.March)
	require.InDelta(t, (1*10+3*30)/2.0*8.34, m.Lines[0].Value, 1e-9)
	require.InDelta(t, (1*10+3*30)/2.0*3.785411784, m.Lines[1].Value, 1e-9) // 1 gal = 3.785411784 L, exactly
	// The exact factor of 8.345404 lb per MG and mg/L, from the reference
	// (derived); the trade's reads 0.0648 % low.
	exact := m.Lines[1].Value / 0.45359237
	require.InDelta(t, 8.345404*50, exact, 0.0005*50)
	require.InDelta(t, -0.0648, 100*(m.Lines[0].Value/exact-1), 0.0005)
	require.Contains(t, m.Lines[1].How, "exact")
}

// No flow on a day: its result has no mass, and the day is named: the 19th, in
// which 17 hours of the composite stamped at 07:00 lie.
func TestNoFlowNoMass(t *testing.T) {
	l := newLab(t, limit("tss", "mass maximum daily", "value = 900"))
	l.signal("Q", "2026-03-01 00:00", "2026-03-10 00:00", time.Hour/2, constant(1))
	l.add("L-TSS", "2026-03-04 07:00", "10")
	l.add("L-TSS", "2026-03-20 07:00", "30")
	e := l.month(2026, time.March).Lines[0]
	require.InDelta(t, 83.4, e.Value, 1e-9)
	require.Contains(t, strings.Join(e.Remarks, " "), "No mass for 19 March 2026: the day's flow is not determined.")
}

func TestRangeOfGrabs(t *testing.T) {
	l := newLab(t, limit("chlorine_total", "range", "low = 0.2\nhigh = 1.5\nsample = \"grab\""))
	for i, v := range []string{"0.14", "0.8", "1.54", "1.56"} {
		l.add("L-TRC", fmt.Sprintf("2026-03-%02d 08:00", 2+i), v)
	}
	m := l.month(2026, time.March)
	require.Equal(t, []string{"lowest", "highest"}, []string{m.Lines[0].Part, m.Lines[1].Part})
	require.Equal(t, Below, m.Lines[0].State)
	require.Equal(t, "0.1", m.Lines[0].Report, "one significant figure, as the limit")
	require.Equal(t, "1.6", m.Lines[1].Report)
	require.Len(t, m.Lines[1].Excursions, 1, "1.54 rounds to the limit")
}

// Results are compared as reported: 30.4 is 30 to the figures of the limit.
func TestComparedAsRounded(t *testing.T) {
	l := newLab(t, limit("tss", "average monthly", "value = 30")+limit("tss", "average monthly", "value = 30.0"))
	l.add("L-TSS", "2026-03-04 07:00", "30.4")
	m := l.month(2026, time.March)
	require.Equal(t, Within, m.Lines[0].State)
	require.Contains(t, strings.Join(m.Lines[0].Remarks, " "), "Unrounded 30.40 lies beyond the limit")
	require.Equal(t, Above, m.Lines[1].State)
}

func TestPercentile(t *testing.T) {
	// Not more than 10 percent of 20 samples above 410: two may be.
	for above, want := range map[int]State{2: Within, 3: Above} {
		l := newLab(t, limit("e_coli", "percentile 90", "value = 410"))
		for i := range 20 {
			v := "50"
			if i < above {
				v = "800"
			}
			l.add("L-EC", fmt.Sprintf("2026-03-%02d 08:00", 1+i), v)
		}
		require.Equal(t, want, l.month(2026, time.March).Lines[0].State, above)
	}
}

func TestMedianOfAllResultsOfSevenDays(t *testing.T) {
	l := newLab(t, limit("total_coliform", "median 7 day", "value = 2.2"))
	for d := 1; d <= 7; d++ {
		l.add("L-TC", fmt.Sprintf("2026-03-%02d 08:00", d), "2")
	}
	for h := 9; h < 18; h++ { // nine more on the last day
		l.add("L-TC", fmt.Sprintf("2026-03-07 %02d:00", h), "9")
	}
	require.InDelta(t, 9, l.month(2026, time.March).Lines[0].Value, 1e-12, "9 of 16 results are 9")
}

// What a metric plant's file leaves open is metric.
func TestMetricPlant(t *testing.T) {
	p, err := plant.Load("plant.toml", strings.NewReader(strings.Replace(testHead, "[[point]]", "units = \"metric\"\n[[point]]", 1)+
		limit("tss", "mass average monthly", "value = 900")+limit("flow", "average monthly", "report_only = true")), "tags.csv", strings.NewReader(testTags))
	require.NoError(t, err)
	require.Equal(t, []string{"kg/d", "m³/d"}, []string{p.Limits[0].Unit, p.Limits[1].Unit})
	l := &bottles{t: t, loc: p.Zone, p: p, data: map[string]*series.Series{}}
	l.signal("Q", "2026-03-01 00:00", "2026-04-01 00:00", time.Hour/2, constant(1))
	require.InDelta(t, 3785.411784, l.month(2026, time.March).Lines[1].Value, 1e-6)
}

// Any plant's month comes out whole: nothing panics, and what a line says of
// itself fits together.
func FuzzMonth(f *testing.F) {
	f.Add(uint64(1), 10, 3)
	f.Add(uint64(2), 0, 11)
	f.Fuzz(func(t *testing.T, seed uint64, n, month int) {
		r := rand.New(rand.NewPCG(seed, 5))
		n, month = abs(n)%60, 1+abs(month)%12
		var toml strings.Builder
		rules := []string{"zero", "half", "limit", "without-sign", "value", "mle", "kaplan-meier"}
		stats := plant.StatisticNames()
		stats[len(stats)-1] = "percentile 90"
		kinds := []string{"tss", "e_coli", "chlorine_total", "ph", "total_coliform"}
		for range 1 + r.IntN(8) {
			s := stats[r.IntN(len(stats))]
			rest := fmt.Sprintf("value = %.3g", math.Exp(3*r.NormFloat64()))
			if st, _ := plant.StatisticOf(s); st.Range {
				rest = "low = 6\nhigh = 9"
			}
			if r.IntN(3) == 0 {
				rest += "\nseason = \"05-15..10-20\""
			}
			rest += "\nfrequency = \"" + []string{"1/day", "3/week", "1/month", "1/quarter", "continuous", "1/year"}[r.IntN(6)] + "\""
			toml.WriteString(limit(kinds[r.IntN(len(kinds))], s, rest))
		}
		fmt.Fprintf(&toml, "[reporting]\nnon_detect = %q\nnon_detect_value = 0.4\nround_to = %q\nrounding = %q\nall_below = %q\n", rules[r.IntN(len(rules))],
			[]string{"figures", "decimals"}[r.IntN(2)], []string{"half-up", "half-even"}[r.IntN(2)], []string{"less-than-largest", "as-rule"}[r.IntN(2)])
		p, err := plant.Load("plant.toml", strings.NewReader(testHead+toml.String()), "tags.csv", strings.NewReader(testTags))
		if err != nil {
			t.Skip() // a mass of pH and the like
		}
		l := &bottles{t: t, loc: p.Zone, p: p, data: map[string]*series.Series{}}
		start := time.Date(2026, time.Month(month), 1, 0, 0, 0, 0, p.Zone)
		for _, tg := range p.Tags {
			at := start.Add(-time.Duration(r.IntN(200)) * time.Hour)
			for range n {
				at = at.Add(time.Duration(1+r.IntN(3000)) * time.Minute)
				v := math.Exp(2 * r.NormFloat64())
				if r.IntN(20) == 0 {
					v = 0
				}
				l.series(tg.Name).Append(at.UnixMilli(), v, []series.Flag{0, 0, 0, series.LessThan, series.GreaterThan, series.Bad}[r.IntN(6)])
			}
		}
		m, err := Summarise(l.input(2026, time.Month(month)))
		require.NoError(t, err)
		for _, e := range m.Lines {
			require.Equal(t, math.IsNaN(e.Value), e.Report == "", "%+v", e)
			require.False(t, math.IsInf(e.Value, 0), e.Statistic)
			require.NotEmpty(t, string(e.State))
			if e.State.Outside() {
				require.NotEmpty(t, e.Report)
			}
			if e.State == Within || e.State.Outside() {
				require.False(t, math.IsNaN(e.LimitValue))
				require.True(t, finite(e.Margin))
			}
			require.True(t, e.NonDetects == 0 || len(e.Spread) > 0)
			require.GreaterOrEqual(t, e.Missing, 0)
			for _, x := range e.Remarks {
				require.False(t, strings.Contains(x, "NaN") || strings.Contains(x, "%!"), x)
			}
			require.NotContains(t, e.How, "%!")
		}
		for _, c := range m.Columns {
			require.Equal(t, len(m.Weeks)*7, len(c.Days))
			for _, d := range c.Days {
				require.True(t, d.Hours >= 23 && d.Hours <= 25)
			}
		}
	})
}

func BenchmarkYear(b *testing.B) {
	p, err := plant.Load("plant.toml", strings.NewReader(testHead+limit("chlorine_total", "one hour average", "value = 19\nunit = \"µg/L\"\nsample = \"continuous\"")+
		limit("chlorine_total", "four day average", "value = 11\nunit = \"µg/L\"\nsample = \"continuous\"")+limit("ph", "range continuous", "low = 6.0\nhigh = 9.0")+
		limit("chlorine_total", "mass average monthly", "value = 100\nsample = \"continuous\"")), "tags.csv", strings.NewReader(testTags))
	require.NoError(b, err)
	l := &bottles{p: p, loc: p.Zone, data: map[string]*series.Series{}}
	for _, tag := range []string{"Q", "TRC", "PH"} {
		s := l.series(tag)
		for t := time.Date(2026, 1, 1, 0, 0, 0, 0, p.Zone).UnixMilli(); len(s.T) < 525600; t += 60_000 {
			s.Append(t, 5+2*math.Sin(float64(t)/1e7), 0)
		}
	}
	in := l.input(2026, time.December)
	b.ResetTimer()
	for b.Loop() {
		if _, err := Summarise(in); err != nil {
			b.Fatal(err)
		}
	}
}
