package reports

import (
	"bytes"
	"context"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/examples"
	"weirbook/examples/ready"
)

// tablesOf runs an example with its plant description changed and gives its CSV
// tables by name: rows of fields by heading.
func tablesOf(t *testing.T, change func(string) string) map[string][]map[string]string {
	t.Helper()
	files, err := examples.Demo(examples.DemoSeed)
	require.NoError(t, err)
	texts, err := ready.Write(files)
	require.NoError(t, err)
	in, err := ready.Input(texts, change)
	require.NoError(t, err)
	r, err := analysis.Run(context.Background(), in)
	require.NoError(t, err)
	out := map[string][]map[string]string{}
	for name, make := range map[string]func() ([]byte, error){
		"hourly":  func() ([]byte, error) { return seriesCSV(&r.Hourly, "hour_start", r.Plant) },
		"daily":   func() ([]byte, error) { return seriesCSV(&r.Daily, "day_start", r.Plant) },
		"samples": func() ([]byte, error) { return samplesCSV(r) },
	} {
		data, err := make()
		require.NoError(t, err)
		recs, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
		require.NoError(t, err)
		for _, rec := range recs[1:] {
			row := map[string]string{}
			for i, h := range recs[0] {
				require.NotContains(t, row, h, "every heading once")
				row[h] = rec[i]
			}
			out[name] = append(out[name], row)
		}
	}
	return out
}

// TestUSAndMetricFromOneComputation holds every figure of the metric tables
// against the US ones by exact factors (NIST SP 811: the gallon is 231 cubic
// inches, the pound 0.45359237 kg, the foot 0.3048 m). Masses and doses of the US
// tables use the trade's 8.34 lb per MG per mg/L, the metric ones the exact
// 8.345404: masses that come from flow times concentration differ by that, and so
// do doses, the other way, of feeds known by solution.
func TestUSAndMetricFromOneComputation(t *testing.T) {
	if testing.Short() {
		t.Skip("two whole runs; the tests without -short have it")
	}
	us := tablesOf(t, func(s string) string { return s })
	metric := tablesOf(t, func(s string) string { return strings.Replace(s, `units = "us"`, `units = "metric"`, 1) })
	const gal, lb = 3.785411784e-3, 0.45359237 // m³, kg
	const exact = 8.345404 / 8.34              // to the digits that the tables carry
	pairs := []struct {
		us, metric string
		factor     float64
	}{
		{"_mgd", "_m3_per_d", 1e6 * gal},
		{"_million_gal", "_m3", 1e6 * gal},
		{"_gal_per_h", "_l_per_h", 1e3 * gal},
		{"_gal", "_m3", gal},
		{"_lb_per_d", "_kg_per_d", lb * exact},
		{"_lb", "_kg", lb * exact},
	}
	seen := map[string]int{}
	for name, rows := range us {
		require.Len(t, metric[name], len(rows))
		for i, row := range rows {
			for head, v := range row {
				want, other := 1.0, head
				for _, p := range pairs {
					if strings.HasSuffix(head, p.us) {
						want, other = p.factor, strings.TrimSuffix(head, p.us)+p.metric
						seen[p.us]++
						break
					}
				}
				got, ok := metric[name][i][other]
				require.True(t, ok, "%s has no column %s for %s", name, other, head)
				a, errA := strconv.ParseFloat(v, 64)
				b, errB := strconv.ParseFloat(got, 64)
				if errA != nil || errB != nil {
					require.Equal(t, v, got, "%s row %d, %s", name, i, head)
					continue
				}
				require.InDelta(t, a*want, b, 2e-6*math.Abs(a*want)+1e-9, "%s row %d, %s", name, i, head)
			}
		}
	}
	for _, p := range pairs {
		require.Greater(t, seen[p.us], 20, p.us)
	}
}
