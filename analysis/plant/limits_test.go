package plant

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const goodLimit = `
[[limit]]
parameter = "chlorine_total"
at = "basin_outlet"
statistic = "Maximum  daily"
value = 0.10   # two figures
unit = "mg/L"
season = "11-01..04-30"
sample = "grab"
frequency = "3/week"
`

func TestLimitGood(t *testing.T) {
	p, err := load(goodTOML+goodLimit, goodTags)
	require.NoError(t, err)
	l := p.Limits[0]
	require.Equal(t, "maximum daily", l.Statistic)
	require.Equal(t, "0.10", l.Written, "the zero that makes a significant figure is kept")
	require.Equal(t, "half-up", p.Reporting.Rounding)
	require.Equal(t, -1, l.Figures)
}

// Each row breaks the good limit in one place.
func TestLimitMistakes(t *testing.T) {
	start := strings.Count(goodTOML, "\n") + 2 // the line of [[limit]]
	require.Equal(t, "[[limit]]", strings.Split(goodTOML+goodLimit, "\n")[start-1])
	cases := []struct{ name, old, new, want string }{
		{"statistic", `Maximum  daily`, `daily peak`, `:32: statistic = "daily peak" is unknown; write one of average monthly`},
		{"percentile", `Maximum  daily`, `percentile 100`, `is unknown`},
		{"no value", "value = 0.10   # two figures\n", "", `states no value`},
		{"range", `Maximum  daily`, `range`, `needs low and high`},
		{"unit", `"mg/L"`, `"lb/d"`, `:34: unit = "lb/d" does not fit chlorine_total, maximum daily`},
		{"mass unit", `Maximum  daily`, `mass maximum daily`, `unit = "mg/L" does not fit`},
		{"season", `11-01..04-30`, `11-31..04-30`, `:35: season: "11-31..04-30" is no season`},
		{"sample", `"grab"`, `"grap"`, `:36: sample = "grap" is unknown`},
		{"frequency", `3/week`, `thrice`, `:37: frequency: "thrice" is no frequency`},
		{"both", `season =`, "figures = 2\ndecimals = 1\nseason =", `states figures and decimals`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			require.Contains(t, goodLimit, c.old)
			_, err := load(goodTOML+strings.Replace(goodLimit, c.old, c.new, 1), goodTags)
			require.ErrorContains(t, err, c.want)
		})
	}
}

func TestSeason(t *testing.T) {
	s, err := ParseSeason("11-01..04-30")
	require.NoError(t, err)
	require.True(t, s.Holds(time.January, 15))
	require.True(t, s.Holds(time.April, 30))
	require.False(t, s.Holds(time.May, 1))
	require.False(t, s.Holds(time.October, 31))
	for _, bad := range []string{"", "..", "05-01", "5-1..10-31", "13-01..02-01", "05-01..10-32"} {
		_, err := ParseSeason(bad)
		require.Error(t, err, bad)
	}
}

func TestFrequency(t *testing.T) {
	for s, want := range map[string]Frequency{
		"1/day": {N: 1, Per: "day"}, "3 / week": {N: 3, Per: "week"}, "Weekly": {N: 1, Per: "week"},
		"2/month": {N: 2, Per: "month"}, "quarterly": {N: 1, Per: "quarter"}, "Continuous": {Continuous: true},
	} {
		f, err := ParseFrequency(s)
		require.NoError(t, err, s)
		require.Equal(t, want, f, s)
	}
	for _, bad := range []string{"", "0/day", "x/day", "1/fortnight", "often"} {
		_, err := ParseFrequency(bad)
		require.Error(t, err, bad)
	}
}

func TestReportingDefaults(t *testing.T) {
	p, err := load(goodTOML, goodTags)
	require.NoError(t, err)
	r := p.Reporting
	require.Equal(t, []string{"limit", "less-than-largest", "half-up", "figures", "sunday", "where-it-ends", "most-hours"},
		[]string{r.NonDetect, r.AllBelow, r.Rounding, r.RoundTo, r.Week, r.StraddlingWeeks, r.CompositeDay})
	require.Zero(t, r.NoDischarge)
	require.True(t, math.IsNaN(r.NonDetectValue))
	_, err = load(goodTOML+"\n[reporting]\nnon_detect = \"value\"\n", goodTags)
	require.ErrorContains(t, err, "needs non_detect_value")
}
