package export

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// One file ends in the first pass of the hour that the clocks repeat (1 November 2026,
// New York: 05:00 to 06:00 UTC), the next begins with the second. Expected times: worked
// by hand.
func TestTwoFilesShareARepeatedHour(t *testing.T) {
	york, err := time.LoadLocation("America/New_York")
	require.NoError(t, err)
	first := "Time,A\n2026-11-01 00:30,1\n2026-11-01 01:00,2\n2026-11-01 01:30,3\n"
	second := "Time,A\n2026-11-01 01:00,4\n2026-11-01 01:30,5\n2026-11-01 02:00,6\n"
	at := func(h, m int) int64 { return time.Date(2026, 11, 1, h, m, 0, 0, time.UTC).UnixMilli() }
	for _, block := range []int{0, 7, 64} {
		r := readAll(t, Options{Zone: york, BlockSize: block}, memFile("1.csv", []byte(first)), memFile("2.csv", []byte(second)))
		require.Equal(t, []int64{at(4, 30), at(5, 0), at(5, 30), at(6, 0), at(6, 30), at(7, 0)}, r.Series["A"].T)
		require.Equal(t, []float64{1, 2, 3, 4, 5, 6}, r.Series["A"].V)
		require.Contains(t, allTexts(r), "is shared with 1.csv")
		// The same hour exported twice is no second pass.
		r = readAll(t, Options{Zone: york, BlockSize: block}, memFile("1.csv", []byte(first)), memFile("2.csv", []byte("Time,A\n2026-11-01 01:00,2\n2026-11-01 01:30,3\n2026-11-01 02:00,6\n")))
		require.Equal(t, []int64{at(4, 30), at(5, 0), at(5, 30), at(7, 0)}, r.Series["A"].T)
	}
}

func allTexts(r *Result) (s string) {
	for _, m := range r.Messages {
		s += m.Text + "\n"
	}
	return s
}
