package chart

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestLiveMonthsKeepTheirValues: months are of several lengths; each day of one
// reads that month's value and no other's.
func TestLiveMonthsKeepTheirValues(t *testing.T) {
	var s Series
	s.Form = Step
	for m := range 36 {
		s.T = append(s.T, time.Date(2023, time.Month(1+m), 1, 0, 0, 0, 0, time.UTC).UnixMilli())
		s.Y = append(s.Y, float64(m+1))
	}
	s.Width = 30 * dayMs
	c := &Timeline{Title: "t", Zone: time.UTC, Start: s.T[0], End: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC).UnixMilli(), Panels: []Panel{{Name: "p", Series: []Series{s}}}}
	l := readLive(t, c).Panels[0].Series[0]
	v := unpacked(l)
	require.Equal(t, int64(dayMs), l.Step)
	for i, x := range v {
		at := time.UnixMilli(l.At + int64(i)*l.Step).UTC()
		want := float64((at.Year()-2023)*12 + int(at.Month()))
		if at.Day() > 30 {
			require.True(t, math.IsNaN(x), at)
			continue
		}
		require.Equal(t, want, x, at)
	}
}

// TestLiveHours: an hour's mean, least and most, and a gap where nothing is known.
func TestLiveHours(t *testing.T) {
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC).UnixMilli()
	n := 20 * 1440
	y := make([]float64, n)
	for i := range y {
		y[i] = 2 + 0.01*float64(i%60)
		if h := i / 60; h == 5 || h == 6 && i%60 < 59 {
			y[i] = math.NaN()
		}
	}
	c := &Timeline{Title: "t", Zone: time.UTC, Start: start, End: start + int64(n)*minuteMs, Panels: []Panel{{Name: "p", Unit: "mg/L", Series: []Series{{Name: "a", T: Times(start, minuteMs, n), Y: y}}}}}
	l := readLive(t, c).Panels[0].Series[0]
	require.Equal(t, int64(hourMs), l.Step)
	mean := unpacked(l)
	require.InDelta(t, 2.295, mean[0], 0.0051)
	require.True(t, math.IsNaN(mean[5]))
	require.InDelta(t, 2.59, mean[6], 1e-9, "one reading is shown")
	l.Mean = l.High
	require.InDelta(t, 2.59, unpacked(l)[0], 1e-9)
}

func readLive(t *testing.T, c *Timeline) liveChart {
	t.Helper()
	data, err := c.Live()
	require.NoError(t, err)
	var out liveChart
	require.NoError(t, json.Unmarshal(data, &out))
	return out
}

func unpacked(l liveSeries) []float64 {
	var out []float64
	last := 0
	for _, d := range strings.Split(l.Mean, ",") {
		if d == "" {
			out = append(out, math.NaN())
			continue
		}
		n, _ := strconv.Atoi(d)
		last += n
		out = append(out, float64(last)/math.Pow(10, float64(l.Tens)))
	}
	return out
}
