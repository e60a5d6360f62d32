package upset_test

import (
	"testing"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/upset"
)

// A year of minutes with an upset every week.
func BenchmarkYearOfUpsets(b *testing.B) {
	in := yearOf(b, 7)
	b.ResetTimer()
	for range b.N {
		es, err := upset.Find(in, upset.DefaultSettings())
		if err != nil {
			b.Fatal(err)
		}
		for _, e := range es {
			if _, err := upset.Explain(in, e, es, upset.DefaultSettings()); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(len(es)), "episodes")
	}
}

func yearOf(b *testing.B, every int) upset.Input {
	loc, err := time.LoadLocation("America/Denver")
	if err != nil {
		b.Fatal(err)
	}
	return build(loc, 365, func(g align.Grid, flow, feed, demand []float64) {
		for d := 10; d < 365; d += every {
			set(feed, d*1440+600, d*1440+720, 0)
		}
	})
}
