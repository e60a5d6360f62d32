package analysis_test

import (
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestArrowsRunOneWay holds the order of the packages, and that nothing under
// analysis knows a screen or a file system.
func TestArrowsRunOneWay(t *testing.T) {
	// A package may import those of a lower rank only.
	rank := map[string]int{
		"quantity": 0, "series": 0, "finding": 0, "formula": 0, "zone": 0, "robust": 0, "sheet": 0, "lab": 0,
		"plant": 1, "screen": 1, "align": 1, "speciation": 1,
		"export": 2, "loading": 3, "contact": 3, "orp": 3,
		"upset": 4, "discharge": 4, "review": 5,
	}
	forbidden := []string{"os", "os/exec", "path/filepath", "io/fs", "github.com/spf13/cobra", "gonum.org/v1/plot"}
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "weirbook/analysis/...", "weirbook/reports/...").Output()
	require.NoError(t, err)
	const root = "weirbook/analysis/"
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		words := strings.Fields(line)
		pkg := words[0]
		if strings.HasPrefix(pkg, "weirbook/reports") {
			for _, imp := range words[1:] {
				require.False(t, strings.HasPrefix(imp, "weirbook/cmd"), "%s imports %s", pkg, imp)
				if strings.HasPrefix(imp, "gonum.org/v1/plot") {
					require.Equal(t, "weirbook/reports/chart", pkg, "only the chart package draws")
				}
			}
			continue
		}
		mine, ranked := rank[strings.Split(strings.TrimPrefix(pkg, root), "/")[0]]
		require.True(t, ranked || pkg == "weirbook/analysis", "%s has no place in the order of packages", pkg)
		for _, imp := range words[1:] {
			for _, f := range forbidden {
				require.NotEqual(t, f, imp, "%s imports %s", pkg, imp)
			}
			require.False(t, strings.HasPrefix(imp, "weirbook/reports") || strings.HasPrefix(imp, "weirbook/cmd") || strings.HasPrefix(imp, "weirbook/examples"), "%s imports %s", pkg, imp)
			if !strings.HasPrefix(imp, root) || !ranked {
				continue
			}
			other := rank[strings.Split(strings.TrimPrefix(imp, root), "/")[0]]
			same := strings.HasPrefix(imp, strings.Join(strings.Split(pkg, "/")[:3], "/"))
			require.True(t, same || other < mine || other == mine && mine == 0 || other == mine && mine == 1, "%s imports %s, which does not stand before it", pkg, imp)
		}
	}
}
