package analysis_test

import (
	"context"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/discharge"
	"weirbook/examples"
	"weirbook/examples/simulate"
)

// A flow meter that stands still for three days of the demo's March is not
// averaged in: the month rests on the other days, which are held against the water
// that really flowed on them, and the line says what it would be otherwise.
func TestFlowHeldAtFaultIsNotAveraged(t *testing.T) {
	if testing.Short() {
		t.Skip("judges a whole month; the tests without -short have it")
	}
	const from, to = "2026-03-05 10:00", "2026-03-08 10:00"
	files, err := examples.Demo(examples.DemoSeed)
	require.NoError(t, err)
	in, err := input(files, nil)
	require.NoError(t, err)
	for i, f := range in.Files {
		if !strings.Contains(f.Name, "process") {
			continue
		}
		r, err := f.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		lines, still := strings.Split(string(text), "\n"), ""
		for k, l := range lines {
			p := strings.Split(l, ",")
			if len(p) < 4 || p[1] != "FIT-501" || p[0] < from || p[0] >= to {
				continue
			}
			if still == "" {
				still = "5.430" // far above the usual 4.2
			}
			p[2] = still
			lines[k] = strings.Join(p, ",")
		}
		frozen := strings.Join(lines, "\n")
		in.Files[i].Size = int64(len(frozen))
		in.Files[i].Open = func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(frozen)), nil }
	}
	r, err := first(analysis.Months(context.Background(), in, time.Date(2026, time.March, 1, 0, 0, 0, 0, time.UTC), 1))
	require.NoError(t, err)
	var line discharge.Line
	for _, l := range r.Month.Lines {
		if l.Parameter == "Flow" && l.Limit.At == "basin_outlet" && l.Statistic == "average monthly" {
			line = l
		}
	}
	truth, err := simulate.Run(simulate.DemoConfig(examples.DemoSeed))
	require.NoError(t, err)
	var day, n [32]float64
	for i := range truth.N {
		if at := truth.Time(i); at.Month() == time.March {
			day[at.Day()] += truth.Truth.FlowMGD[i]
			n[at.Day()]++
		}
	}
	sum, days := 0.0, 0.0
	for d := 1; d <= 31; d++ {
		if d < 5 || d > 8 {
			sum += day[d] / n[d]
			days++
		}
	}
	require.InDelta(t, sum/days, line.Value, 0.02*sum/days)
	require.InDelta(t, 1-72.0/743, line.Cover, 0.01, "72 h of the 743 of this March")
	require.Equal(t, []string{"FIT-501"}, r.Month.AtFault)
	require.Contains(t, strings.Join(r.Month.Remarks, " "), "FIT-501, 5 March")
	require.Contains(t, strings.Join(line.Remarks, " "), "5 to 8 March 2026")
}
