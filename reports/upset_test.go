package reports

import (
	"bytes"
	"image/png"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/upset"
	"weirbook/examples/simulate"
	"weirbook/examples/upsets"
	"weirbook/reports/chart"
)

// invented explains one invented upset.
func invented(t *testing.T, k simulate.Kind) analysis.Upset {
	t.Helper()
	loc, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	begin := time.Date(2026, 5, 13, 6, 0, 0, 0, loc)
	m, err := simulate.Run(simulate.Config{Seed: 5, Start: time.Date(2026, 5, 4, 0, 0, 0, 0, time.UTC), Days: 12, Plant: simulate.DefaultPlant(simulate.Nitrified),
		Events: []simulate.Event{{Start: begin, End: begin.Add(5 * time.Hour), Kind: k, Severity: simulate.Gross}}})
	require.NoError(t, err)
	in, err := upsets.Input(m, 40, 0.1)
	require.NoError(t, err)
	all, err := upset.Find(in, upset.DefaultSettings())
	require.NoError(t, err)
	for _, e := range all {
		if e.End > begin.UnixMilli() && e.Start < begin.Add(7*time.Hour).UnixMilli() {
			x, err := upset.Explain(in, e, all, upset.DefaultSettings())
			require.NoError(t, err)
			return analysis.Upset{Basin: "basin", Input: in, Explanation: x}
		}
	}
	t.Fatal("no episode")
	return analysis.Upset{}
}

func TestUpsetSections(t *testing.T) {
	if testing.Short() {
		t.Skip("two simulated upsets with their charts; the tests without -short have it")
	}
	for k, want := range map[simulate.Kind][]string{
		simulate.FeedLost:      {"Less chlorine was fed", "hypochlorite feed fell from", "ruled\u00a0out", "What would have held it", "licensed operator"},
		simulate.BisulfiteLost: {"Less dechlorination chemical was fed", "bisulfite feed fell from", "µg/L", "Chlorine past the outfall"},
	} {
		u := invented(t, k)
		ss, err := upsetSections(&u, 1, false, 0)
		require.NoError(t, err)
		var text strings.Builder
		ids := map[string]bool{}
		pictures := 0
		for _, s := range ss {
			require.False(t, ids[s.ID], s.ID)
			ids[s.ID] = true
			require.NotEmpty(t, s.Blocks, s.Title)
			text.WriteString(s.Title + "\n" + s.Lead + "\n")
			for _, b := range s.Blocks {
				text.WriteString(b.Text + "\n" + b.Heading + "\n" + strings.Join(append(append(append([]string(nil), b.Points...), b.Steps...), b.Cautions...), "\n") + "\n")
				if b.Table != nil {
					require.NoError(t, b.Table.Check())
					var md bytes.Buffer
					require.NoError(t, b.Table.WriteMarkdown(&md))
					text.Write(md.Bytes())
				}
				if b.Picture != nil {
					pictures++
					require.NotEmpty(t, b.Picture.Alt)
					data, err := b.Picture.Draw()
					require.NoError(t, err)
					_, err = png.Decode(bytes.NewReader(data))
					require.NoError(t, err)
				}
			}
		}
		require.GreaterOrEqual(t, pictures, 2, "timeline and week")
		for _, w := range want {
			require.Contains(t, text.String(), w, k)
		}
		for _, never := range []string{"NaN", "compliant", "safe to"} {
			require.NotContains(t, text.String(), never, k)
		}
		v := upsetVerdict(&u)
		require.NotEmpty(t, v.Word)
		require.GreaterOrEqual(t, len(v.Figures), 4)
	}
}

// The chart's parts lead from the normal CT to the one that was, and a feed that
// follows the flow is told as one dose.
func TestUpsetSplitChart(t *testing.T) {
	u := invented(t, simulate.Storm)
	c := upsetSplit(&u)
	require.NotNil(t, c)
	sum := c.From.Value
	for _, p := range c.Parts {
		sum += p.Value
		require.NotContains(t, p.Note, "NaN")
	}
	require.InDelta(t, c.To.Value, sum, 1e-9*(1+c.From.Value))
}

// The chart of an event keeps to its panels, and the first mover's and the breached
// signal's are among them.
func TestChartOfAnEventKeepsToItsPanels(t *testing.T) {
	u := invented(t, simulate.FeedLost)
	all := upsetTimeline(&u, u.Window, "", true, 0)
	few := upsetTimeline(&u, u.Window, "", true, 4)
	require.Greater(t, len(all.Panels), 4)
	require.Len(t, few.Panels, 4)
	first, ok := u.First()
	require.True(t, ok)
	feed := u.Input.Columns[first.Column].Tag
	shown := func(c *chart.Timeline) bool {
		for _, p := range c.Panels {
			for _, s := range p.Series {
				if s.Name == feed {
					return true
				}
			}
		}
		return false
	}
	require.True(t, shown(all))
	require.True(t, shown(few))
	require.Equal(t, all.Panels[0].Name, few.Panels[0].Name)
}
