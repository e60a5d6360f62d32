package analysis_test

import (
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/plant"
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
		var b strings.Builder
		b.WriteString("time,FIT,AIT,OUT\n")
		for at := time.Date(2026, 4, 11, 0, 0, 0, 0, time.UTC); at.Day() < 13; at = at.Add(5 * time.Minute) {
			ripple := 0.01 * math.Sin(float64(at.Unix()-1775000000)/1700)
			fmt.Fprintf(&b, "%s,%.4f,%.4f,%.4f\n", at.Format("2006-01-02 15:04"), 2+ripple, 2+ripple, 1.5+ripple)
		}
		p, err := plant.Load("plant.toml", strings.NewReader(strings.ReplaceAll(toml, "SEASON", season)), "tags.csv", strings.NewReader(tags))
		require.NoError(t, err)
		var files []export.File
		for name, text := range map[string]string{"a.csv": b.String(), "lab.csv": "Date,EC\n2026-04-11 09:00,900\n2026-04-12 09:00,20\n"} {
			files = append(files, export.File{Name: name, Size: int64(len(text)), Open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(text)), nil }})
		}
		r, err := analysis.Run(t.Context(), analysis.Input{Plant: p, Files: files})
		require.NoError(t, err)
		return len(r.Upsets)
	}
	require.Positive(t, upsets("04-01..10-31"))
	require.Zero(t, upsets("05-01..10-31"))
}
