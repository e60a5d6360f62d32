package screen_test

import (
	"math/rand/v2"
	"testing"

	"weirbook/analysis/quantity"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
)

// The benchmarks screen and mark a year of minutes of some continuous tags:
//
//	go test ./analysis/screen -run xxx -bench Year -cpu 1 -benchtime 5x -benchmem

// BenchmarkYearClean is the ordinary case: every reading a number without a flag.
func BenchmarkYearClean(b *testing.B) { benchYear(b, 0) }

// BenchmarkYearSomeBad has one reading in a thousand marked bad by the export.
func BenchmarkYearSomeBad(b *testing.B) { benchYear(b, 0.001) }

func benchYear(b *testing.B, bad float64) {
	tags := []screen.Tagged{
		tag(signal(0, 365*day, 620, 62, 6.2, 1), quantity.ORP, "mV"),
		tag(signal(1, 365*day, 2, 0.2, 0.02, 0.01), quantity.ChlorineTotal, "mg/L"),
		tag(signal(2, 365*day, 5, 0.5, 0.05, 0.01), quantity.Flow, "MGD"),
		tag(signal(3, 365*day, 7, 0.7, 0.07, 0.01), quantity.PH, "pH"),
		tag(signal(4, 365*day, 18, 1, 0.1, 0.1), quantity.Temp, "°C"),
		tag(signal(5, 365*day, 8, 1, 0.1, 0.01), quantity.HypochloriteFeed, "gal/h"),
	}
	r := rand.New(rand.NewPCG(1, 2))
	n := 0
	for _, tg := range tags {
		n += tg.Series.Len()
		for i := range tg.Series.F {
			if r.Float64() < bad {
				tg.Series.F[i] |= series.Bad
			}
		}
	}
	b.ResetTimer()
	for range b.N {
		rep := screen.Screen(tags, screen.DefaultSettings())
		if err := rep.Apply(tags); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/reading")
}
