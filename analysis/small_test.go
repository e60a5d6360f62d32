package analysis_test

import (
	"context"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/export"
	"weirbook/analysis/plant"
)

// small is a plant of a few tags, described and exported in a test: 24 hours of
// minutes on 2 March 2026, UTC, unless hours says otherwise.
type small struct {
	toml  string
	tags  string // rows under tag,measures,at,unit,reading,low,high,note,accuracy
	value map[string]func(m int) float64
	lab   string // rows of time,tag,value
	hours int
}

var smallStart = time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)

// run analyses the plant. NaN leaves a row out.
func (s small) run(t testing.TB) *analysis.Result {
	t.Helper()
	r, err := s.try()
	require.NoError(t, err)
	return r
}

func (s small) try() (*analysis.Result, error) {
	toml := s.toml
	if !strings.Contains(toml, "time_zone") {
		toml = "time_zone = \"UTC\"\n" + toml
	}
	p, err := plant.Load("plant.toml", strings.NewReader("name = \"Small\"\n"+toml), "tags.csv",
		strings.NewReader("tag,measures,at,unit,reading,low,high,note,accuracy\n"+s.tags))
	if err != nil {
		return nil, err
	}
	if s.hours == 0 {
		s.hours = 24
	}
	var names []string
	for _, tag := range p.Tags {
		if s.value[tag.Name] != nil {
			names = append(names, tag.Name)
		}
	}
	var b strings.Builder
	b.WriteString("time,tag,value\n")
	for m := range 60 * s.hours {
		at := smallStart.Add(time.Duration(m) * time.Minute).Format("2006-01-02T15:04:05Z")
		for _, name := range names {
			if v := s.value[name](m); !math.IsNaN(v) {
				fmt.Fprintf(&b, "%s,%s,%.10g\n", at, name, v)
			}
		}
	}
	b.WriteString(s.lab)
	text := b.String()
	file := export.File{Name: "all.csv", Size: int64(len(text)), Open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(text)), nil }}
	return analysis.Run(context.Background(), analysis.Input{Plant: p, Files: []export.File{file}})
}

// with gives a copy with a part of the description replaced.
func (s small) with(old, new string) small {
	if !strings.Contains(s.toml, old) {
		panic("not in the description: " + old)
	}
	s.toml = strings.Replace(s.toml, old, new, 1)
	return s
}

func always(v float64) func(int) float64 { return func(int) float64 { return v } }

// hourly is a figure of the hourly table at an hour; daily one of a day.
func hourly(t testing.TB, r *analysis.Result, name string, hour int) float64 {
	t.Helper()
	c, ok := r.Hourly.Column(name)
	require.True(t, ok, "hourly.csv has no column %s; it has %s", name, columnNames(r.Hourly))
	return c.Values[hour]
}

func daily(t testing.TB, r *analysis.Result, name string, day int) float64 {
	t.Helper()
	c, ok := r.Daily.Column(name)
	require.True(t, ok, "daily.csv has no column %s; it has %s", name, columnNames(r.Daily))
	return c.Values[day]
}

func columnNames(tb analysis.Table) string {
	var out []string
	for _, c := range tb.Columns {
		out = append(out, c.Name)
	}
	return strings.Join(out, " ")
}

func words(t testing.TB, r *analysis.Result, name string, hour int) string {
	t.Helper()
	for _, w := range r.Hourly.Words {
		if w.Name == name {
			return w.Values[hour]
		}
	}
	require.Fail(t, "no column of words "+name)
	return ""
}

// near asserts a number first: InDelta alone lets NaN pass.
func near(t testing.TB, want, got, tol float64, msg ...any) {
	t.Helper()
	require.False(t, math.IsNaN(got) || math.IsInf(got, 0), msg...)
	require.InDelta(t, want, got, tol, msg...)
}
