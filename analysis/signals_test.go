package analysis_test

import (
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/plant"
)

// texts are exports held as texts, by name.
type texts map[string]string

// input is a plant with its exports.
func (x texts) input(t *testing.T, toml, tags string) analysis.Input {
	t.Helper()
	p, err := plant.Load("plant.toml", strings.NewReader(toml), "tags.csv", strings.NewReader(tags))
	require.NoError(t, err)
	in := analysis.Input{Plant: p}
	for _, name := range slices.Sorted(maps.Keys(x)) {
		text := x[name]
		in.Files = append(in.Files, export.File{Name: name, Size: int64(len(text)), Open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(text)), nil }})
	}
	return in
}

// every writes a sheet of five-minute readings of April 2026, from one day up to another. ripple
// is a small share that moves: a meter that reads one number for days is stuck.
func every(head string, from, to int, of func(at time.Time, ripple float64) []float64) string {
	var b strings.Builder
	b.WriteString(head + "\n")
	for at := time.Date(2026, 4, from, 0, 0, 0, 0, time.UTC); at.Day() < to; at = at.Add(5 * time.Minute) {
		b.WriteString(at.Format("2006-01-02 15:04"))
		for _, v := range of(at, 0.01*math.Sin(float64(at.Unix()-1775000000)/1700)) {
			fmt.Fprintf(&b, ",%.4f", v)
		}
		b.WriteString("\n")
	}
	return b.String()
}
