package draft_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/draft"
)

// Sheets as spreadsheets save them: an answer changes its row, and nothing else.
func TestAnswerKeepsTheSheet(t *testing.T) {
	rows := []string{
		"tag|measures|at|unit|reading|low|high|note",
		"# our own remark|||||||",
		"A|ph|basin_outlet|pH|continuous|||\"CHECK: Where does it measure? [at: basin_outlet | outfall]; In which unit? [unit: pH | mV] (name says ph)\"",
		"",
		"B|orp|basin_outlet|mV|continuous|||kept \u00b0",
		"C|temperature|basin_outlet||continuous|||\"CHECK: Where does it measure? [at: basin_outlet | outfall] (name says t)\"",
	}
	for name, with := range map[string]func(string) string{
		"commas":     func(s string) string { return strings.ReplaceAll(s, "|", ",") },
		"semicolons": func(s string) string { return strings.ReplaceAll(s, "|", ";") },
		"tabs":       func(s string) string { return strings.ReplaceAll(s, "|", "\t") },
		"sep":        func(s string) string { return "sep=;\n" + strings.ReplaceAll(s, "|", ";") },
		"windows":    func(s string) string { return strings.ReplaceAll(strings.ReplaceAll(s, "|", ","), "\n", "\r\n") },
		"mark":       func(s string) string { return "\ufeff" + strings.ReplaceAll(s, "|", ",") },
	} {
		// Bars within choices are not the sheet's.
		text := strings.ReplaceAll(strings.Join(rows, "\n")+"\n", " | ", " \x01 ")
		text = strings.ReplaceAll(with(text), " \x01 ", " | ")
		f := draft.Files{Plant: []byte("name = \"x\"\n"), Tags: []byte(text)}
		open, err := draft.OpenQuestions(f)
		require.NoError(t, err, name)
		require.Len(t, open, 2, name)
		require.Equal(t, "A at", open[0].Key, name)
		require.Equal(t, []string{"basin_outlet", "outfall"}, open[0].Choices, name)
		got, err := open[0].Answer(f, "A outfall")
		require.NoError(t, err, name)
		before, after := strings.Split(text, "\n"), strings.Split(string(got.Tags), "\n")
		require.Len(t, after, len(before), name)
		for i := range before {
			if !strings.HasPrefix(before[i], "A") {
				require.Equal(t, before[i], after[i], name)
				continue
			}
			require.Contains(t, after[i], "outfall", name)
			require.Contains(t, after[i], "CHECK: In which unit? [unit: pH | mV] (name says ph)", name)
			require.Equal(t, strings.HasSuffix(before[i], "\r"), strings.HasSuffix(after[i], "\r"), name)
		}
		require.Contains(t, string(got.Plant), "name = \"outfall\"", name)
		_, err = open[0].Answer(f, "outfal")
		require.ErrorContains(t, err, "did you mean outfall?", name)
		_, err = open[0].Answer(f, "3")
		require.ErrorContains(t, err, "from 1 to 2", name)
	}
}
