package screen_test

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/quantity"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
)

// No series makes screening panic, change a value or talk of a non-number.
func FuzzScreen(f *testing.F) {
	f.Add([]byte("some bytes that become readings of one tag or another"), uint8(0), uint8(0))
	f.Add(make([]byte, 4000), uint8(3), uint8(1))
	f.Fuzz(func(t *testing.T, b []byte, kind, reading uint8) {
		kinds := quantity.Kinds()
		info, _ := quantity.Of(kinds[int(kind)%len(kinds)])
		s := &series.Series{Tag: "x"}
		at := int64(0)
		for i := 0; i+5 <= len(b); i += 5 {
			at += 1 + int64(binary.LittleEndian.Uint16(b[i:]))*7
			v := float64(int8(b[i+2])) * math.Pow(10, float64(int8(b[i+3])%4))
			if b[i+3] == 255 {
				v = math.NaN()
			}
			s.Append(at, v, series.Flag(b[i+4])&(series.Bad|series.Late|series.SuspectFill|series.Uncertain))
		}
		before := append([]float64(nil), s.V...)
		tg := screen.Tagged{Series: s, Kind: info.Kind, Reading: series.Reading(reading % 6), Declared: info.Working, Low: math.NaN(), High: math.NaN(), Typical: math.NaN()}
		set := screen.DefaultSettings()
		set.MinRuns = 3
		rep := screen.Screen([]screen.Tagged{tg}, set)
		require.NoError(t, rep.Apply([]screen.Tagged{tg}))
		for i := range before {
			require.Equal(t, math.Float64bits(before[i]), math.Float64bits(s.V[i]))
		}
		for _, m := range rep.Messages {
			require.NotContains(t, m.Text, "NaN")
			require.NotContains(t, m.Text, "Inf")
			require.NotEmpty(t, m.Next)
		}
	})
}
