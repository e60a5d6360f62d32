package main

import (
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/plant"
)

// TestGrowingExportHasOneLength appends to an export between two readings of it,
// as a logger does: each gives the bytes that were there when it was found.
func TestGrowingExportHasOneLength(t *testing.T) {
	p := filepath.Join(t.TempDir(), "log.csv")
	require.NoError(t, os.WriteFile(p, []byte("time,tag,value\n"), 0o644))
	got, err := findExports([]string{p})
	require.NoError(t, err)
	require.Len(t, got.files, 1)
	for range 2 {
		r, err := got.files[0].Open()
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		require.NoError(t, r.Close())
		require.Equal(t, "time,tag,value\n", string(text))
		require.EqualValues(t, len(text), got.files[0].Size)
		f, err := os.OpenFile(p, os.O_APPEND|os.O_WRONLY, 0)
		require.NoError(t, err)
		_, err = f.WriteString("2026-03-01 00:00,Q,1\n")
		require.NoError(t, err)
		require.NoError(t, f.Close())
	}
	require.NoError(t, os.Truncate(p, 3))
	_, err = got.files[0].Open()
	require.ErrorContains(t, err, "became shorter")
}

// TestLogAmongExports enters a plant's log that stands among the exports, and
// leaves an export of that name alone.
func TestLogAmongExports(t *testing.T) {
	dir := t.TempDir()
	p := filepath.Join(dir, "log.csv")
	require.NoError(t, os.WriteFile(p, []byte("\ufefffrom;to;what;where;value;unit;note\n2026-03-01 06:00;;remark;;;;rags\n"), 0o644))
	got, err := findExports([]string{dir})
	require.NoError(t, err)
	pl := &plant.Plant{Zone: time.UTC}
	require.NoError(t, got.takeLogs(pl))
	require.Empty(t, got.files)
	require.Len(t, pl.Log, 1)
	require.NoError(t, os.WriteFile(p, []byte("time,tag,value\n"), 0o644))
	got, err = findExports([]string{p})
	require.NoError(t, err)
	require.NoError(t, got.takeLogs(pl))
	require.Len(t, got.files, 1)
}
