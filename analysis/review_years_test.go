package analysis_test

import (
	"bytes"
	"context"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/review"
	"weirbook/examples"
	"weirbook/examples/ready"
)

// Spring and summer of two generator years, read from their exports: on 1 April
// 2025 the residual aimed at went from 2.4 to 2.0 mg/L, the flow grows by 2 % a year
// (0.08 MGD), and the basin's contact time is 0.6 of 150,000 gal.
func TestReviewOfGeneratorYears(t *testing.T) {
	if testing.Short() {
		t.Skip("eight months of minutes; the tests without -short have them")
	}
	all, err := examples.Years(3, 2)
	require.NoError(t, err)
	var files []examples.File
	for _, f := range all {
		for _, month := range []string{"plant/", "2024-05", "2024-06", "2024-07", "2024-08", "2025-05", "2025-06", "2025-07", "2025-08"} {
			if len(f.Name) >= len(month) && (f.Name[:len(month)] == month || len(f.Name) > 11 && f.Name[len(f.Name)-11:len(f.Name)-4] == month) {
				files = append(files, f)
				break
			}
		}
	}
	in, err := input(files, nil)
	require.NoError(t, err)
	at := func(y, m int) int64 { return time.Date(y, time.Month(m), 1, 0, 0, 0, 0, in.Plant.Zone).UnixMilli() }
	in.From, in.To = at(2025, 5), at(2025, 9)
	r, err := analysis.Review(context.Background(), in, at(2024, 5), at(2024, 9), review.BySeason)
	require.NoError(t, err)
	require.Equal(t, 123*24, r.Review.Main.Len())
	var told []string
	for _, c := range r.Review.Comparisons {
		if c.Says == "higher" || c.Says == "lower" {
			told = append(told, c.Name+" "+c.Says)
		}
		switch c.Name {
		case "residual, lowest of the hour":
			require.Equal(t, "lower", c.Says)
			require.InDelta(t, -0.4, c.By, 0.1)
			require.True(t, c.Limits.Low <= -0.35 && c.Limits.High >= -0.45, c.Limits)
		case "flow":
			require.True(t, c.Limits.Low <= 0.08 && c.Limits.High >= 0.08, "%v", c.Limits)
		case "temperature", "pH", "ammonia as N":
			require.Equal(t, "no change told", c.Says, c.Name)
		}
	}
	t.Log(told)
	require.InDelta(t, 0.6*0.15, r.Review.Capacity[0].Basins[0].Effective, 0.001)
	b := r.Review.Capacity[0].All[1]
	if !math.IsNaN(b.Flow) {
		// At 2.0 mg/L CT of 30 binds at 2.0·1440·0.09/30 = 8.64 MGD; nine hours in ten hold less.
		require.InDelta(t, 8.64, b.Flow, 1.3)
	}
	used := 0.0
	for _, u := range r.Review.Use {
		used += u.Pounds
	}
	require.Positive(t, used)
}

// Two plants in one set of exports: the tags that tags.csv does not name are
// counted in the ledger, and no figure takes them.
func TestReviewOfTwoPlantsInOneSet(t *testing.T) {
	if testing.Short() {
		t.Skip("a month and two trains; the tests without -short have them")
	}
	a, err := examples.Demo(examples.DemoSeed)
	require.NoError(t, err)
	other, err := examples.TwoTrains(5)
	require.NoError(t, err)
	alone, err := input(a, nil)
	require.NoError(t, err)
	one, err := analysis.Review(context.Background(), alone, 0, 0, review.BySeason)
	require.NoError(t, err)
	both := alone
	both.Files = append([]export.File(nil), alone.Files...)
	texts, err := ready.Write(other)
	require.NoError(t, err)
	for i := range texts { // no name is of both plants
		for _, prefix := range []string{"MB-", "FF.", "FF-"} {
			texts[i].Data = bytes.ReplaceAll(texts[i].Data, []byte(prefix), []byte("ELSEWHERE-"+prefix))
		}
	}
	more, err := ready.Input(texts, nil)
	require.NoError(t, err)
	for _, tag := range more.Plant.Tags {
		require.Contains(t, tag.Name, "ELSEWHERE-")
	}
	both.Files = append(both.Files, more.Files...)
	two, err := analysis.Review(context.Background(), both, 0, 0, review.BySeason)
	require.NoError(t, err)
	require.Equal(t, one.Review.Reliability, two.Review.Reliability)
	strange := 0
	for _, l := range two.Read.Ledger {
		strange += l.Rows - l.Used
	}
	require.Greater(t, strange, 100_000)
}
