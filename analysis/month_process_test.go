package analysis_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/discharge"
)

// Days of operation worked by hand. The basin holds 100,000 gal, half of which counts:
// at 2 MGD water stays 50,000 ÷ (2,000,000 ÷ 1440) = 36 min, and with 1.5 mg/L its CT is
// 54 mg·min/L. On the 11th the flow is 2 MGD to noon and 3 MGD after it: 24 min and 36
// mg·min/L at the least. On the 12th the meter stands at the end of its span, 5 MGD, from six on:
// 14.4 min and 21.6 mg·min/L, and less than that. (Volume ÷ flow; CT as 40 CFR 141.2
// has it.)
func TestOperationDayByDay(t *testing.T) {
	const toml = `name = "Curlew Bend"
time_zone = "America/Chicago"
[[point]]
name = "outlet"
outfall = true
[[basin]]
name = "basin"
outlet = "outlet"
flow_at = "outlet"
volume = "100,000 gal"
baffling_factor = 0.5
`
	const tags = "tag,measures,at,unit,reading,low,high\nFIT,flow,outlet,MGD,continuous,0,5\nAIT,chlorine_total,outlet,mg/L,continuous,0,5\nPH,ph,outlet,,continuous,0,14\n"
	signals := every("time,FIT,AIT,PH", 9, 13, func(at time.Time, ripple float64) []float64 {
		flow := 2.0
		switch {
		case at.Day() == 12 && at.Hour() >= 6:
			flow = 5
		case at.Day() == 11 && at.Hour() >= 12:
			flow = 3
		}
		return []float64{min(flow+ripple, 5), 1.5 + 0.3*ripple, 7 + float64(at.Hour())/100}
	})
	r, err := first(analysis.Months(t.Context(), texts{"a.csv": signals}.input(t, toml, tags), time.Date(2026, time.April, 1, 0, 0, 0, 0, time.UTC), 1))
	require.NoError(t, err)
	of := map[string]discharge.Process{}
	for _, x := range r.Month.Process {
		require.Len(t, x.Days, 30)
		of[x.Key] = x
	}
	flow, ct, contact, ph := of["outlet.flow"].Days, of["basin.ct"].Days, of["basin.contact_time"].Days, of["outlet.ph"].Days
	require.InDelta(t, 36, contact[9].Min, 0.3)
	require.InDelta(t, 54, ct[9].Min, 0.5)
	require.InDelta(t, 24, contact[10].Min, 0.2)
	require.InDelta(t, 36, ct[10].Min, 0.3)
	require.Equal(t, discharge.Exact, ct[10].Value.Sign)
	require.InDelta(t, 2, flow[10].Min, 0.011)
	require.InDelta(t, 3, flow[10].Max, 0.011)
	require.InDelta(t, 2.5, flow[10].Value.V, 0.011)
	require.InDelta(t, 14.4, contact[11].Min, 0.05)
	require.InDelta(t, 21.6, ct[11].Min, 0.15)
	require.Equal(t, discharge.Less, ct[11].Value.Sign, "the water may have gone through faster")
	require.Equal(t, discharge.Greater, flow[11].Value.Sign)
	require.Len(t, of["outlet.ph"].Parts(), 2, "a mean of pH says nothing")
	require.InDelta(t, 7.23, ph[9].Max, 1e-9)
	require.True(t, math.IsNaN(flow[3].Value.V), "nothing is known of the 4th")
}
