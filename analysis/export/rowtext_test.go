package export

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/series"
)

// What is set aside is shown as it stands in the file, once.
func TestSetAsideShowsTheRowsText(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"long.csv", "time,tag,value\n3/25/2026 6:00 AM,A,3.10\n3/25/2026 6:00 AM,A,3.20\n3/25/2026 6:15 AM,A,3.3-\n3/25/2026 6:30 AM,A,3.40\n\"3/25/2026 6:30 AM\",A,\"3.40\"", []string{
			`3 conflicting reading: 3/25/2026 6:00 AM,A,3.20`,
			`4 text in place of a value: 3.3-`,
			`6 repeated reading: "3/25/2026 6:30 AM",A,"3.40"`,
		}},
		{"wide.csv", "# a\nDate;Time;A;B\n25.03.2026;06:00;3,10;1\n25.03.2026;06:00;3,20;1\n25.03.2026;06:15;3,3;2\n", []string{
			`4 conflicting reading: 25.03.2026 06:00, 3.2`,
			`4 repeated reading: 25.03.2026 06:00, 1`,
		}},
	} {
		r, err := Read(context.Background(), []record.File{memFile(c.name, []byte(c.text))}, Options{})
		require.NoError(t, err)
		var got []string
		for _, a := range r.SetAside {
			got = append(got, fmt.Sprintf("%d %s: %s", a.Line, a.Reason, a.Text))
		}
		require.Equal(t, c.want, got, strings.Join(got, "\n"))
	}
	// A unit in the cell stands there once.
	r, err := Read(context.Background(), []record.File{memFile("j.csv", []byte("time,tag,value\n2026-03-25,A,3.1\n2026-03-26,A,3.4 psi\n"))},
		Options{Rules: map[string]rule.TagRule{"A": {Kind: "tss", Reading: series.Grab}}})
	require.NoError(t, err)
	require.Equal(t, "3.4 psi", r.SetAside[0].Text)
	// A unit in a column of its own stands behind the value.
	r, err = Read(context.Background(), []record.File{memFile("lab.csv", []byte("time,tag,value,unit\n2026-03-25,A,3.1,mg/L\n2026-03-26,A,3.2,boxes\n"))},
		Options{Rules: map[string]rule.TagRule{"A": {Kind: "tss", Reading: series.Grab}}})
	require.NoError(t, err)
	require.Len(t, r.SetAside, 1)
	require.Equal(t, "3.2 boxes", r.SetAside[0].Text)
}
