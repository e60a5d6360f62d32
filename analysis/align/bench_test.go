package align_test

import (
	"testing"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/series"
)

const yearMinutes = 365 * 1440

// year is one tag at one minute for a year, the readings so many seconds past
// the whole minute.
func year(past int64) *series.Series {
	s := &series.Series{Tag: "year"}
	for i := range int64(yearMinutes) {
		s.Append(i*minute+past*1000, float64(i%1440)/100, 0)
	}
	return s
}

// restless is a year of readings as a plant gives them: some at odd times, one
// in fifty unusable, one in thirty uncertain, a gap now and then.
func restless() *series.Series {
	s := &series.Series{Tag: "restless"}
	at := int64(0)
	for i := range int64(yearMinutes) {
		var f series.Flag
		switch {
		case i%50 == 7:
			f = series.Bad
		case i%30 == 11:
			f = series.Uncertain
		case i%1000 == 0:
			at += 20 * minute
		}
		s.Append(at, float64(i*7919%1440)/100, f)
		at += minute + i%3
	}
	return s
}

func perReading(b *testing.B, n int) {
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/reading")
}

func BenchmarkOver(b *testing.B) {
	for _, c := range []struct {
		name string
		s    *series.Series
		r    align.Rule
	}{
		{"continuous", year(0), line},
		{"continuous off the minute", year(5), line},
		{"on-change", year(0), hold},
		{"restless", restless(), line},
	} {
		ws := align.Hours(c.s.T[0], c.s.T[c.s.Len()-1], time.UTC)
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				align.Over(c.s, c.r, ws)
			}
			perReading(b, c.s.Len())
		})
	}
}

// The work of 40 tags, each with its own memory, as an hourly table asks it.
func BenchmarkOverYearOf40Tags(b *testing.B) {
	tags := make([]*series.Series, 40)
	for i := range tags {
		tags[i] = year(0)
	}
	ws := align.Hours(0, yearMinutes*minute, time.UTC)
	for b.Loop() {
		for _, s := range tags {
			align.Over(s, line, ws)
		}
	}
	perReading(b, 40*yearMinutes)
}

// One window at a time at the far end, as tanks and episodes ask.
func BenchmarkOverLastHour(b *testing.B) {
	s := year(0)
	ws := []align.Window{{Start: (yearMinutes - 60) * minute, End: yearMinutes * minute}}
	for b.Loop() {
		align.Over(s, line, ws)
	}
}

func BenchmarkMinutes(b *testing.B) {
	for _, c := range []struct {
		name string
		s    *series.Series
		r    align.Rule
	}{
		{"continuous", year(0), line},
		{"continuous off the minute", year(5), line},
		{"on-change", year(0), hold},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				align.Minutes(c.s, c.r, align.Grid{N: yearMinutes})
			}
			perReading(b, yearMinutes)
		})
	}
}

// Readings are counted once for the two tags together: nanoseconds for one pair.
func BenchmarkProduct(b *testing.B) {
	s, late := year(0), year(5)
	quarter := &series.Series{Tag: "quarter hours"}
	for i := range int64(365 * 96) {
		quarter.Append(i*15*minute, float64(i%7), 0)
	}
	ws := align.Hours(0, yearMinutes*minute, time.UTC)
	for _, c := range []struct {
		name   string
		a, b   *series.Series
		ra, rb align.Rule
	}{
		{"both continuous", s, s, line, line},
		{"continuous and on-change", s, s, line, hold},
		{"on-change now and then", s, quarter, line, hold},
		{"at other times", s, late, line, line},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				align.Product(c.a, c.b, c.ra, c.rb, ws)
			}
			perReading(b, yearMinutes)
		})
	}
}
