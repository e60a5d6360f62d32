package reports

import (
	"bytes"
	"encoding/csv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/examples"
)

var demoReview = sync.OnceValues(func() ([]Output, error) { return madeReview(exampleInput(examples.Demo(examples.DemoSeed))) })

// The review advises, as every report does, and its first page has five sentences,
// six figures and three things worth doing.
func TestReviewKeepsToAdvice(t *testing.T) {
	outs, err := demoReview()
	require.NoError(t, err)
	for _, name := range []string{"report.md", "report.html", "review.csv"} {
		text := strings.ToLower(string(output(t, outs, name)))
		for _, bad := range []string{"compliance", "compliant", "complies", "complied", "safe to", "you may ", "/home/", "/tmp/", "nan"} {
			if bad == "nan" && name == "report.html" {
				continue // pictures are letters
			}
			require.NotRegexp(t, `\b`+bad+`\b`, text, name)
		}
	}
	md := string(output(t, outs, "report.md"))
	first, _, ok := strings.Cut(md, "## 1. How reliably")
	require.True(t, ok)
	require.Contains(t, first, "3. ")
	require.NotContains(t, first, "4. ")
	for _, section := range []string{"2. What if more were required?", "3. At what flow does it stop?", "4. What drives it", "5. Did anything change?", "6. Which instrument can be trusted?", "7. How it was computed"} {
		require.Contains(t, md, section)
	}
	require.Contains(t, md, "less than a year", "a month of record says what it does not bear")
}

func TestReviewCSVTellsEachFigureWhole(t *testing.T) {
	outs, err := demoReview()
	require.NoError(t, err)
	rows, err := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(output(t, outs, "review.csv"), []byte("\ufeff")))).ReadAll()
	require.NoError(t, err)
	col := map[string]int{}
	for i, h := range rows[0] {
		col[h] = i
	}
	sections := map[string]int{}
	seen := map[string]bool{}
	for _, r := range rows[1:] {
		sections[r[col["section"]]]++
		require.NotEmpty(t, r[col["statistic"]])
		require.NotEmpty(t, r[col["n"]])
		require.NotEmpty(t, r[col["definition"]]+r[col["why_unknown"]], r)
		key := strings.Join(r[:5], "|")
		require.False(t, seen[key], "one figure, one row: %s", key)
		seen[key] = true
	}
	for _, s := range []string{"reliability", "limits", "percentiles", "what if", "derived limits", "capacity", "peaks", "feeds", "overfeed", "dechlorination", "instruments", "trend"} {
		require.Positive(t, sections[s], s)
	}
}
