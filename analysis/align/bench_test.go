package align_test

import (
	"testing"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/series"
)

// year is one tag at one minute for a year.
func year() *series.Series {
	s := &series.Series{Tag: "year"}
	for i := range int64(365 * 1440) {
		s.Append(i*minute, float64(i%1440)/100, 0)
	}
	return s
}

// The work of a year of 40 tags, one core: multiply by nothing.
func BenchmarkOverYearOf40Tags(b *testing.B) {
	s := year()
	ws := align.Hours(0, 365*1440*minute, time.UTC)
	for b.Loop() {
		for range 40 {
			align.Over(s, line, ws)
		}
	}
}

func BenchmarkMinutesYearOf40Tags(b *testing.B) {
	s := year()
	for b.Loop() {
		for range 40 {
			align.Minutes(s, line, align.Grid{N: 365 * 1440})
		}
	}
}

func BenchmarkProductYear(b *testing.B) {
	s := year()
	ws := align.Hours(0, 365*1440*minute, time.UTC)
	for b.Loop() {
		align.Product(s, s, line, hold, ws)
	}
}
