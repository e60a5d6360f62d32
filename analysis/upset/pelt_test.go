package upset_test

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/upset"
	"weirbook/testdata/published"
)

func rss(y []float64, cuts []int) float64 {
	cuts = append(append([]int{0}, cuts...), len(y))
	var sum float64
	for k := 1; k < len(cuts); k++ {
		seg := y[cuts[k-1]:cuts[k]]
		var m float64
		for _, v := range seg {
			m += v
		}
		m /= float64(len(seg))
		for _, v := range seg {
			sum += (v - m) * (v - m)
		}
	}
	return sum
}

// TestPublishedChangePoints holds the change points against a reference program
// on the same series with the same penalty, and against a public article.
func TestPublishedChangePoints(t *testing.T) {
	sheet := published.NewSheet(t)
	series := map[string][]float64{}
	for _, r := range published.Load(t, "upset_series").Rows {
		id := r.Text(t, "series")
		require.Equal(t, strconv.Itoa(len(series[id])), r.Text(t, "index"))
		series[id] = append(series[id], r.Num(t, "value"))
	}
	for _, r := range published.Load(t, "upset_changes").Rows {
		y := series[r.Text(t, "series")]
		require.NotEmpty(t, y)
		got := upset.Changes(y, r.Num(t, "penalty"), int(r.Num(t, "min_length")))
		var words []string
		for _, c := range got {
			words = append(words, strconv.Itoa(c))
		}
		sheet.Same(r.Text(t, "id"), r.Source(), r.Mark(), r.Text(t, "starts"), strings.Join(words, "|"))
		if r.Text(t, "rss") != "" {
			sheet.Row(r, "rss", rss(y, got))
		}
	}
}

// best is the least cost over all partitions, by trying every last segment.
func best(y []float64, penalty float64, minLen int) float64 {
	f := make([]float64, len(y)+1)
	f[0] = -penalty
	for t := 1; t <= len(y); t++ {
		f[t] = math.Inf(1)
		for c := 0; c <= t-minLen; c++ {
			f[t] = math.Min(f[t], f[c]+rss(y[c:t], nil)+penalty)
		}
	}
	return f[len(y)]
}

func TestPruningLosesNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	for trial := 0; trial < 400; trial++ {
		y := make([]float64, 6+r.IntN(60))
		level := 100 * r.NormFloat64()
		for i := range y {
			if r.IntN(12) == 0 {
				level += 4 * r.NormFloat64()
			}
			y[i] = level + r.NormFloat64()
		}
		minLen := 1 + r.IntN(5)
		penalty := 20 * r.Float64()
		cuts := upset.Changes(y, penalty, minLen)
		if len(y) < 2*minLen {
			require.Empty(t, cuts)
			continue
		}
		last := 0
		for _, c := range append(append([]int(nil), cuts...), len(y)) {
			require.GreaterOrEqual(t, c-last, minLen)
			last = c
		}
		require.InDelta(t, best(y, penalty, minLen), rss(y, cuts)+penalty*float64(len(cuts)), 1e-6)
	}
}

func TestChangesOfTheSmallest(t *testing.T) {
	require.Empty(t, upset.Changes(nil, 1, 3))
	require.Empty(t, upset.Changes([]float64{1}, 1, 0))
	require.Equal(t, []int{1}, upset.Changes([]float64{0, 9}, 1, 1))
	require.True(t, math.IsInf(upset.Penalty([]float64{1, 2}, 3), 1))
	// A constant series has no scatter: the penalty stays above zero, and no change is made up.
	flat := make([]float64, 50)
	require.Empty(t, upset.Changes(flat, upset.Penalty(flat, 3), 3))
}
