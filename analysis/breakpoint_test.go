package analysis_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
)

// The place on the breakpoint curve, worked by hand. For three days there is no ammonia:
// of a dose of 5 mg/L (83.4 lb/d ÷ (2 MGD x 8.34)) 3.5 are left, 0.1 mg/L nitrite N took
// 0.506 (5.06 mg/mg), so that organics take 0.994. Then comes 0.5 mg/L ammonia N: by the
// whole dose 10:1, "where breakpoint is found in practice"; less what nitrite and organics
// take, 3.5 ÷ 0.5 = 7:1, past the hump (5.06:1 to 7.6:1, Weiner ch. 4). Without a
// nitrite signal it cannot be told.
func TestBreakpointLessOrganics(t *testing.T) {
	const toml = `name = "Curlew Bend"
time_zone = "America/Chicago"
[[point]]
name = "inlet"
[[basin]]
name = "basin"
inlet = "inlet"
outlet = "outlet"
flow_at = "outlet"
volume = "20,000 gal"
baffling_factor = 0.5
[[feed]]
name = "gas"
chemical = "chlorine"
tag = "WT"
basin = "basin"
`
	const tags = "tag,measures,at,unit,reading\nFIT,flow,outlet,MGD,continuous\nAIT,chlorine_total,outlet,mg/L,continuous\nWT,chlorine_feed,inlet,lb/d,continuous\nNH3,ammonia_n,inlet,mg/L,continuous\n"
	word := func(tags string) string {
		signals := every("time,FIT,AIT,WT,NH3,NO2", 11, 15, func(at time.Time, ripple float64) []float64 {
			nh3 := 0.0
			if at.Day() == 14 {
				nh3 = 0.5
			}
			return []float64{2 + ripple, 3.5 + ripple, 83.4 * (1 + ripple/2), nh3, 0.1}
		})
		r, err := analysis.Run(t.Context(), texts{"a.csv": signals}.input(t, toml, tags))
		require.NoError(t, err)
		return words(t, r, "gas.breakpoint_position", 3*24+12)
	}
	require.Equal(t, "past the peak of the breakpoint curve by the ratio: more chlorine may give less residual", word(tags+"NO2,nitrite_n,inlet,mg/L,continuous\n"))
	require.Contains(t, word(tags), "cannot be told")
}
