package reports

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// BenchmarkFolder writes the folder of the demo's run, from its analysis to the last
// chart: a month of minutes, 13 tags on line, 8 of the laboratory, seed 26.
func BenchmarkFolder(b *testing.B) {
	r, err := demoRun(false)
	require.NoError(b, err)
	for b.Loop() {
		require.NoError(b, WriteRun(filepath.Join(b.TempDir(), "out"), r, "test", "run", nil))
	}
}
