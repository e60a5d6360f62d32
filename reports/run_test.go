package reports

import (
	"bytes"
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/examples"
	"weirbook/examples/ready"
)

// exampleInput is an example's plant and exports, ready to be analysed.
func exampleInput(files []examples.File, err error) (analysis.Input, error) {
	if err != nil {
		return analysis.Input{}, err
	}
	texts, err := ready.Write(files)
	if err != nil {
		return analysis.Input{}, err
	}
	return ready.Input(texts, nil)
}

// demoRun analyses the demo month from its exports, in the order given.
func demoRun(reverse bool) (*analysis.Result, error) {
	in, err := exampleInput(examples.Demo(examples.DemoSeed))
	if err != nil {
		return nil, err
	}
	if reverse {
		slices.Reverse(in.Files)
	}
	return analysis.Run(context.Background(), in)
}

var demo = sync.OnceValues(func() ([]Output, error) {
	r, err := demoRun(false)
	if err != nil {
		return nil, err
	}
	return runFiles(r, "test", nil)
})

func output(t *testing.T, outs []Output, name string) []byte {
	t.Helper()
	for _, o := range outs {
		if o.Name == name {
			return o.Data
		}
	}
	require.Fail(t, "no file "+name)
	return nil
}

// TestSameBytes: the same exports give the same files, whatever their order and
// the number of cores.
func TestSameBytes(t *testing.T) {
	if testing.Short() {
		t.Skip("two whole runs; the tests without -short have it")
	}
	once, err := demo()
	require.NoError(t, err)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	r, err := demoRun(true)
	require.NoError(t, err)
	again, err := runFiles(r, "test", nil)
	require.NoError(t, err)
	require.Equal(t, len(once), len(again))
	for i := range once {
		require.Equal(t, once[i].Name, again[i].Name)
		require.True(t, bytes.Equal(once[i].Data, again[i].Data), "%s differs", once[i].Name)
	}
}

// TestRunLeavesItsFiles writes the folder and looks for what people rely on.
func TestRunLeavesItsFiles(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole run; the tests without -short have it")
	}
	r, err := demoRun(false)
	require.NoError(t, err)
	dir := filepath.Join(t.TempDir(), "out")
	require.NoError(t, WriteRun(dir, r, "test", "run", nil))
	for _, f := range []string{"report.html", "report.md", "hourly.csv", "daily.csv", "findings.csv", "findings.json", "readings.csv", "set-aside.csv", "run.json", "charts/timeline-contact-basin.png"} {
		st, err := os.Stat(filepath.Join(dir, filepath.FromSlash(f)))
		require.NoError(t, err, f)
		require.Positive(t, st.Size(), f)
	}
	require.NoError(t, WriteRun(dir, r, "test", "run", nil), "a run replaces its own folder")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "findings.csv"), []byte("my notes"), 0o644))
	require.Error(t, WriteRun(dir, r, "test", "run", nil), "a changed file is not the tool's to delete")
}

// TestHourlyCSV: RFC 3339 starts with the plant's offset, one row an hour, no
// hour twice over the clock change, and units in the names.
func TestHourlyCSV(t *testing.T) {
	outs, err := demo()
	require.NoError(t, err)
	rows, err := csv.NewReader(bytes.NewReader(output(t, outs, "hourly.csv"))).ReadAll()
	require.NoError(t, err)
	require.Equal(t, "hour_start", rows[0][0])
	require.Contains(t, rows[0], "contact_basin.ct_min_mg_min_per_l")
	require.Contains(t, rows[0], "basin_outlet.flow_mgd")
	require.Contains(t, rows[0], "basin_outlet.flow_coverage")
	var last time.Time
	for i, row := range rows[1:] {
		at, err := time.Parse(time.RFC3339, row[0])
		require.NoError(t, err)
		if i > 0 {
			require.Equal(t, time.Hour, at.Sub(last), "after %s", last)
		}
		last = at
	}
	// 33 local days, one of them of 23 hours (US rule, 15 USC 260a).
	require.Len(t, rows[1:], 33*24-1)
	days, err := csv.NewReader(bytes.NewReader(output(t, outs, "daily.csv"))).ReadAll()
	require.NoError(t, err)
	require.Len(t, days[1:], 33)
	require.Equal(t, "2026-03-08T00:00:00-07:00", days[9][0], "the day of the change begins on standard time")
	require.Equal(t, "2026-03-09T00:00:00-06:00", days[10][0])
}

// TestReportsKeepToAdvice: no report says that anything complies or is safe to
// do, none names a path of the machine, and the cautions stand in it.
func TestReportsKeepToAdvice(t *testing.T) {
	outs, err := demo()
	require.NoError(t, err)
	for _, name := range []string{"report.md", "report.html", "findings.csv"} {
		text := strings.ToLower(string(output(t, outs, name)))
		for _, bad := range []string{"complian", "complies", "safe to", "you may ", "/home/", "/tmp/"} {
			require.NotContains(t, text, bad, name)
		}
	}
	md := string(output(t, outs, "report.md"))
	for _, word := range []string{"Lock out and tag out", "licensed operators", "permit", "Protective equipment", "ventilation"} {
		require.Regexp(t, regexp.MustCompile("(?i)"+regexp.QuoteMeta(word)), md)
	}
	require.Contains(t, md, "## Verdict")
	require.Less(t, strings.Index(md, "## Verdict"), strings.Index(md, "## What needs attention"))
}
