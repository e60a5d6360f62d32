package export

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/series"
)

// minutesOf is a file of one tag, a row a minute.
func minutesOf(n int, cell func(i int) string) string {
	var b strings.Builder
	b.WriteString("Time,A\n")
	at := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for i := range n {
		fmt.Fprintf(&b, "%s,%s\n", at.Add(time.Duration(i)*time.Minute).Format("2006-01-02 15:04"), cell(i))
	}
	return b.String()
}

// A number that stands for no value shows by standing apart; a usual one that stands
// among the readings is none.
func TestFillNumbersByHowTheyStand(t *testing.T) {
	wave := func(mid, high float64, decimals int) func(i int) string {
		return func(i int) string { return fmt.Sprintf("%.*f", decimals, mid+high*math.Sin(float64(i)/20)) }
	}
	every := func(n int, cell string, other func(i int) string) func(i int) string {
		return func(i int) string {
			if i%n == n-1 {
				return cell
			}
			return other(i)
		}
	}
	for _, c := range []struct {
		name    string
		cell    func(i int) string
		flagged int
		says    string
	}{
		{"nines", every(20, "999.9", wave(7, 0.5, 2)), 20, "999.9 stands 20 times, far above its other values"},
		{"one in five", every(5, "999.9", wave(7, 0.5, 2)), 80, "999.9 stands 80 times"},
		{"minus one", every(40, "-1", wave(650, 40, 0)), 10, "-1 stands 10 times, far below"},
		{"minus five of few", every(100, "-5", wave(650, 40, 0)), 4, "-5 stands 4 times, far below"},
		{"a count's end", every(50, "4095", wave(7, 0.5, 2)), 8, "4095 stands 8 times"},
		{"two of them", every(20, "999.9", every(25, "-1", wave(650, 30, 0))), 32, "-1 stands 12 times"},
		{"no fill's looks", every(50, "250", wave(3, 0.5, 2)), 0, "250 stands 8 times, far above its other values (most lie from 2.51 to 3.49): it is used as a reading"},
		{"9999 of 9000 to 11000", every(100, "9999", wave(10000, 900, 0)), 0, "9999, which systems write for no value, stands among its other values"},
		{"9999 apart", every(100, "9999", wave(7, 0.5, 2)), 4, ""},
		{"a storm", func(i int) string {
			return fmt.Sprintf("%.2f", 2+6*math.Exp(-math.Pow(float64(i-200)/12, 2)))
		}, 0, ""},
		{"a pump that stands", func(i int) string {
			if i%40 < 36 {
				return "0"
			}
			return fmt.Sprintf("%.1f", 11+float64(i%7)/10)
		}, 0, ""},
	} {
		r := readAll(t, Options{}, memFile("a.csv", []byte(minutesOf(400, c.cell))))
		n := 0
		for _, f := range r.Series["A"].F {
			if f&series.SuspectFill != 0 {
				n++
			}
		}
		require.Equal(t, c.flagged, n, c.name)
		require.Contains(t, allTexts(r), c.says, c.name)
		if c.says == "" {
			require.NotContains(t, allTexts(r), "fill_numbers", c.name)
		}
	}
}
