package analysis_test

import (
	"context"
	"fmt"
	"io"
	"math"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/finding"
	"weirbook/analysis/plant"
	"weirbook/examples"
	"weirbook/examples/ready"
)

const recordPlant = `name = "Stray"
time_zone = "UTC"
[[basin]]
name = "basin"
outlet = "out"
flow_at = "out"
volume = "60000 gal"
baffling_factor = 0.6
[basin.require]
ct = "30 mg·min/L"
`

// daysOf is an export of minutes from a day on, and rows besides.
func daysOf(first string, days int, rows ...string) string {
	var b strings.Builder
	b.WriteString("time,tag,value\n")
	for _, r := range rows {
		b.WriteString(r + "\n")
	}
	start, err := time.Parse("2006-01-02", first)
	if err != nil {
		panic(err)
	}
	for m := range days * 1440 {
		at := start.Add(time.Duration(m) * time.Minute).Format("2006-01-02T15:04:05Z")
		wave := math.Sin(float64(m) / 300)
		fmt.Fprintf(&b, "%[1]s,Q,%.3[2]f\n%[1]s,CL,%.3[3]f\n%[1]s,ORP,%.0[4]f\n", at, 2-wave/2, 2+wave/2, 600+30*wave)
	}
	return b.String()
}

func runText(t *testing.T, from, to string, texts ...string) (*analysis.Result, error) {
	t.Helper()
	p, err := plant.Load("plant.toml", strings.NewReader(recordPlant), "tags.csv",
		strings.NewReader("tag,measures,at,unit,reading\nQ,flow,out,MGD,continuous\nCL,chlorine_total,out,mg/L,continuous\nORP,orp,out,mV,continuous\n"))
	require.NoError(t, err)
	in := analysis.Input{Plant: p}
	for i, text := range texts {
		in.Files = append(in.Files, export.File{Name: fmt.Sprintf("%d.csv", i), Size: int64(len(text)),
			Open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(text)), nil }})
	}
	for _, x := range []struct {
		word string
		into *int64
	}{{from, &in.From}, {to, &in.To}} {
		if x.word != "" {
			at, err := plant.ParseTime(x.word, time.UTC)
			require.NoError(t, err)
			*x.into = at.UnixMilli()
		}
	}
	return analysis.Run(context.Background(), in)
}

// TestStrayDatesCostNothing gives five days and one row of a logger that was reset,
// or is ahead. Such a row had the minutes of all years between laid out.
func TestStrayDatesCostNothing(t *testing.T) {
	for _, stray := range []string{"2010-01-01T00:00:00Z,Q,1", "2025-02-27T00:00:00Z,Q,1", "2038-01-19T03:14:07Z,Q,1"} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		start := time.Now()
		r, err := runText(t, "", "", daysOf("2026-03-01", 5, stray))
		require.NoError(t, err, stray)
		runtime.ReadMemStats(&after)
		require.Len(t, r.Hours, 120, stray)
		require.Less(t, r.Grid.N, 6*1440, stray)
		require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(300<<20), stray)
		require.Less(t, time.Since(start), 20*time.Second, stray)
	}
}

// TestAPeriodTakesWhatLiesApart asks for the day of the stray row.
func TestAPeriodTakesWhatLiesApart(t *testing.T) {
	r, err := runText(t, "2010-01-01", "2010-01-02", daysOf("2026-03-01", 2, "2010-01-01T00:00:00Z,Q,1", "2010-01-01T00:10:00Z,Q,1"))
	require.NoError(t, err)
	require.Len(t, r.Hours, 24)
	require.Less(t, r.Grid.N, 1440)
}

// TestTwoRecordsAreAskedAbout gives as much of 2016 as of 2026.
func TestTwoRecordsAreAskedAbout(t *testing.T) {
	_, err := runText(t, "", "", daysOf("2016-03-01", 2), daysOf("2026-03-01", 3))
	require.ErrorContains(t, err, "2026-03-01 00:00 to 2026-03-03 23:59, and 2016-03-01 00:00 to 2016-03-02 23:59; name the one that is meant with --from and --to")
	r, err := runText(t, "2016-03-01", "2016-03-03", daysOf("2016-03-01", 2), daysOf("2026-03-01", 3))
	require.NoError(t, err)
	require.Len(t, r.Hours, 48)
}

// TestGapsWithinARecordAreGaps: a record with a week's hole is one record.
func TestGapsWithinARecordAreGaps(t *testing.T) {
	r, err := runText(t, "", "", daysOf("2026-03-01", 8), daysOf("2026-03-15", 1))
	require.NoError(t, err)
	require.Len(t, r.Hours, 15*24)
}

// TestNothingAfterThePeriodHasASay judges the demo's first three weeks alone, and
// as the period asked for of the whole month with readings from after it.
func TestNothingAfterThePeriodHasASay(t *testing.T) {
	if testing.Short() {
		t.Skip("two runs of a month; the tests without -short have it")
	}
	files, err := examples.Demo(examples.DemoSeed)
	require.NoError(t, err)
	texts, err := ready.Write(files)
	require.NoError(t, err)
	judge := func(cut bool) []finding.Finding {
		in, err := ready.Input(texts, nil)
		require.NoError(t, err)
		to := time.Date(2026, 3, 21, 0, 0, 0, 0, in.Plant.Zone)
		in.To = to.UnixMilli()
		if cut {
			for i, f := range in.Files {
				in.Files[i] = linesBefore(t, f, to.Add(12*time.Hour).Format("2006-01-02 15:04"))
			}
		}
		r, err := analysis.Run(context.Background(), in)
		require.NoError(t, err)
		return r.Findings
	}
	require.Equal(t, judge(true), judge(false))
}

// linesBefore keeps an export's heading and the rows whose text, read as a time of
// day after day, comes before a moment.
func linesBefore(t *testing.T, f export.File, moment string) export.File {
	t.Helper()
	r, err := f.Open()
	require.NoError(t, err)
	text, err := io.ReadAll(r)
	require.NoError(t, err)
	var kept strings.Builder
	for _, l := range strings.SplitAfter(string(text), "\n") {
		if !strings.HasPrefix(l, "20") || l[:min(len(moment), len(l))] < moment {
			kept.WriteString(l)
		}
	}
	return export.File{Name: f.Name, Size: int64(kept.Len()), Open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(kept.String())), nil }}
}
