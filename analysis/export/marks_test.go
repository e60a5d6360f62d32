package export

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/record"
)

// The first thousand rows hold numbers that fit either decimal mark, or none at
// all; one row near the end tells. Every value was written with a decimal comma.
func TestDecimalMarkDecidedLate(t *testing.T) {
	for name, c := range map[string]struct {
		first, last string
		v, end      float64
		asks        bool
	}{
		"three places, then one":   {"2,386", "12,5", 2.386, 12.5, false},
		"points between thousands": {"2.386", "12,5", 2386, 12.5, false},
		"whole, then one place":    {"645", "12,5", 645, 12.5, false},
		"whole, then three":        {"645", "2,386", 645, 2.386, true},
		"both marks at last":       {"2,386", "1.002,25", 2.386, 1002.25, false},
	} {
		for _, wide := range []bool{false, true} {
			for _, block := range []int{0, 4000} {
				t.Run(fmt.Sprintf("%s, wide %v, blocks of %d", name, wide, block), func(t *testing.T) {
					var b strings.Builder
					if b.WriteString("time;tag;value\n"); wide {
						b.Reset()
						b.WriteString("time;A;B\n")
					}
					for i := range 1000 {
						v := c.first
						if i == 990 {
							v = c.last
						}
						at := fmt.Sprintf("2026-03-25 %02d:%02d", i/60, i%60)
						if wide {
							fmt.Fprintf(&b, "%s;%s;\n", at, v)
						} else {
							fmt.Fprintf(&b, "%s;A;%s\n", at, v)
						}
					}
					r, err := Read(context.Background(), []record.File{memFile("late.csv", []byte(b.String()))}, Options{BlockSize: block})
					require.NoError(t, err)
					s := r.Series["A"]
					require.Equal(t, 1000, s.Len())
					require.Equal(t, c.v, s.V[0])
					require.Equal(t, c.end, s.V[990])
					require.Contains(t, r.Files[0].Format, "decimal comma")
					asked := false
					for _, m := range r.Messages {
						asked = asked || strings.Contains(m.Text, "Write decimal =")
					}
					require.Equal(t, c.asks, asked)
				})
			}
		}
	}
}

// A file with points alone stays one with decimal points, read on the paths for
// plain rows.
func TestDecimalPointIsSettled(t *testing.T) {
	for _, text := range []string{
		"time;A\n2026-03-25 06:00;2.5\n2026-03-25 06:01;2.386\n",
		"time,A\n2026-03-25 06:00,2.386\n2026-03-25 06:01,2.391\n",
		"time;A\n2026-03-25 06:00;1234.386\n2026-03-25 06:01;2.391\n",
	} {
		f, err := layout.Sniff([]byte(text), true, nil)
		require.NoError(t, err)
		require.True(t, f.DecSure)
		require.False(t, f.Weigh)
		require.Equal(t, byte('.'), f.Dec)
	}
}
