package upsets

import (
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/upset"
	"weirbook/examples/simulate"
)

// TestKnownFirstMovers explains one round of upsets with known first movers, of
// the seeds that thresholds were set on, and prints the score. The score on
// months nobody has seen is that of examples/score/upset.
func TestKnownFirstMovers(t *testing.T) {
	if testing.Short() {
		t.Skip("a round of simulated upsets; the tests without -short have it")
	}
	var outs []Outcome
	first, n, order, known := 0, 0, 0, 0
	for _, c := range Cases(4000, 1, simulate.Nitrified) {
		o, err := Run(c, upset.DefaultSettings())
		require.NoError(t, err, c.Name)
		outs = append(outs, o)
		if !o.Episode {
			continue
		}
		n++
		if o.FirstRight {
			first++
		}
		if o.OrderKnown {
			known++
			if o.OrderRight {
				order++
			}
		}
	}
	t.Log("\n" + Report(outs, 4000))
	require.GreaterOrEqual(t, n, 11, "episodes to score on")
	require.GreaterOrEqual(t, float64(first), 0.9*float64(n))
	require.GreaterOrEqual(t, float64(order), 0.75*float64(known))
}

func TestOrderOfTheFirstThree(t *testing.T) {
	const m = 60_000
	at := map[string]int64{"a": 0, "b": 10 * m, "c": 40 * m, "d": 90 * m}
	require.True(t, orderRight([]string{"a", "b", "c"}, at))
	require.True(t, orderRight([]string{"b", "a", "c"}, at), "ten minutes are one")
	require.False(t, orderRight([]string{"a", "c", "b"}, at))
	require.False(t, orderRight([]string{"b", "c", "a"}, at))
	require.False(t, orderRight([]string{"a", "b", "x"}, at), "x did not move")
	require.False(t, orderRight([]string{"a", "b"}, at))
	require.False(t, orderRight([]string{"a", "b", "d"}, at), "c came before d")
}
