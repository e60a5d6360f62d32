package main

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// No file is silently wrong. The long run takes every crossing, the short one
// every fifteenth, begun at another place than the pairs of the first axes.
func TestNothingIsSilentlyWrong(t *testing.T) {
	all := crossings()
	require.Greater(t, len(all), 2500)
	step := 3
	if testing.Short() {
		step = 15
	}
	var some []crossing
	for i := step / 2; i < len(all); i += step {
		some = append(some, all[i])
	}
	counts, lines := score(some, 1)
	for _, l := range lines {
		if what, why, _ := strings.Cut(strings.TrimSpace(strings.TrimPrefix(l, outcomeNames[silent])), ": "); strings.HasPrefix(l, outcomeNames[silent]) {
			t.Errorf("silently wrong: %s: %s\nlook at it with go run ./examples/dirty -show '%s'", what, why, what)
		}
	}
	require.Greater(t, counts[right], len(some)*9/10, "most are read without a question")
}

// The comparison sees a value that is another, a time that is another, a reading
// too many and one too few.
func TestComparisonSeesFaults(t *testing.T) {
	for what, damage := range map[string]func(w *written){
		"value":    func(w *written) { w.truth["CL-7"][5].v += 0.01 },
		"time":     func(w *written) { w.truth["CL-7"][5].t = w.truth["CL-7"][5].t.Add(time.Minute) },
		"too many": func(w *written) { w.truth["TT-3"] = w.truth["TT-3"][1:] },
		"too few":  func(w *written) { w.truth["TT-3"] = append(w.truth["TT-3"], reading{t: w.last.AddDate(0, 0, 1)}) },
		"bad":      func(w *written) { w.truth["OR-9"][7].bad = true },
	} {
		w := write(plain(), 1)
		v, _, err := judge(w, false)
		require.NoError(t, err)
		require.Equal(t, right, v.outcome)
		damage(&w)
		v, _, err = judge(w, false)
		require.NoError(t, err)
		require.Equal(t, silent, v.outcome, what)
	}
}
