package analysis_test

import (
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/discharge"
	"weirbook/examples"
	"weirbook/examples/simulate"
)

func demoMonth(t *testing.T) *analysis.MonthResult {
	t.Helper()
	files, err := examples.Demo(examples.DemoSeed)
	require.NoError(t, err)
	in, err := input(files, nil)
	require.NoError(t, err)
	r, err := first(analysis.Months(context.Background(), in, time.Date(2026, time.March, 1, 0, 0, 0, 0, time.UTC), 1))
	require.NoError(t, err)
	return r
}

// The demo month's summary against the generator: what the laboratory found,
// and what really flowed.
func TestDemoMonthAgainstTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole month; the tests without -short have it")
	}
	r := demoMonth(t)
	truth, err := simulate.Run(simulate.DemoConfig(examples.DemoSeed))
	require.NoError(t, err)
	line := func(parameter, statistic string) discharge.Line {
		for _, l := range r.Month.Lines {
			if string(l.Limit.Parameter) == parameter && l.Statistic == statistic && (l.Limit.At == "outfall" || l.Limit.At == "basin_outlet") {
				return l
			}
		}
		t.Fatalf("no line %s, %s", parameter, statistic)
		return discharge.Line{}
	}
	// The laboratory's results of March, straight from the generator.
	lab := map[string][]float64{}
	for _, l := range truth.Lab {
		at := l.Time.In(truth.Loc)
		if l.Tag != simulate.LabEColi {
			at = at.Add(-12 * time.Hour) // a composite counts for the day of the middle of its 24 hours
		}
		if at.Month() == time.March {
			lab[l.Tag] = append(lab[l.Tag], l.Value)
		}
	}
	mean := func(vs []float64) float64 {
		sum := 0.0
		for _, v := range vs {
			sum += v
		}
		return sum / float64(len(vs))
	}
	require.Len(t, lab[simulate.LabTSSEffluent], 14, "13 stamped in March, and that of 1 April, most of which is water of 31 March")
	require.InDelta(t, mean(lab[simulate.LabTSSEffluent]), line("tss", "average monthly").Value, 1e-9)
	require.InDelta(t, mean(lab[simulate.LabBODEffluent]), line("bod5", "average monthly").Value, 1e-9)
	require.InDelta(t, 100*(1-mean(lab[simulate.LabTSSEffluent])/mean(lab[simulate.LabTSSInfluent])), line("tss", "removal monthly minimum").Value, 1e-9)
	logs, top := 0.0, 0.0
	for _, v := range lab[simulate.LabEColi] {
		logs += math.Log(v)
		top = math.Max(top, v)
	}
	require.InDelta(t, math.Exp(logs/float64(len(lab[simulate.LabEColi]))), line("e_coli", "geometric mean monthly").Value, 1e-9)
	ec := line("e_coli", "instantaneous maximum")
	require.InDelta(t, top, ec.Value, 1e-9)
	require.Equal(t, discharge.Above, ec.State, "the upset of 17 March")
	require.Contains(t, ec.When, "17 March 2026")

	// The water, minute by minute of March; the meter is off by a percent or two.
	var day [32]float64
	var n [32]float64
	for i := range truth.N {
		if at := truth.Time(i); at.Month() == time.March {
			day[at.Day()] += truth.Truth.FlowMGD[i]
			n[at.Day()]++
		}
	}
	sum := 0.0
	for d := 1; d <= 31; d++ {
		sum += day[d] / n[d]
	}
	require.InDelta(t, sum/31, line("flow", "average monthly").Value, 0.02*sum/31)
	require.Equal(t, 23.0, r.Month.Days[7].Hours, "8 March 2026, the clock goes forward")
	require.Equal(t, 1380.0, n[8])
	for _, l := range r.Month.Lines {
		require.NotContains(t, strings.ToLower(l.How+string(l.State)+strings.Join(l.Remarks, "")), "complian")
	}
}

// first is the first of several, or what came in their place.
func first[T any](xs []T, err error) (T, error) {
	if err != nil {
		var none T
		return none, err
	}
	return xs[0], nil
}
