package reports

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/align"
	"weirbook/analysis/finding"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/reports/table"
)

func TestKindsReadAsPeopleWriteThem(t *testing.T) {
	for kind, want := range map[string]string{
		"orp-drift": "ORP drift", "ct-short": "CT short", "e-coli-high": "E. coli high", "ammonia-breakthrough": "ammonia breakthrough",
	} {
		require.Equal(t, want, kindName(kind))
	}
	require.Equal(t, "A, B and C", inWords([]string{"A", "B", "C"}))
	require.Equal(t, "A", inWords([]string{"A"}))
	require.Equal(t, "15 min", span("15m0s"))
	require.Equal(t, "4 h", span("4h0m0s"))
	require.Equal(t, "0.75", span("0.75"))
	require.Equal(t, "0", span("0"))
}

// TestEvidenceIsToldOnce: what the table of witnesses says is not said again.
func TestEvidenceIsToldOnce(t *testing.T) {
	f := finding.Finding{Evidence: []string{"mass balance: dose rose by 2 mg/L.", "The alarm would have come at 06:40."},
		Votes: []finding.Vote{{Witness: "mass balance", Says: "dose rose by 2 mg/L."}}}
	require.Equal(t, []string{"The alarm would have come at 06:40."}, untold(f))
}

// TestMonthsOfALongPeriod: sums, lowest and means by hand, over a month's end.
func TestMonthsOfALongPeriod(t *testing.T) {
	day := func(m time.Month, d int) int64 { return time.Date(2026, m, d, 0, 0, 0, 0, time.UTC).UnixMilli() }
	r := &analysis.Result{Frame: &analysis.Frame{Plant: &plant.Plant{Zone: time.UTC}}}
	unit := quantity.MustUnit
	used := analysis.Column{Kind: analysis.ChlorineUsed, Unit: unit("lb"), Values: []float64{100, 50, 70}}
	ct := analysis.Column{Kind: analysis.CTLeast, Unit: unit("mg·min/L"), Values: []float64{40, 30, 60}}
	dose := analysis.Column{Kind: analysis.Dose, Unit: unit("mg/L"), Values: []float64{4, 5, math.NaN()}}
	for _, at := range []int64{day(3, 30), day(3, 31), day(4, 1)} {
		r.Daily.Windows = append(r.Daily.Windows, align.Window{Start: at, End: at + 24*3600_000})
	}
	got := monthlyTable(r, "by month", []analysis.Column{used, ct, dose})
	require.Len(t, got.Rows, 2)
	require.Equal(t, []string{"Mar 2026", "2", "150.0", "30.0", "4.50"}, words(got.Rows[0]))
	require.Equal(t, []string{"Apr 2026", "1", "70.00", "60.0", "n.d."}, words(got.Rows[1]))
}

func words(cells []table.Cell) []string {
	var out []string
	for _, c := range cells {
		out = append(out, c.String())
	}
	return out
}
