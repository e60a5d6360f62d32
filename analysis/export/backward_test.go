package export

import (
	"fmt"
	"math/rand"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// A file gives the same readings and the same ledger whichever end stands first,
// to the bit, however often its tags are read, over a clock change, with rows
// written twice and bad ones between.
func TestNewestFirstIsTheSameFile(t *testing.T) {
	readings := map[string]series.Reading{"LINE": series.Continuous, "LEVEL": series.OnChange, "RUN": series.State, "TOTAL": series.Counter, "GRAB": series.Grab}
	opt := Options{Zone: denver(t), Rules: map[string]rule.TagRule{}}
	tags := lex.SortedKeys(readings)
	for tag, r := range readings {
		opt.Rules[tag] = rule.TagRule{Kind: quantity.Other, Reading: r}
	}
	condensed := 0
	for seed := range int64(150) {
		r := rand.New(rand.NewSource(seed))
		wide := r.Intn(2) == 0
		at := []time.Time{time.Date(2026, 11, 1, 6, 40, 0, 0, time.UTC), time.Date(2026, 3, 8, 8, 40, 0, 0, time.UTC), time.Date(2026, 7, 1, 0, 0, 0, 0, time.UTC)}[r.Intn(3)]
		most, clean, minutely := 1, r.Intn(2) == 0, r.Intn(3) == 0
		total := 100.0
		var rows []string
		n, from := 150+r.Intn(400), r.Intn(100) // a tag of wide files begins later
		for i := range n {
			if i%60 == 0 {
				most = []int{1, 7, 30, 60, 90, 200}[r.Intn(6)]
			}
			if minutely {
				most = 60
			}
			at = at.Add(time.Duration(1+r.Intn(most)) * time.Second)
			if minutely || most >= 60 && r.Intn(2) == 0 {
				at = at.Truncate(time.Minute).Add(time.Minute)
			}
			if r.Intn(60) == 0 {
				at = at.Add(time.Duration(r.Intn(900)) * time.Second)
			}
			cell := func(tag string) string {
				switch tag {
				case "RUN":
					return fmt.Sprint(r.Intn(5) / 4)
				case "TOTAL":
					if total += float64(r.Intn(30)); r.Intn(80) == 0 {
						total = 0
					}
					return fmt.Sprint(total)
				}
				return fmt.Sprintf("%.2f", 100*r.Float64())
			}
			stamp := at.In(opt.Zone).Format("2006-01-02 15:04:05")
			var row string
			if wide {
				row = stamp
				for _, tag := range tags {
					k := r.Intn(40)
					switch {
					case k == 0 && !clean || tag == "LEVEL" && i < from:
						row += ","
					case k == 1 && !clean:
						row += ",No Data"
					default:
						row += "," + cell(tag)
					}
				}
			} else {
				tag := tags[r.Intn(len(tags))]
				row = stamp + "," + tag + "," + cell(tag) + "," + []string{"Good", "Good", "Good", "Good", "Good", "Good", "Bad", "Uncertain"}[r.Intn(8)]
			}
			rows = append(rows, row)
			if !minutely && r.Intn(50) == 0 {
				rows = append(rows, row)
			}
		}
		head := "time,tag,value,quality\n"
		if wide {
			head = "time," + strings.Join(tags, ",") + "\n"
		}
		text := func() []byte { return []byte(head + strings.Join(rows, "\n") + "\n") }
		want := readAll(t, opt, memFile("a.csv", text()))
		slices.Reverse(rows)
		for _, block := range []int{0, 60, 900} {
			opt.BlockSize, opt.Workers = block, 1+r.Intn(3)
			got := readAll(t, opt, memFile("a.csv", text()))
			require.Contains(t, got.Files[0].Format, "newest first", "seed %d", seed)
			for tag := range readings {
				w, g := want.Series[tag], got.Series[tag]
				require.Equal(t, fmt.Sprintf("%v %x %v", w.T, w.V, w.F), fmt.Sprintf("%v %x %v", g.T, g.V, g.F), "seed %d, %s", seed, tag)
			}
			for _, l := range got.Ledger {
				condensed += l.Condensed
			}
			require.Equal(t, want.Ledger, got.Ledger, "seed %d", seed)
			for _, m := range got.Messages {
				require.NotContains(t, m.Text, "out of time order", "seed %d", seed)
			}
		}
		opt.BlockSize = 0
	}
	require.NotZero(t, condensed)
}

// A file is newest first where its times go down; a few rows that do not are
// sorted in like any late ones.
func TestWhichEndIsFirst(t *testing.T) {
	file := func(minutes ...int) string {
		s := "time,A\n"
		for _, m := range minutes {
			s += fmt.Sprintf("2026-03-25 06:%02d,%d\n", m, m)
		}
		return s
	}
	for _, c := range []struct {
		text   string
		newest bool
		late   int
	}{
		{file(1, 2, 3, 4), false, 0},
		{file(4, 3, 2, 1), true, 0},
		{file(4), false, 0},
		{file(4, 1, 2, 3), false, 3},
		{file(29, 28, 27, 26, 25, 24, 23, 22, 21, 20, 19, 30, 18, 17), true, 1},
	} {
		r := readAll(t, Options{}, memFile("a.csv", []byte(c.text)))
		require.Equal(t, c.newest, strings.Contains(r.Files[0].Format, "newest first"), c.text)
		require.Equal(t, c.late, r.Ledger[0].Late, c.text)
		s := r.Series["A"]
		require.True(t, slices.IsSorted(s.T))
		require.Equal(t, strings.Count(c.text, "\n")-1, s.Len())
	}
}
