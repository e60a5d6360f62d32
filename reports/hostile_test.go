package reports

import (
	"context"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/plant"
)

// textFile is an export held in memory.
func textFile(name, text string) export.File {
	return export.File{Name: name, Size: int64(len(text)), Open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(text)), nil }}
}

// lookAlikes is a plant whose basins, points and tags differ by a sign or a capital,
// and one name of 300 letters.
func lookAlikes(t *testing.T) *analysis.Result {
	t.Helper()
	long := strings.Repeat("Ö", 300)
	var toml, tags, rows strings.Builder
	toml.WriteString("name = \"Twin Alder\"\ntime_zone = \"UTC\"\n")
	tags.WriteString("tag,measures,at,unit,reading\n")
	rows.WriteString("time,tag,value\n")
	names := []string{"ORP_1", "ORP-1", "orp-1", "PLC1.ORP", "PLC1-ORP", long, long + "2"}
	for _, n := range names {
		fmt.Fprintf(&toml, "[[basin]]\nname = %q\noutlet = %q\nflow_at = %q\nvolume = \"60000 gal\"\nbaffling_factor = 0.6\n[basin.require]\nct = \"30 mg·min/L\"\n", n, n+" out", n+" out")
		fmt.Fprintf(&tags, "%[1]s,orp,%[1]s out,mV,continuous\n%[1]s Cl,chlorine_total,%[1]s out,mg/L,continuous\n%[1]s Q,flow,%[1]s out,MGD,continuous\n", n)
		start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
		for m := range 3 * 288 {
			at := start.Add(time.Duration(m) * 5 * time.Minute).Format("2006-01-02T15:04:05Z")
			wave := math.Sin(float64(m) / 40)
			fmt.Fprintf(&rows, "%[1]s,%[2]s,%.0[3]f\n%[1]s,%[2]s Cl,%.2[4]f\n%[1]s,%[2]s Q,%.2[5]f\n", at, n, 600+30*wave, 2+wave/2, 2-wave/2)
		}
	}
	p, err := plant.Load("plant.toml", strings.NewReader(toml.String()), "tags.csv", strings.NewReader(tags.String()))
	require.NoError(t, err)
	r, err := analysis.Run(context.Background(), analysis.Input{Plant: p, Files: []export.File{textFile("a.csv", rows.String())}})
	require.NoError(t, err)
	return r
}

func TestLookAlikeAndLongNamesHaveChartsOfTheirOwn(t *testing.T) {
	if testing.Short() {
		t.Skip("draws many charts; the tests without -short have it")
	}
	dir := filepath.Join(t.TempDir(), "out")
	require.NoError(t, WriteRun(dir, lookAlikes(t), "test", "run", nil))
	timelines := map[string]bool{}
	for name := range tree(t, dir) {
		require.LessOrEqual(t, len(filepath.Base(name)), 150)
		if strings.HasPrefix(name, "charts/timeline-") {
			timelines[strings.ToLower(name)] = true
		}
	}
	require.Len(t, timelines, 7)
}
