package export

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/rule"
	"weirbook/analysis/export/sample"
)

// A time_column of plant.toml overrides the guess that a second column of times
// is that of the values behind it. Expected times: those of the named column.
func TestTimeColumnOverOwnTimes(t *testing.T) {
	file := memFile("a.csv", []byte("Start,A,Stop,B\n2026-03-25 06:00,1,2026-03-25 07:00,2\n2026-03-25 06:05,3,2026-03-25 07:05,4\n2026-03-25 06:10,5,2026-03-25 07:10,6\n"))
	six := time.Date(2026, 3, 25, 6, 0, 0, 0, time.UTC).UnixMilli()
	r := readAll(t, Options{}, file)
	require.Equal(t, six, r.Series["A"].T[0])
	require.Equal(t, six+3600_000, r.Series["B"].T[0])
	r = readAll(t, Options{Sources: []rule.SourceRule{{TimeColumn: "start"}}}, file)
	require.Equal(t, six, r.Series["A"].T[0])
	require.Equal(t, six, r.Series["B"].T[0])
}

// Days and pairs whose newest row stands first give the readings of the same rows
// the other way round, none of them out of order; also through the hour that the
// clocks repeat (1 November 2026).
func TestOwnTimesNewestFirst(t *testing.T) {
	york, err := time.LoadLocation("America/New_York")
	require.NoError(t, err)
	autumn := []string{"Time,A,Time,B"}
	for i := range 24 {
		at := time.Date(2026, 11, 1, 0, 30*i, 0, 0, time.UTC)
		autumn = append(autumn, fmt.Sprintf("%s,%d,%s,%d", at.In(york).Format(time.DateTime), i, at.Add(7*time.Second).In(york).Format(time.DateTime), 2*i))
	}
	for _, rows := range [][]string{
		{"Date,0:00,4:00,8:00,12:00,16:00,20:00", "2026-03-23,1,2,3,4,5,6", "2026-03-24,7,8,,10,11,12", "2026-03-25,13,14,15,16,17,18"},
		{"Date,0:00,1:00,2:00,3:00,4:00,5:00", "2026-10-31,1,2,3,4,5,6", "2026-11-01,7,8,9,10,11,12", "2026-11-02,13,14,15,16,17,18"},
		{"Time,A,Time,B", "2026-03-25 06:00:00,1,2026-03-25 07:00:07,2", "2026-03-25 06:00:20,3,2026-03-25 07:05:07,4", "2026-03-25 06:05:00,5,2026-03-25 07:05:27,6"},
		{"Time,A,Time,B", ",,2026-03-25 06:50:07,1", "2026-03-25 06:00:00,1,2026-03-25 07:00:07,2", "2026-03-25 06:00:20,3,2026-03-25 07:05:07,4", "2026-03-25 06:05:00,5,2026-03-25 07:05:27,6"},
		autumn,
		{"Date,Time,A,Date,Time,B", "2026-03-25,06:00,1,2026-03-25,07:00,2", "2026-03-25,06:10,3,2026-03-25,07:10,4", "2026-03-25,06:20,5,2026-03-25,07:20,6"},
	} {
		turned := slices.Clone(rows)
		slices.Reverse(turned[1:])
		for _, block := range []int{0, 7, 64} {
			opt := Options{Zone: york, BlockSize: block}
			want := readAll(t, opt, memFile("a.csv", []byte(strings.Join(rows, "\n")+"\n")))
			got := readAll(t, opt, memFile("a.csv", []byte(strings.Join(turned, "\n")+"\n")))
			require.NotEmpty(t, want.Series)
			require.Contains(t, got.Files[0].Format, "newest first")
			require.NotContains(t, want.Files[0].Format, "newest first")
			for tag, s := range want.Series {
				require.NotZero(t, s.Len())
				require.Equal(t, s.T, got.Series[tag].T, tag)
				require.Equal(t, s.V, got.Series[tag].V, tag)
				require.Equal(t, s.F, got.Series[tag].F, tag)
			}
			for _, l := range got.Ledger {
				require.Zero(t, l.Late, "%s %v", l.Tag, rows)
			}
		}
	}
}

// A pair that begins far below the others has its own time all the same. Expected:
// the times that stand before its values, as the rows are written here.
func TestPairBeginsBelowTheSample(t *testing.T) {
	const rows, begin = 3 * sample.SniffRows, 2 * sample.SniffRows
	at := func(minute int) string {
		return time.Date(2026, 4, 14, 0, minute, 0, 0, time.UTC).Format("2006-01-02 15:04")
	}
	for _, late := range []int{0, 1} {
		for _, date := range []bool{false, true} {
			var b strings.Builder
			head, none := "Time", ""
			if date {
				head, none = "Date,Time", ","
			}
			fmt.Fprintf(&b, "%s,A,%s,B\n", head, head)
			for i := range rows {
				var cells []string
				for pair := range 2 {
					if pair == late && i < begin {
						cells = append(cells, none, "")
						continue
					}
					s := at(i + 5000*pair)
					if date {
						s = strings.Replace(s, " ", ",", 1)
					}
					cells = append(cells, s, fmt.Sprint(i))
				}
				b.WriteString(strings.Join(cells, ",") + "\n")
			}
			r := readAll(t, Options{}, memFile("a.csv", []byte(b.String())))
			for pair, tag := range []string{"A", "B"} {
				first := 0
				if pair == late {
					first = begin
				}
				s := r.Series[tag]
				require.NotNil(t, s, "%d %v %s", late, date, b.String()[:200])
				require.Equal(t, rows-first, s.Len(), tag)
				require.Equal(t, at(first+5000*pair), time.UnixMilli(s.T[0]).UTC().Format("2006-01-02 15:04"))
				require.InDelta(t, first, s.V[0], 0)
			}
		}
	}
}
