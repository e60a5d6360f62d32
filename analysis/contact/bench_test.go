package contact

import (
	"math"
	"testing"

	"weirbook/analysis/align"
)

func benchmarkHours(b *testing.B, days int, level bool) {
	n := 1440 * days
	w := 2 * math.Pi / 1440
	m := Minutes{
		FlowMGD:  column(n, func(i int) float64 { return 5 + 2*math.Sin(w*float64(i)) }),
		Residual: column(n, func(i int) float64 { return 2 + 0.5*math.Cos(w*float64(i)) }),
	}
	basin := plug(200_000, 0.6)
	if level {
		basin.VolumeByMinute = column(n, func(i int) float64 { return 2e5 + 1e4*math.Sin(w*float64(i)) })
	}
	g := align.Grid{Start: 1_767_225_600, N: n}
	var hours []align.Window
	for h := range 24 * days {
		hours = append(hours, align.Window{Start: g.Milli(60 * h), End: g.Milli(60 * (h + 1))})
	}
	s := DefaultSettings()
	b.ReportAllocs()
	for b.Loop() {
		tr, err := Dynamic(basin, m, s)
		if err != nil {
			b.Fatal(err)
		}
		if _, err = Hourly(g, hours, tr, s); err != nil {
			b.Fatal(err)
		}
		if _, err = Steady(g, hours, basin, m, s); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkMonth(b *testing.B)      { benchmarkHours(b, 31, false) }
func BenchmarkYear(b *testing.B)       { benchmarkHours(b, 365, false) }
func BenchmarkYearLevels(b *testing.B) { benchmarkHours(b, 365, true) }

func BenchmarkLogInactivation(b *testing.B) {
	seg := []SegmentCT{{40, Conditions{TempC: 12, PH: 7.3, ChlorineMgL: 1.1}}}
	for b.Loop() {
		LogInactivation(Giardia, FreeChlorine, seg, Conservative)
	}
}
