package contact

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// published reads a table of values typed from print; see its source column.
func published(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("../../testdata/published/" + name)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 1)
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, h := range rows[0] {
			m[h] = r[i]
		}
		out = append(out, m)
	}
	return out
}

func num(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// near asserts a number, then the tolerance: InDelta alone lets NaN pass.
func near(t testing.TB, want, got, tol float64, msg ...any) {
	t.Helper()
	require.False(t, math.IsNaN(got) || math.IsInf(got, 0), msg...)
	require.InDelta(t, want, got, tol, msg...)
}

func column(n int, f func(i int) float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = f(i)
	}
	return out
}

func constant(n int, v float64) []float64 { return column(n, func(int) float64 { return v }) }
