package export

import (
	"bytes"
	"context"
	"fmt"
	"math/rand"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/series"
)

// invented writes an export of random shape: layout, separator, cadence, order,
// quality, gaps.
func invented(r *rand.Rand) []byte {
	var b bytes.Buffer
	sep := []string{",", ";", "\t"}[r.Intn(3)]
	dec := "."
	if sep == ";" && r.Intn(2) == 0 {
		dec = ","
	}
	tags := 1 + r.Intn(4)
	step := []int{1, 5, 20, 60, 300, 3600}[r.Intn(6)]
	rows := 20 + r.Intn(400)
	start := time.Date(2026, 10, 31+r.Intn(2), r.Intn(24), 0, 0, 0, time.UTC)
	layout := []string{"2006-01-02 15:04:05", "2006-01-02T15:04:05Z", "02.01.2006 15:04:05", "01/02/2006 03:04:05 PM"}[r.Intn(4)]
	value := func(k, i int) string {
		switch r.Intn(60) {
		case 0:
			return ""
		case 1:
			return "-9999"
		case 2:
			return "Bad Input"
		case 3:
			return "broken"
		case 4:
			return "<0" + dec + "5"
		}
		return strings.Replace(fmt.Sprintf("%.2f", float64(100*k)+float64(i%37)/4), ".", dec, 1)
	}
	quality := func() string { return []string{"Good", "Good", "Good", "Good", "Good", "Uncertain", "Bad"}[r.Intn(7)] }
	var lines []string
	wide := r.Intn(2) == 0
	withQ := r.Intn(2) == 0
	for i := 0; i < rows; i++ {
		t := start.Add(time.Duration(i*step) * time.Second).Format(layout)
		if wide {
			l := t
			for k := 0; k < tags; k++ {
				l += sep + value(k, i)
				if withQ {
					l += sep + quality()
				}
			}
			lines = append(lines, l)
			continue
		}
		for k := 0; k < tags; k++ {
			l := t + sep + fmt.Sprintf("TAG-%d", k) + sep + value(k, i)
			if withQ {
				l += sep + quality()
			}
			lines = append(lines, l)
		}
	}
	switch r.Intn(5) {
	case 0:
		r.Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
	case 1: // a block twice
		n := len(lines)
		lines = append(lines, lines[n/3:n/2]...)
	case 2:
		for i, j := 0, len(lines)-1; i < j; i, j = i+1, j-1 {
			lines[i], lines[j] = lines[j], lines[i]
		}
	}
	if wide {
		b.WriteString("time")
		for k := 0; k < tags; k++ {
			fmt.Fprintf(&b, "%sTAG-%d", sep, k)
			if withQ {
				b.WriteString(sep + "quality")
			}
		}
	} else {
		b.WriteString("time" + sep + "tag" + sep + "value")
		if withQ {
			b.WriteString(sep + "quality")
		}
	}
	b.WriteByte('\n')
	b.WriteString(strings.Join(lines, "\n"))
	if r.Intn(2) == 0 {
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// mutate damages a file behind its heading.
func mutate(r *rand.Rand, b []byte) []byte {
	b = append([]byte(nil), b...)
	for n := r.Intn(8); n > 0; n-- {
		lo := min(200, len(b)-1)
		i := lo + r.Intn(len(b)-lo)
		switch r.Intn(8) {
		case 0:
			b = b[:i]
			if len(b) < 250 {
				return b
			}
		case 1:
			b[i] = byte(r.Intn(256))
		case 2:
			b = append(b[:i], append([]byte("\"unfinished"), b[i:]...)...)
		case 3:
			b = append(b[:i], append(bytes.Repeat([]byte{0, 1, 0xff}, 5), b[i:]...)...)
		case 4:
			b = append(b[:i], append([]byte("\n\nTotal,17\n"), b[i:]...)...)
		case 5:
			j := min(len(b), i+r.Intn(100))
			b = append(b[:i:i], b[j:]...)
			if len(b) < 250 {
				return b
			}
		case 6:
			b = append(b[:i], append([]byte(",,;;\t\t"), b[i:]...)...)
		case 7:
			b = append(b[:i], append([]byte("\n# a remark\n\n"), b[i:]...)...)
		}
	}
	return b
}

func denver(t testing.TB) *time.Location {
	z, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	return z
}

// checkLedger holds what every result must.
func checkLedger(t require.TestingT, r *Result) {
	rows := map[string]int{}   // of the file
	loose := map[string]int{}  // belonging to no tag
	tagged := map[string]int{} // of tags, summed
	layouts := map[string]string{}
	for _, f := range r.Files {
		rows[f.Name] = f.Rows
		layouts[f.Name] = f.Format
	}
	used := map[string]int{}
	condensed, late := map[string]int{}, map[string]int{}
	for _, l := range r.Ledger {
		require.True(t, l.AddsUp(), "%+v", l)
		for _, n := range l.Aside {
			require.GreaterOrEqual(t, n, 0, "%+v", l)
		}
		for _, n := range []int{l.Used, l.Bad, l.Uncertain, l.Fill, l.OutsideSpan, l.Late, l.LessThan, l.GreaterThan, l.Condensed} {
			require.GreaterOrEqual(t, n, 0, "%+v", l)
			require.LessOrEqual(t, n, l.Rows, "%+v", l)
		}
		require.LessOrEqual(t, l.Condensed, l.Used, "%+v", l)
		if l.Tag == "" {
			loose[l.File] += l.Rows
		} else {
			tagged[l.File] += l.Rows
		}
		used[l.Tag] += l.Used
		condensed[l.Tag] += l.Condensed
		late[l.Tag] += l.Late
	}
	for f, n := range rows {
		if strings.HasPrefix(layouts[f], "a row per reading") {
			require.Equal(t, n, loose[f]+tagged[f], "rows of %s", f)
		} else if n > loose[f] && layouts[f] != "not read" {
			require.Zero(t, tagged[f]%(n-loose[f]), "cells of %s: %d in %d rows", f, tagged[f], n-loose[f])
		}
	}
	for tag, s := range r.Series {
		require.NoError(t, s.Check())
		if condensed[tag] == 0 && late[tag] == 0 && len(r.Files) == 1 {
			require.Equal(t, used[tag], s.Len(), "readings of %s", tag)
		} else {
			require.LessOrEqual(t, s.Len(), 2*used[tag])
			require.Equal(t, used[tag] > 0, s.Len() > 0)
		}
	}
}

func TestLedgerAddsUp(t *testing.T) {
	for seed := int64(0); seed < 400; seed++ {
		r := rand.New(rand.NewSource(seed))
		b := invented(r)
		if seed%2 == 1 {
			b = mutate(r, b)
		}
		res, err := Read(context.Background(), []record.File{memFile("a.csv", b)}, Options{Zone: denver(t), BlockSize: 1 + r.Intn(3000)})
		require.NoError(t, err)
		if seed%2 == 0 {
			// An unharmed file has all its rows in the ledger, counted here by
			// its line ends.
			n := bytes.Count(bytes.TrimRight(b, "\n"), []byte("\n"))
			require.Equal(t, n, res.Files[0].Rows, "seed %d: %+v", seed, res.Files)
		}
		if !checkSeed(t, res) {
			t.Fatalf("seed %d", seed)
		}
	}
}

func checkSeed(t *testing.T, r *Result) bool {
	checkLedger(t, r)
	return !t.Failed()
}

// TestSameWhateverTheOrder reads the same files in other orders, block sizes
// and numbers of workers.
func TestSameWhateverTheOrder(t *testing.T) {
	for seed := int64(0); seed < 25; seed++ {
		r := rand.New(rand.NewSource(seed))
		var files []record.File
		for k := 0; k < 1+r.Intn(3); k++ {
			b := invented(r)
			if r.Intn(3) == 0 {
				b = mutate(r, b)
			}
			files = append(files, memFile(fmt.Sprintf("%c.csv", 'a'+k), b))
		}
		opt := Options{Zone: denver(t)}
		if r.Intn(2) == 0 {
			opt.Rules = map[string]rule.TagRule{}
			for k := 0; k < 3; k++ {
				opt.Rules[fmt.Sprintf("TAG-%d", k)] = rule.TagRule{Kind: "other", Low: 0, High: 250,
					Reading: []series.Reading{series.Continuous, series.OnChange, series.State, series.Counter, series.Grab}[r.Intn(5)]}
			}
		}
		first, err := Read(context.Background(), files, opt)
		require.NoError(t, err)
		checkLedger(t, first)
		for try := 0; try < 4; try++ {
			r.Shuffle(len(files), func(i, j int) { files[i], files[j] = files[j], files[i] })
			opt.BlockSize = []int{1, 50, 700, 5000}[try]
			opt.Workers = 1 + r.Intn(6)
			was := runtime.GOMAXPROCS(1 + r.Intn(4))
			again, err := Read(context.Background(), files, opt)
			runtime.GOMAXPROCS(was)
			require.NoError(t, err)
			// NaN is not equal to itself: compare as printed, bit for bit.
			a, b := strings.Split(printed(first), "\n"), strings.Split(printed(again), "\n")
			for i := range a {
				if i >= len(b) || a[i] != b[i] {
					t.Fatalf("seed %d try %d: line %d differs:\n%.600s\n%.600s", seed, try, i, a[i], b[i])
				}
			}
			require.Equal(t, len(a), len(b))
		}
	}
}

func printed(r *Result) string {
	var b strings.Builder
	for _, k := range lex.SortedKeys(r.Series) {
		s := r.Series[k]
		fmt.Fprintf(&b, "%s %v %x %v\n", k, s.T, s.V, s.F)
	}
	fmt.Fprintf(&b, "%+v\n%+v\n%+v\n%+v\n%+v\n", r.Tags, r.Ledger, r.SetAside, r.Files, r.Messages)
	return b.String()
}
