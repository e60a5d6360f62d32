package main

import (
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/reports"
)

var fulls = flag.Int("fulls", 2, "how many amounts of free space TestFullDisk tries")

// TestFullDisk lets a run that replaces a report come to the end of its disk, with
// different amounts of space left: the old report stays whole and nothing is left
// beside it. It needs leave to mount a file system in memory.
func TestFullDisk(t *testing.T) {
	if testing.Short() {
		t.Skip("several runs of a month; the tests without -short have it")
	}
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=96m"); err != nil {
		t.Skip("no leave to mount a small disk:", err)
	}
	defer func() { require.NoError(t, syscall.Unmount(dir, 0)) }()
	out, filler := filepath.Join(dir, "out"), filepath.Join(dir, "filler")
	free := func() int64 {
		var st syscall.Statfs_t
		require.NoError(t, syscall.Statfs(dir, &st))
		return int64(st.Bavail) * st.Bsize
	}
	before := free()
	require.NoError(t, exec.Command("weirbook", "demo", "-o", out).Run())
	size := before - free()
	for i := range *fulls {
		left := size * int64(i+1) / int64(*fulls+1)
		require.NoError(t, os.WriteFile(filler, make([]byte, free()-left), 0o644))
		text, err := exec.Command("weirbook", "demo", "-o", out).CombinedOutput()
		var exit *exec.ExitError
		require.True(t, errors.As(err, &exit), "%d bytes left: %v", left, err)
		require.Equal(t, exitFailed, exit.ExitCode())
		require.Contains(t, string(text), "no space left on device")
		require.NoError(t, os.Remove(filler))
		require.NoError(t, reports.CheckOutput(out), "the old report is whole")
		es, err := os.ReadDir(dir)
		require.NoError(t, err)
		require.Len(t, es, 1, "%d bytes left", left)
	}
	t.Logf("a report of %d kB; %d runs came to the end of the disk", size>>10, *fulls)
}
