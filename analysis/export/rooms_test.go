package export

import (
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestPackagesKnowOnlyThoseBefore holds the order that doc.go lists.
func TestPackagesKnowOnlyThoseBefore(t *testing.T) {
	order := []string{"lex", "ledger", "record", "rule", "stamp", "cell", "sample", "layout", "rows", "merge", "export", "draft"}
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "./...").Output()
	require.NoError(t, err)
	const root = "weirbook/analysis/"
	at := func(path string) int {
		return slices.Index(order, strings.TrimPrefix(strings.TrimPrefix(path, root), "export/"))
	}
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		words := strings.Fields(line)
		require.GreaterOrEqual(t, at(words[0]), 0, "%s has no place in the order", words[0])
		for _, imp := range words[1:] {
			if strings.HasPrefix(imp, root+"export") {
				require.Less(t, at(imp), at(words[0]), "%s imports %s", words[0], imp)
			}
		}
	}
}
