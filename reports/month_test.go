package reports

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/plant"
)

const monthPlant = `name = "Alder Ford"
time_zone = "America/Denver"
[[point]]
name = "outfall"
title = "Outfall 001"
outfall = true
[[limit]]
parameter = "tss"
at = "outfall"
statistic = "average monthly"
value = 30
frequency = "1/week"
source = "invented permit, part A"
[[limit]]
parameter = "tss"
at = "outfall"
statistic = "maximum weekly average"
value = 45
[[limit]]
parameter = "e_coli"
at = "outfall"
statistic = "geometric mean monthly"
value = 126
[[limit]]
parameter = "ammonia_n"
at = "outfall"
statistic = "maximum daily"
value = 2.0
[[source]]
name = "laboratory"
files = ["lab*.csv"]
time_column = "sampled"
tag_column = "tag"
value_column = "result"
`

const monthTags = `tag,measures,at,unit,reading,low,high,note
L-TSS,tss,outfall,mg/L,composite,,,
L-EC,e_coli,outfall,MPN/100mL,grab,,,
L-NH3,ammonia_n,outfall,mg/L,grab,,,
`

// monthOf makes a summary from laboratory rows alone.
func monthOf(t *testing.T, rows string) *analysis.MonthResult {
	t.Helper()
	p, err := plant.Load("plant.toml", strings.NewReader(monthPlant), "tags.csv", strings.NewReader(monthTags))
	require.NoError(t, err)
	data := "sampled,tag,result,unit,sample\n" + rows
	r, err := first(analysis.Months(context.Background(), analysis.Input{Plant: p, Files: []export.File{{Name: "lab.csv", Size: int64(len(data)),
		Open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(data)), nil }}}}, time.Date(2026, time.March, 1, 0, 0, 0, 0, time.UTC), 1))
	require.NoError(t, err)
	return r
}

func labYear() string {
	var b strings.Builder
	for m, v := range []float64{10, 20, 40} {
		for d := 2; d <= 28; d += 5 {
			fmt.Fprintf(&b, "2026-%02d-%02d 07:00,L-TSS,%g,mg/L,composite\n2026-%02d-%02d 09:00,L-EC,<1,MPN/100mL,grab\n", m+1, d, v, m+1, d)
		}
	}
	return b.String()
}

// The folder: what is in it, that it reads back, and that the same results give
// the same bytes.
func TestMonthFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	r := monthOf(t, labYear())
	require.NoError(t, WriteMonths(dir, []*analysis.MonthResult{r}, "test", nil))
	for _, name := range []string{"report.html", "report.md", "month.csv", "month-days.csv", "columns.csv", "month-2026-03.xlsx", "readings.csv", "set-aside.csv", "run.json",
		"charts/tss-outfall-composite.png", "charts/e-coli-outfall-grab.png", "charts/year-01-tss-average-monthly.png"} {
		st, err := os.Stat(filepath.Join(dir, name))
		require.NoError(t, err, name)
		require.Positive(t, st.Size(), name)
	}
	var j runJSON
	b, err := os.ReadFile(filepath.Join(dir, Marker))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(b, &j))
	require.Equal(t, "month", j.Command)
	require.Equal(t, 743, j.Counts.Hours, "March has a 23-hour day")
	require.Equal(t, j.Counts.Rows, j.Counts.Used+j.Counts.SetAside)
	a, err := monthFiles(r, "test", nil)
	require.NoError(t, err)
	again, err := monthFiles(monthOf(t, labYear()), "test", nil)
	require.NoError(t, err)
	require.Equal(t, len(a), len(again))
	for i := range a {
		require.Equal(t, a[i].Name, again[i].Name)
		require.True(t, bytes.Equal(a[i].Data, again[i].Data), a[i].Name)
		require.NotContains(t, strings.ToLower(string(a[i].Data)), "compliant", a[i].Name)
	}
}

// The month's CSV keeps the unrounded value beside the reported one, and a
// parameter without samples stays an empty field.
func TestMonthCSV(t *testing.T) {
	r := monthOf(t, labYear())
	data, err := monthCSV(r.Month)
	require.NoError(t, err)
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	require.NoError(t, err)
	col := map[string]int{}
	for i, h := range rows[0] {
		col[h] = i
	}
	get := func(n int, k string) string { return rows[n+1][col[k]] }
	require.Equal(t, []string{"40", "40", "above limit", "1"}, []string{get(0, "report"), get(0, "unrounded"), get(0, "result_against_limit"), get(0, "excursions")})
	require.Equal(t, "within limit", get(1, "result_against_limit"), "40 against 45 for a week")
	require.Equal(t, []string{"<1", "6", "6"}, []string{get(2, "report"), get(2, "values"), get(2, "below_limit")})
	require.Equal(t, []string{"", "", "not determined"}, []string{get(3, "report"), get(3, "unrounded"), get(3, "result_against_limit")})
	require.Contains(t, get(3, "remarks"), "No result of Ammonia as N at Outfall 001 in March 2026: L-NH3 is in no export")
	daily, err := monthDailyCSV(r.Month, r.Plant.Zone, r.Plant.Units)
	require.NoError(t, err)
	d, err := csv.NewReader(bytes.NewReader(daily)).ReadAll()
	require.NoError(t, err)
	require.Len(t, d, 1+35, "five weeks touch March 2026")
	require.Equal(t, []string{"2026-03-01T00:00:00-07:00", "2026-03-01T07:00:00Z", "24", "yes"}, d[1][:4])
	require.Equal(t, "23", d[8][2])
	require.Equal(t, "2026-03-09T00:00:00-06:00", d[9][0])
}

func TestMonthVerdictWords(t *testing.T) {
	v := MonthVerdict(monthOf(t, labYear()).Month)
	require.Len(t, v, 3)
	require.Equal(t, "In March 2026, 2 of 4 figures with a limit lie within it, 1 beyond it and for 1 there is no result.", v[0])
	require.Equal(t, "Beyond: Total suspended solids at Outfall 001, average monthly 40 mg/L against 30.", v[1])
	require.Contains(t, v[2], "responsible licensed operator decide")
}

// first is the first of several, or what came in their place.
func first[T any](xs []T, err error) (T, error) {
	if err != nil {
		var none T
		return none, err
	}
	return xs[0], nil
}
