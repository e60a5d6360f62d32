package export

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/record"
)

// A panic anywhere in the work on a block is an error that names the file, and
// no worker waits for what will not come.
func TestPanicsAreErrors(t *testing.T) {
	var b strings.Builder
	b.WriteString("time,A\n")
	for i := range 1000 {
		fmt.Fprintf(&b, "2026-03-25 %02d:%02d,%d\n", i/60%24, i%60, i)
	}
	for workers := 1; workers <= 4; workers++ {
		opt := Options{Workers: workers, BlockSize: 100, Progress: func(done, total int64) { panic("no") }}
		f := memFile("good.csv", []byte(b.String()))
		f.Size = 50 // all is told after the first block
		_, err := Read(context.Background(), []record.File{f}, opt)
		require.ErrorContains(t, err, "good.csv: reading it failed by a mistake of this program (no, at safely_test.go:")
	}
	require.NoError(t, record.Safely("f", func() {}))
}
