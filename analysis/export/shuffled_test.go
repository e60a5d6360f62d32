package export

import (
	"fmt"
	"io"
	"math/rand"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/merge"
	"weirbook/analysis/export/record"
)

// Shuffled readings of many seconds and tags, more than are held out of order at
// a time, come out like those of the same file in order, also where too many
// minutes are shared for all tags to be read again at once.
func TestShuffledIsCleanFile(t *testing.T) {
	start := time.Date(2026, 3, 25, 0, 0, 0, 0, time.UTC)
	const seconds = merge.LateMax + 5000
	tags := []string{"A", "B", "C"}
	var rows []string
	for i := range seconds {
		at := start.Add(time.Duration(i) * time.Second).Format("2006-01-02 15:04:05")
		for k, tag := range tags {
			rows = append(rows, fmt.Sprintf("%s,%s,%d\n", at, tag, (i*(7919+k))%1000))
		}
	}
	opened := 0
	file := func() record.File {
		f := memFile("a.csv", []byte("time,tag,value\n"+strings.Join(rows, "")))
		open := f.Open
		f.Open = func() (io.ReadCloser, error) { opened++; return open() }
		return f
	}
	want := readAll(t, Options{}, file())
	rand.New(rand.NewSource(1)).Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
	rows = append(rows, rows[:700]...) // some of them twice
	opened = 0
	at := readAll(t, Options{}, file())
	atOnce := opened
	few := readAll(t, Options{rawMax: 1}, file())
	require.Equal(t, 2*atOnce+len(tags)-1, opened, "once more for each tag but the first")
	require.Equal(t, printed(at), printed(few))
	repeated := 0
	for k, tag := range tags {
		w, g := want.Series[tag], at.Series[tag]
		require.Equal(t, w.T, g.T)
		for i := range w.V {
			require.InDelta(t, w.V[i], g.V[i], 1e-9)
		}
		require.Equal(t, want.Ledger[k].Used, at.Ledger[k].Used)
		repeated += at.Ledger[k].Aside[ledger.Repeated]
	}
	require.Equal(t, 700, repeated)
}
