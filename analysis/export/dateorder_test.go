package export

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// nights is a file of quarter hours over two midnights, with dates as a layout writes them.
func nights(layout string, first time.Time) string {
	var b strings.Builder
	b.WriteString("Time,A\n")
	for i := range 10 {
		fmt.Fprintf(&b, "%s,%d\n", first.Add(time.Duration(i)*6*time.Hour/4).Format(layout), i)
	}
	return b.String()
}

// Dates that fit both orders are read as the rows run on over midnight, else as a file of
// the same form that tells it; and asked about where neither does.
func TestDateOrderByMidnightAndSiblings(t *testing.T) {
	from := time.Date(2026, 5, 4, 18, 0, 0, 0, time.UTC)
	at := func(s string) int64 {
		x, err := time.Parse("2006-01-02 15:04", s)
		require.NoError(t, err)
		return x.UnixMilli()
	}
	for _, layout := range []string{"02/01/2006 15:04", "01/02/2006 15:04", "1/2/2006 3:04:05 PM", "2/1/2006 15:04"} {
		r := readAll(t, Options{}, memFile("a.csv", []byte(nights(layout, from))))
		s := r.Series["A"]
		require.Len(t, s.T, 10, layout)
		require.Equal(t, at("2026-05-04 18:00"), s.T[0], layout)
		require.Equal(t, at("2026-05-05 07:30"), s.T[9], layout)
		require.Contains(t, allTexts(r), "run on over midnight", layout)
	}
	// One day alone tells nothing; a sibling does.
	one := "Time,A\n03/05/2026 06:00,1\n03/05/2026 06:15,2\n"
	r := readAll(t, Options{}, memFile("a.csv", []byte(one)))
	require.Empty(t, r.Series["A"].T)
	require.Contains(t, allTexts(r), "so the file is not read")
	r = readAll(t, Options{}, memFile("a.csv", []byte(one)), memFile("b.csv", []byte("Time,A\n14/05/2026 06:00,3\n")))
	require.Equal(t, []int64{at("2026-05-03 06:00"), at("2026-05-03 06:15"), at("2026-05-14 06:00")}, r.Series["A"].T)
	require.Contains(t, allTexts(r), "so are those of b.csv, a file of the same form")
	require.NotContains(t, allTexts(r), "is not read")
	// Monthly samples of one day each look like daily ones, and are asked about.
	r = readAll(t, Options{}, memFile("a.csv", []byte("Time,A\n01/02/2026 08:00,1\n02/02/2026 08:00,1\n03/02/2026 08:00,1\n")))
	require.Empty(t, r.Series["A"].T)
}
