package export

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
)

// What a file is named after was written by hand. tags.csv names FLOW1 and
// FIT-202603.
func TestTagOfAFile(t *testing.T) {
	const body = "time,value\n2026-03-25 06:00,3.5\n2026-03-25 06:15,3.6\n"
	rules := map[string]rule.TagRule{"FLOW1": {Kind: "other"}, "FIT-202603": {Kind: "other"}, "AIT 3 20260310": {Kind: "other"}}
	for _, c := range []struct {
		file, ruled, draft string
	}{
		{"FLOW1.csv", "FLOW1", "FLOW1"},
		{"FLOW1_20260310-20260331.csv", "FLOW1", "FLOW1"},
		{"FLOW1 2026-03-10 to 2026-03-31.csv", "FLOW1", "FLOW1"},
		{"flow1_2026-03.csv", "FLOW1", "flow1"},
		{"FLOW1_20260310T060000_20260311T060000.csv.gz", "FLOW1", "FLOW1"},
		{"exports/2026-03-10_FLOW1.csv", "FLOW1", "FLOW1"},
		{"FLOW1 (10.03.2026 - 31.03.2026) (1).csv", "FLOW1", "FLOW1"},
		{"FLOW1 (1).csv", "FLOW1", "FLOW1 (1)"},
		{"FLOW1_202603.csv", "FLOW1", "FLOW1_202603"},
		{"FIT-202603.csv", "FIT-202603", "FIT-202603"},
		{"AIT 3 20260310.csv", "AIT 3 20260310", "AIT 3"},
		{"AIT-2026.csv", "AIT-2026", "AIT-2026"},
		{"20260310.csv", "20260310", "20260310"},
		{"Pump (2).csv", "Pump (2)", "Pump (2)"},
	} {
		for _, opt := range []Options{{Rules: rules}, {}} {
			want := c.draft
			if opt.Rules != nil {
				want = c.ruled
			}
			r, err := Read(context.Background(), []record.File{memFile(c.file, []byte(body))}, opt)
			require.NoError(t, err)
			require.Len(t, r.Tags, 1)
			require.Equal(t, want, r.Tags[0].Name, c.file)
			require.Contains(t, said(r), "the file names no tag; it is read as tag")
		}
	}
}

func TestMonthsOfATagAreJoined(t *testing.T) {
	files := []record.File{
		memFile("FLOW1_20260301-20260331.csv", []byte("time,value\n2026-03-25 06:00,3.5\n")),
		memFile("FLOW1_20260401-20260430.csv", []byte("time,value\n2026-04-25 06:00,3.6\n")),
	}
	r, err := Read(context.Background(), files, Options{})
	require.NoError(t, err)
	require.Equal(t, []float64{3.5, 3.6}, r.Series["FLOW1"].V)
}

// plant.toml names the tag of files that do not.
func TestTagOfASource(t *testing.T) {
	opt := Options{Sources: []rule.SourceRule{{Files: []string{"q*.csv"}, Tag: "FIT-7"}}}
	r, err := Read(context.Background(), []record.File{
		memFile("q1.csv", []byte("time,Whatever (MGD)\n2026-03-25 06:00,3.5\n")),
		memFile("q2.csv", []byte("time,A,B\n2026-03-26 06:00,1,2\n")),
	}, opt)
	require.NoError(t, err)
	require.Equal(t, []float64{3.5}, r.Series["FIT-7"].V)
	require.Equal(t, []float64{1}, r.Series["A"].V)
	require.Contains(t, said(r), "names one tag, and this file holds several")
}

func said(r *Result) string {
	var b strings.Builder
	for _, m := range r.Messages {
		b.WriteString(m.Text + "\n")
	}
	return b.String()
}

// A download that came twice bears a number the second time: it is the same tag
// with and without tags.csv.
func TestCopyOfAFile(t *testing.T) {
	files := []record.File{
		memFile("FIT-5.csv", []byte("time,value\n2026-04-02 06:00,3.5\n")),
		memFile("FIT-5 (1).csv", []byte("time,value\n2026-04-02 06:00,3.5\n2026-04-02 06:15,3.6\n")),
		memFile("Pump (1).csv", []byte("time,value\n2026-04-02 06:00,1.5\n")),
		memFile("Pump (2).csv", []byte("time,value\n2026-04-02 06:00,2.5\n")),
	}
	for _, rules := range []map[string]rule.TagRule{nil, {"FIT-5": {Kind: "other"}, "Pump (1)": {Kind: "other"}, "Pump (2)": {Kind: "other"}}} {
		r, err := Read(context.Background(), files, Options{Rules: rules})
		require.NoError(t, err)
		require.Len(t, r.Series, 3)
		require.Equal(t, []float64{3.5, 3.6}, r.Series["FIT-5"].V)
		require.Equal(t, []float64{1.5}, r.Series["Pump (1)"].V)
		require.Equal(t, []float64{2.5}, r.Series["Pump (2)"].V)
		require.Contains(t, said(r), "without the mark of a copy")
		require.NotContains(t, said(r), "date")
	}
}
