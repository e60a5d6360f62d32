package reports

import (
	"context"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/plant"
)

const loadsToml = `name = "Small"
time_zone = "UTC"
[[point]]
name = "raw"
influent = true
flow_at = "out"
[[point]]
name = "out"
outfall = true
[[basin]]
name = "basin"
outlet = "out"
flow_at = "out"
volume = "75,000 gal"
baffling_factor = 0.5
[basin.require]
ct = "55 mg·min/L"
residual_min = "1 mg/L"
[[feed]]
name = "hypo"
chemical = "hypochlorite"
tag = "F"
basin = "basin"
strength = 12.0
strength_as = "trade percent"
price = 2.0
price_unit = "gal"
currency = "USD"
storage = "2,400 gal"
[[feed]]
name = "bisulfite"
chemical = "bisulfite"
tag = "B"
flow_at = "out"
strength = 400.0
strength_as = "g/L"
[[process]]
name = "clarifier"
flow_at = "out"
area = "5000 ft²"
design_average = { surface_overflow_rate = 500 }
`

const loadsTags = `tag,measures,at,unit,reading,low,high,note,accuracy
Q,flow,out,MGD,on-change,,,,2 %
C,chlorine_total,out,mg/L,on-change,,,,4 %
F,hypochlorite_feed,in,gal/h,on-change,,,,
B,bisulfite_feed,final,gal/h,on-change,,,,
NH,ammonia_n,secondary,mg/L,on-change,,,,
BOD-IN,bod5,raw,mg/L,composite,,,,
BOD-OUT,bod5,out,mg/L,composite,,,,
NH-LAB,ammonia_n,out,mg/L,grab,,,,
`

// loadsResult: a day of 2 MGD, 2 mg/L leaving, 5 gal/h of hypochlorite and 1 gal/h
// of bisulfite.
func loadsResult(t *testing.T, toml string) *analysis.Result {
	t.Helper()
	p, err := plant.Load("plant.toml", strings.NewReader(toml), "tags.csv", strings.NewReader(loadsTags))
	require.NoError(t, err)
	var b strings.Builder
	b.WriteString("time,tag,value\n")
	for m := range 1440 {
		at := time.Date(2026, 3, 2, 0, m, 0, 0, time.UTC).Format(time.RFC3339)
		for _, tv := range []string{"Q,2", "C,2", "F,5", "B,1", "NH,0.5"} {
			fmt.Fprintf(&b, "%s,%s\n", at, tv)
		}
	}
	b.WriteString("2026-03-03T00:00:00Z,BOD-IN,200\n2026-03-03T00:00:00Z,BOD-OUT,<4\n2026-03-02T12:00:00Z,NH-LAB,0.6\n")
	text := b.String()
	r, err := analysis.Run(context.Background(), analysis.Input{Plant: p, Files: []export.File{{Name: "all.csv", Size: int64(len(text)),
		Open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(text)), nil }}}})
	require.NoError(t, err)
	return r
}

// TestLoadTables reads the report's tables as a person would: every figure here
// was worked by hand from the plant above.
func TestLoadTables(t *testing.T) {
	r := loadsResult(t, loadsToml)
	var b strings.Builder
	for _, tab := range append(loadTables(r), verdictTable(r)) {
		require.NoError(t, tab.Check(), tab.Caption)
		require.NotEmpty(t, tab.Rows, tab.Caption)
		require.NoError(t, tab.WriteMarkdown(&b))
	}
	text := b.String()
	for _, line := range []string{
		// 120 gal of 1.0008 lb/gal in 2 MG: 120.1 lb, 60.05 lb/MG, 7.2 mg/L, 240 USD; 2400 ÷ 120 = 20 days.
		"| hypo | 120 | 120 | 60.0 | 7.20 | 240 USD | 2,400 | 20.0 | 100 |",
		// 24 gal of 3.336 lb/gal: 80.1 lb, 40.0 lb/MG, 4.8 mg/L; no price, no storage.
		"| bisulfite | 80.1 | 24.0 | 40.0 | 4.80 | no price | not known | not known | 100 |",
		"| hypo | demand of the water leaving | mg/L | 5.20 | 5.20 | 5.20 |",
		"| hypo | Cl2:N by weight |  | 14.4 | 14.4 | 14.4 |",
		"hours cannot be told: above 5:1 by the dose",
		// 2 × 1.468 and 2 × 1.61; 4.8 ÷ 2.
		"| bisulfite | 4.80 | 2.94 | 3.22 | 1.468 | 1.61 | 2.40 | 0 | 24 |",
		// 2 × 200 × 8.34 and 2 × 4 × 8.34.
		"| BOD5, raw | BOD-IN | 24-h composite | 1 | 200 | 200 | 3,336 | 3,336 | 3,336 |",
		"BOD-OUT: 1 result with",
		"| Ammonia as N, out | NH-LAB | grab | 1 | 0.600 | – | 10.0 | 10.0 | 10.0 |",
		"| BOD5 | raw | out | 1 | 3,336 | 66.7 | 98.0 | 200 | 4.00 | 98.0 |",
		// 2e6 ÷ 5000 = 400 gpd/ft², 80 % of 500.
		"| clarifier | Surface overflow rate | gpd/ft² | 400 | 500 | 80 | 400 | not stated | – |",
		// T10 = 0.5 × 54 = 27 min, CT 54 of 55 ± 4.47 %: 51.6 to 56.4.
		"| basin | everything required | **0** | **0** | **23** | **0** | **1** |",
		"|  | residual of 1 mg/L | 24 | 0 | 0 | 0 | 0 |",
	} {
		require.Contains(t, text, line)
	}
	csv, err := samplesCSV(r)
	require.NoError(t, err)
	require.Contains(t, string(csv), "2026-03-02T00:00:00Z,2026-03-03T00:00:00Z,BOD-OUT,bod5,out,24-h composite,<,4,2,")
	require.Contains(t, string(csv), "2026-03-02T12:00:00Z,2026-03-02T12:00:00Z,NH-LAB,ammonia_n,out,grab,,0.6,2,1,10.008,")
}

// A plant with nothing but a flow has no such tables, and no page breaks over it.
func TestLoadTablesOfAPlantWithoutAny(t *testing.T) {
	r := loadsResult(t, "name = \"Bare\"\ntime_zone = \"UTC\"\n")
	for _, tab := range loadTables(r) {
		require.NoError(t, tab.Check(), tab.Caption)
		if !strings.Contains(tab.Caption, "day by day") && !strings.Contains(tab.Caption, "samples") {
			require.Empty(t, tab.Rows, tab.Caption)
		}
	}
	require.Empty(t, verdictTable(r).Rows)
	files, err := runFiles(r, "test", nil)
	require.NoError(t, err)
	require.NotEmpty(t, files)
}
