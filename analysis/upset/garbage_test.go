package upset_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/align"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
	"weirbook/analysis/upset"
)

// Whatever the readings are, an explanation ends without a panic, its parts add
// up, and its words hold no "NaN".
func TestAnyReadingsAreExplained(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 4))
	loc, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	explained := 0
	for range 60 {
		n := 1 + r.IntN(6*1440)
		column := func(lo, hi float64) []float64 {
			if r.IntN(6) == 0 {
				return nil
			}
			v := make([]float64, n)
			level, hold := lo+(hi-lo)*r.Float64(), 0
			for i := range v {
				if hold--; hold < 0 {
					hold = r.IntN(600)
					level = lo + (hi-lo)*r.Float64()
					switch r.IntN(6) {
					case 0:
						level = math.NaN()
					case 1:
						level = 0
					}
				}
				v[i] = level
			}
			return v
		}
		in := upset.Input{Grid: align.Grid{Start: 1_772_300_000 / 60 * 60, N: n}, Loc: loc, Plant: "x", Metric: r.IntN(2) == 0,
			Basin: upset.Basin{Title: "b", CT: column(0, 80), Required: []float64{30}, Residual: column(0, 4), Contact: column(1, 60), Volume: column(0, 1e5),
				Delay: column(0, 90), Flow: column(0, 9), Feed: column(0, 20), Strength: column(0.5, 1.2), Dose: column(0, 9), Temp: column(1, 25), PH: column(6, 9),
				ResidualMin: math.NaN()},
			Chlorine:       upset.Supply{Title: "c", Gas: r.IntN(4) == 0, FullStroke: math.NaN(), Capacity: 10, LbPerGal: math.NaN(), Ratio: math.NaN()},
			Dechlorination: upset.Supply{FullStroke: math.NaN(), Capacity: math.NaN(), LbPerGal: math.NaN(), Ratio: 1.6},
			Outfall:        upset.Outfall{Final: column(-0.1, 1), Flow: column(0, 9), DetectMgL: math.NaN(), Salt: r.IntN(2) == 0},
		}
		if r.IntN(2) == 0 {
			in.Basin.RequiredAt = func(temp, ph, c float64) float64 { return 2*ph + c - 0.1*temp }
		}
		for k, kind := range []quantity.Kind{quantity.Flow, quantity.AmmoniaN, quantity.HypochloriteFeed, upset.Demand, quantity.ChlorineTotal, quantity.BisulfiteFeed} {
			in.Columns = append(in.Columns, upset.Column{Tag: string(kind), Kind: kind, Title: string(kind), Unit: "u", V: column(0, 9), Place: upset.Place(min(k, 4)),
				Lead: r.Float64(), LeadMin: 20 * r.NormFloat64(), Steers: k == 2})
		}
		for _, w := range []upset.What{upset.CTShort, upset.ResidualLow, upset.ResidualHigh, upset.FinalHigh} {
			in.Judged = append(in.Judged, upset.Judged{What: w, Title: string(w), Unit: "u", V: column(0, 60), Limit: []float64{60 * r.Float64()}, Flow: column(0, 5), RestsOn: []string{"flow"}})
			if in.Judged[len(in.Judged)-1].V == nil {
				in.Judged = in.Judged[:len(in.Judged)-1]
			}
		}
		es := find(t, in)
		over := series.Stretch{Start: in.Grid.Milli(r.IntN(n)), End: in.Grid.Milli(n)}
		given, err := upset.Given(in, upset.DefaultSettings(), over)
		require.NoError(t, err)
		for _, e := range append([]upset.Episode{given}, es...) {
			x, err := upset.Explain(in, e, es, upset.DefaultSettings())
			require.NoError(t, err)
			explained++
			if len(x.Split.Parts) > 0 {
				var sum float64
				for _, p := range x.Split.Parts {
					sum += p.CT
				}
				want := x.Split.Margin() - x.Split.NormalMargin()
				require.InDelta(t, want, sum, 1e-6*(1+math.Abs(want)+math.Abs(x.Split.NormalMargin())))
			}
			text := upset.Narrative(in, x)
			require.NotContains(t, text, "NaN")
			require.NotContains(t, text, "%!")
		}
	}
	require.Greater(t, explained, 100)
}
