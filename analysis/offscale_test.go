package analysis_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/contact"
	"weirbook/analysis/discharge"
)

// An instrument at the end of its span says "at least". Worked by hand: 50,000 gal count,
// so that at 2 MGD water stays 36 min and at 5 MGD 14.4 min; lb/d = MGD x mg/L x 8.34. From
// six on the 12th the meter stands at its end, 5 MGD, with 1.5 mg/L: CT is at most 21.6
// where 20 is asked, which is no proof, and the load at least 62.55 lb/d.
func TestOffScaleIsABound(t *testing.T) {
	const toml = `name = "Curlew Bend"
time_zone = "America/Chicago"
[[point]]
name = "outlet"
[[basin]]
name = "basin"
outlet = "outlet"
flow_at = "outlet"
volume = "100,000 gal"
baffling_factor = 0.5
[basin.require]
ct = "%s mg·min/L"
residual = "chlorine_total"
judged_by = "dynamic"
`
	const tags = "tag,measures,at,unit,reading,low,high\nFIT,flow,outlet,MGD,continuous,0,5\nAIT,chlorine_total,outlet,mg/L,continuous,0,2\n"
	run := func(ct string, of func(time.Time) (flow, residual float64)) *analysis.Result {
		signals := every("time,FIT,AIT", 11, 14, func(at time.Time, ripple float64) []float64 {
			flow, residual := of(at)
			return []float64{min(flow+ripple, 5), min(residual+0.3*ripple, 2)}
		})
		r, err := analysis.Run(t.Context(), texts{"a.csv": signals}.input(t, fmt.Sprintf(toml, ct), tags))
		require.NoError(t, err)
		return r
	}
	column := func(r *analysis.Result, name string) analysis.Column {
		c, ok := r.Hourly.Column(name)
		require.True(t, ok, name)
		return c
	}
	const before, during = 24, 24 + 12 // hours: 12 April 00:00, and 12:00

	r := run("20", func(at time.Time) (float64, float64) {
		if at.Day() == 12 && at.Hour() >= 6 {
			return 6, 1.5
		}
		return 2, 1.5
	})
	h := r.Basins[0].Hours
	require.Equal(t, contact.Met, h[before].Verdict)
	require.Equal(t, contact.NotDetermined, h[during].Verdict)
	require.Equal(t, "FIT stood at the end of its scale", h[during].Why)
	ct, load, flow := column(r, "basin.ct_min"), column(r, "outlet.chlorine_total_load"), column(r, "outlet.flow")
	require.InDelta(t, 21.6, ct.Values[during], 0.1)
	require.Equal(t, discharge.Less, ct.Sign(during))
	require.InDelta(t, 62.55, load.Values[during], 0.3)
	require.Equal(t, discharge.Greater, load.Sign(during))
	require.Equal(t, discharge.Greater, flow.Sign(during))
	require.Equal(t, discharge.Exact, flow.Sign(before))

	// The analyser at its end, 2 mg/L, at 4 MGD: 18 min, CT at least 36 where 40 is asked.
	// Whether it was short cannot be told; where 30 is asked it was met, if not more.
	high := func(at time.Time) (float64, float64) {
		if at.Day() == 12 && at.Hour() >= 6 {
			return 4, 2.2
		}
		return 2, 1.5
	}
	r = run("40", high)
	require.Equal(t, contact.NotDetermined, r.Basins[0].Hours[during].Verdict)
	require.Equal(t, "AIT stood at the end of its scale", r.Basins[0].Hours[during].Why)
	require.InDelta(t, 36, column(r, "basin.ct_min").Values[during], 0.2)
	require.Equal(t, discharge.Greater, column(r, "basin.ct_min").Sign(during))
	require.NotEqual(t, contact.NotDetermined, run("30", high).Basins[0].Hours[during].Verdict)
}
