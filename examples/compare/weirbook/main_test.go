package main

import (
	"encoding/csv"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// Source of the expected table: worked by hand, see README.md beside the sample.
func TestSampleByHand(t *testing.T) {
	cells := func(path string) [][]string {
		f, err := os.Open(path)
		require.NoError(t, err)
		defer f.Close()
		rows, err := csv.NewReader(f).ReadAll()
		require.NoError(t, err)
		return rows
	}
	want := cells("../sample-hourly.csv")
	require.Len(t, want, 5)
	for _, layout := range []string{"long", "wide"} {
		out := filepath.Join(t.TempDir(), "hourly.csv")
		require.NoError(t, run([]string{layout, "../sample-" + layout + ".csv", out}, io.Discard))
		got := cells(out)
		require.Len(t, got, len(want), layout)
		require.Equal(t, want[0], got[0])
		for i := range want[1:] {
			w, g := want[1+i], got[1+i]
			require.Equal(t, w[:2], g[:2], layout)
			for k := 2; k < len(w); k++ {
				x, err := strconv.ParseFloat(w[k], 64)
				require.NoError(t, err)
				y, err := strconv.ParseFloat(g[k], 64)
				require.NoError(t, err)
				require.InDelta(t, x, y, 1e-12, "%s %s %s", layout, w[0], want[0][k])
			}
		}
	}
	require.Error(t, run([]string{"wide", "../sample-long.csv", filepath.Join(t.TempDir(), "x.csv")}, io.Discard))
}
