package export

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A time_column of plant.toml overrides the guess that a second column of times
// is that of the values behind it. Expected times: those of the named column.
func TestTimeColumnOverOwnTimes(t *testing.T) {
	file := memFile("a.csv", []byte("Start,A,Stop,B\n2026-03-25 06:00,1,2026-03-25 07:00,2\n2026-03-25 06:05,3,2026-03-25 07:05,4\n2026-03-25 06:10,5,2026-03-25 07:10,6\n"))
	six := time.Date(2026, 3, 25, 6, 0, 0, 0, time.UTC).UnixMilli()
	r := readAll(t, Options{}, file)
	require.Equal(t, six, r.Series["A"].T[0])
	require.Equal(t, six+3600_000, r.Series["B"].T[0])
	r = readAll(t, Options{Sources: []SourceRule{{TimeColumn: "start"}}}, file)
	require.Equal(t, six, r.Series["A"].T[0])
	require.Equal(t, six, r.Series["B"].T[0])
}
