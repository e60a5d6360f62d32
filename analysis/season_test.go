package analysis_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
)

// A limit of a season is none outside of it, also in the run: a residual of 1.5 mg/L and
// an E. coli of 900 in April break limits that hold from April on, and none that begin in
// May.
func TestSeasonOfALimitInARun(t *testing.T) {
	const toml = `name = "Curlew Bend"
time_zone = "America/Chicago"
[[point]]
name = "outlet"
[[point]]
name = "final"
outfall = true
flow_at = "outlet"
[[basin]]
name = "basin"
outlet = "outlet"
flow_at = "outlet"
volume = "100,000 gal"
baffling_factor = 0.5
[[limit]]
parameter = "chlorine_total"
at = "final"
statistic = "instantaneous maximum"
value = 1.0
season = "SEASON"
[[limit]]
parameter = "e_coli"
at = "final"
statistic = "instantaneous maximum"
value = 410
season = "SEASON"
`
	const tags = "tag,measures,at,unit,reading\nFIT,flow,outlet,MGD,continuous\nAIT,chlorine_total,outlet,mg/L,continuous\nOUT,chlorine_total,final,mg/L,continuous\nEC,e_coli,final,MPN/100 mL,grab\n"
	upsets := func(season string) int {
		signals := every("time,FIT,AIT,OUT", 11, 13, func(_ time.Time, ripple float64) []float64 { return []float64{2 + ripple, 2 + ripple, 1.5 + ripple} })
		r, err := analysis.Run(t.Context(), texts{"a.csv": signals, "lab.csv": "Date,EC\n2026-04-11 09:00,900\n2026-04-12 09:00,20\n"}.input(t, strings.ReplaceAll(toml, "SEASON", season), tags))
		require.NoError(t, err)
		return len(r.Upsets)
	}
	require.Positive(t, upsets("04-01..10-31"))
	require.Zero(t, upsets("05-01..10-31"))
}
