package align_test

import (
	"encoding/binary"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/series"
)

// Whatever the readings: coverage lies within 0…1, a mean within the extremes,
// a constant stays itself, minutes agree with Over, and all is what the slow
// reference says.
func FuzzOver(f *testing.F) {
	f.Add([]byte("readings at odd times with odd flags and gaps"), uint8(0), uint16(900))
	f.Fuzz(func(t *testing.T, b []byte, reading uint8, gap uint16) {
		s := &series.Series{Tag: "x"}
		at := int64(0)
		for i := 0; i+4 <= len(b); i += 4 {
			at += 1 + int64(binary.LittleEndian.Uint16(b[i:]))*3
			v := float64(int8(b[i+2]))
			if b[i+3] == 255 {
				v = math.NaN()
			}
			s.Append(at, v, series.Flag(b[i+3])&(series.Bad|series.Uncertain|series.Spike))
		}
		r := align.Rule{Reading: series.Reading(reading % 6), MaxGap: time.Duration(gap) * time.Second, AtBad: align.AtBad(reading / 6 % 3)}
		g := align.Grid{Start: 0, N: 200}
		col := align.Minutes(s, r, g)
		var ws []align.Window
		for i := range g.N {
			ws = append(ws, align.Window{Start: g.Milli(i), End: g.Milli(i + 1)})
		}
		ps := parts(s, r)
		// The slow way through the first of them, and through some longer ones.
		long := append(ws[:20:20], align.Window{Start: 0, End: at}, align.Window{Start: at / 3, End: at}, align.Window{Start: at / 4, End: at / 2})
		for i, st := range align.Over(s, r, long) {
			sameStat(t, slowOver(s, r, ps, long[i]), st, "of a window")
		}
		for i, j := range align.Product(s, s, r, r, long) {
			sameJoint(t, slowProduct(ps, ps, long[i]), j, "of a window")
		}
		for i, st := range align.Over(s, r, ws) {
			require.True(t, st.Cover >= 0 && st.Cover <= 1)
			require.True(t, st.Uncertain <= st.Cover && st.Bridged <= st.Cover)
			if !math.IsNaN(st.Mean) {
				require.True(t, st.Min <= st.Mean && st.Mean <= st.Max)
			}
			if st.Cover >= align.MinuteCover {
				require.InDelta(t, st.Mean, col[i], 1e-9)
			} else {
				require.True(t, math.IsNaN(col[i]))
			}
		}
		for _, j := range align.Product(s, s, r, r, ws[:20]) {
			require.True(t, j.Cover >= 0 && j.Cover <= 1)
			if j.Cover > 0 {
				require.GreaterOrEqual(t, j.Mean, j.A*j.B-1e-9, "the mean of squares is never below the square of the mean")
			}
		}
	})
}
