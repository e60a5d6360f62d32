package analysis_test

import (
	"context"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/review"
	"weirbook/examples"
	"weirbook/examples/simulate"
)

// A review of the demo month must count the hours that a run counts, and hold the
// months that the monthly summary holds.
func TestReviewAgreesWithRun(t *testing.T) {
	files, err := examples.Demo(examples.DemoSeed)
	require.NoError(t, err)
	in, err := input(files, nil)
	require.NoError(t, err)
	run, err := analysis.Run(context.Background(), in)
	require.NoError(t, err)
	rev, err := analysis.Review(context.Background(), in, 0, 0, review.BySeason)
	require.NoError(t, err)
	require.Equal(t, 1, rev.Windows)
	sum := run.Basins[0].Summary()
	x := rev.Review.Reliability[0]
	require.Equal(t, "all that is asked", x.What)
	require.Equal(t, len(run.Hours), rev.Review.Main.Len())
	require.Equal(t, sum.Determined, x.Hours.N)
	require.Equal(t, sum.Met+sum.MetWithin, x.Hours.Met)
	require.Equal(t, sum.ShortInDoubt+sum.MetInDoubt, x.Hours.InDoubt)
	n := 0
	for _, c := range review.Causes() {
		n += x.Causes[c]
	}
	require.Equal(t, x.Hours.N-x.Hours.Met, n, "every short hour has one cause")
	lb, hours := analysis.Total(column(t, run, "hypochlorite.chlorine_used"))
	require.Equal(t, len(run.Hours), hours)
	used := 0.0
	for _, u := range rev.Review.Use {
		if u.Feed == "hypochlorite" {
			used += u.Pounds
		}
	}
	require.InDelta(t, lb, used, 1e-6*lb)

	month := demoMonth(t)
	for _, l := range rev.Review.Limits {
		for _, m := range month.Month.Lines {
			if m.Parameter == l.Parameter && m.Point == l.Point && strings.TrimSpace(m.Statistic+" "+m.Part) == l.Statistic {
				require.Equal(t, m.State, l.Months[0].State, l.Statistic)
				if !math.IsNaN(m.Value) {
					require.InDelta(t, m.Value, l.Months[0].Value, 1e-9, l.Parameter+l.Statistic)
				}
			}
		}
	}
}

func column(t *testing.T, r *analysis.Result, name string) []float64 {
	c, ok := r.Hourly.Column(name)
	require.True(t, ok, name)
	return c.Values
}

// plantYear is an invented plant's record as exports by the month.
func plantYear(t testing.TB, cfg simulate.Config, edit func(string) string) (analysis.Input, *simulate.Month) {
	t.Helper()
	files, m, err := examples.Record(cfg)
	require.NoError(t, err)
	in, err := input(files, edit)
	require.NoError(t, err)
	return in, m
}

// A record read in stretches must give the hours that one read whole gives.
func TestReviewInStretchesIsTheWhole(t *testing.T) {
	if testing.Short() {
		t.Skip("130 days of minutes; the tests without -short have it")
	}
	in, _ := plantYear(t, simulate.Config{Name: "stretches", Seed: 4, Start: time.Date(2026, time.January, 20, 0, 0, 0, 0, time.UTC), Days: 130, Plant: simulate.DemoPlant()}, nil)
	run, err := analysis.Run(context.Background(), in)
	require.NoError(t, err)
	rev, err := analysis.Review(context.Background(), in, 0, 0, review.BySeason)
	require.NoError(t, err)
	require.Equal(t, 2, rev.Windows)
	require.Equal(t, len(run.Hours), len(rev.Record.Hours))
	for _, name := range []string{"contact_basin.flow", "contact_basin.ct_min", "hypochlorite.dose", "outfall.chlorine_total", "treated.volume"} {
		whole, parts := column(t, run, name), rev.Record.Values(name)
		apart := 0
		for i := range whole {
			if math.IsNaN(whole[i]) != math.IsNaN(parts[i]) || math.Abs(whole[i]-parts[i]) > 1e-9*math.Abs(whole[i]) {
				apart++
			}
		}
		// Service dips are told from what is usual, which a stretch knows less of.
		require.LessOrEqual(t, apart, len(whole)/100, name)
	}
	b := rev.Record.Basins[0]
	determined := 0
	for i, h := range run.Basins[0].Hours {
		if h.Verdict == b.Verdict[i] {
			determined++
		}
	}
	require.Greater(t, determined, len(run.Hours)*99/100)
}

func TestReviewRefuses(t *testing.T) {
	files, err := examples.Demo(examples.DemoSeed)
	require.NoError(t, err)
	in, err := input(files, nil)
	require.NoError(t, err)
	at := func(d int) int64 {
		return time.Date(2026, time.March, d, 0, 0, 0, 0, in.Plant.Zone).UnixMilli()
	}
	in.From, in.To = at(10), at(20)
	for _, c := range []struct {
		from, to int64
		says     string
	}{
		{at(15), at(25), "the two periods overlap"},
		{at(400), at(420), "no reading of a signal in that period"},
	} {
		_, err := analysis.Review(context.Background(), in, c.from, c.to, review.BySeason)
		require.ErrorContains(t, err, c.says)
	}
	in.From, in.To = at(300), at(320)
	_, err = analysis.Review(context.Background(), in, 0, 0, review.BySeason)
	require.ErrorContains(t, err, "no reading of a signal in the period asked for")
	in.From, in.To = at(10), at(10)+6*3_600_000
	_, err = analysis.Review(context.Background(), in, 0, 0, review.BySeason)
	require.ErrorContains(t, err, "a review needs 24")
	in.From, in.To = 0, 0
	in.Files = []export.File{{Name: "other.csv", Open: func() (io.ReadCloser, error) {
		return io.NopCloser(strings.NewReader("time,tag,value\n2026-03-01 00:00,X-1,5\n")), nil
	}}}
	_, err = analysis.Review(context.Background(), in, 0, 0, review.BySeason)
	require.ErrorContains(t, err, "no tag of tags.csv is in any export")
}
