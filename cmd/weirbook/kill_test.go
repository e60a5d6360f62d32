package main

import (
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/reports"
)

var kills = flag.Int("kills", 3, "how often TestKilledRuns ends a run, at moments spread over its length")

// TestKilledRuns ends runs that are to replace a report, at moments spread over
// their length: by Ctrl-C, by the system's request to end, and outright. The report
// is then the old one or the new one, whole; the first two leave nothing
// beside it and end at once with a status of their own, and what the third
// leaves goes at the next run.
func TestKilledRuns(t *testing.T) {
	if testing.Short() || runtime.GOOS == "windows" {
		t.Skip("long, and Windows sends no signals to a child")
	}
	dir := t.TempDir()
	demo := func() *exec.Cmd {
		c := exec.Command("weirbook", "demo", "-o", "out")
		c.Dir = dir
		return c
	}
	start := time.Now()
	require.NoError(t, demo().Run())
	whole := time.Since(start)
	beside := func() []string {
		es, err := os.ReadDir(dir)
		require.NoError(t, err)
		var names []string
		for _, e := range es {
			names = append(names, e.Name())
		}
		return names
	}
	ended := 0
	for i := range *kills {
		sig := []syscall.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGKILL}[i%3]
		c := demo()
		require.NoError(t, c.Start())
		time.Sleep(20*time.Millisecond + time.Duration(i)*whole/time.Duration(*kills))
		require.NoError(t, errors.Join(c.Process.Signal(sig)))
		told := time.Now()
		err := c.Wait()
		if err == nil {
			continue // done before the signal came
		}
		ended++
		require.Less(t, time.Since(told), 3*time.Second, "%s", sig)
		if sig != syscall.SIGKILL {
			require.Equal(t, exitSignal+int(sig), c.ProcessState.ExitCode())
			require.Equal(t, []string{"out"}, beside(), "%s", sig)
		} else if _, err := os.Stat(filepath.Join(dir, "out")); err != nil {
			// Between its two renames: the next run puts the old report back.
			require.True(t, strings.HasPrefix(beside()[0], ".out.weirbook-"), beside())
			continue
		}
		require.NoError(t, reports.CheckOutput(filepath.Join(dir, "out")), "%s after %d of %d", sig, i, *kills)
	}
	require.NoError(t, demo().Run())
	require.Equal(t, []string{"out"}, beside())
	t.Logf("%d runs ended before they were done, of %d; a run takes %.1f s", ended, *kills, whole.Seconds())
}
