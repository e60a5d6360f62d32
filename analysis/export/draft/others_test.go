package draft_test

import (
	"context"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export"
	"weirbook/analysis/export/draft"
	"weirbook/examples/simulate"
)

// others are tags that a plant has beside those of disinfection. Their values are
// crude: a day's swing, noise, and what a signal of the month showed at another time.
func others(m *simulate.Month) []simulate.Tag {
	by := map[string][]float64{}
	n := 0
	for _, t := range m.Tags {
		by[t.Name], n = t.V, len(t.V)
	}
	r := rand.New(rand.NewPCG(17, 4))
	// was gives a signal as it stood some minutes ago (ahead: minus), cleaned of gaps.
	was := func(tag string, ago int) func(int) float64 {
		last := 0.0
		for _, v := range by[tag] {
			if v > 0 {
				last = v
				break
			}
		}
		return func(i int) float64 {
			if v := by[tag][min(max(i-ago, 0), n-1)]; !math.IsNaN(v) {
				last = v
			}
			return last
		}
	}
	day := func(i, peak int) float64 { return math.Cos(2 * math.Pi * float64(i-peak) / 1440) }
	noise := func(sd float64) float64 { return sd * r.NormFloat64() }
	flow, warm, acid, left, total, gone := was("FIT-101", 0), was("TIT-426", -200), was("AIT-425", -50), was("AIT-425", 8), was("AIT-421", -45), 0.0
	pumped := was("FIC-411", 0)
	slow, waste, do := flow(0), 0.05, 2.0
	level := []float64{9, 7.5}
	add := func(name, measures, at, unit string, high float64, decimals int, f func(i int) float64) simulate.Tag {
		t := simulate.Tag{Name: name, Measures: measures, At: at, Unit: unit, High: high, Decimals: decimals, V: make([]float64, n), Q: make([]simulate.Quality, n)}
		for i := range t.V {
			t.V[i], t.Q[i] = f(i), simulate.Good
		}
		return t
	}
	tank := func(k int) func(int) float64 {
		return func(i int) float64 {
			if level[k] -= pumped(i) / 60 / 400; level[k] < 2 {
				level[k] = 10.5
			}
			return level[k] + noise(0.01)
		}
	}
	return []simulate.Tag{
		add("X-INF-PH", "ph", "influent", "pH", 14, 2, func(i int) float64 { return 7.3 + 0.2*day(i, 600) + noise(0.04) }),
		add("X-INF-TEMP", "temperature", "influent", "degC", 50, 1, func(i int) float64 { return warm(i) + 0.3*day(i, 800) + noise(0.05) }),
		add("X-AER-DO", "dissolved_oxygen", "aeration", "mg/L", 20, 2, func(i int) float64 {
			do += 0.05*(2+0.5*day(i, 900)-do) + noise(0.06)
			return math.Max(do, 0.1)
		}),
		add("X-RAS", "flow", "return_sludge", "MGD", 20, 3, func(i int) float64 {
			slow += (flow(i) - slow) / 240
			return 0.55*slow + noise(0.02)
		}),
		add("X-WAS", "flow", "waste_sludge", "MGD", 1, 3, func(i int) float64 {
			if i%1440 == 480 {
				waste = 0.04 + 0.03*r.Float64()
			}
			return waste
		}),
		add("X-SEC-TURB", "turbidity", "secondary", "NTU", 100, 1, func(i int) float64 { return 3.2 + 0.6*day(i, 700) + math.Abs(noise(0.3)) }),
		add("X-SEC-PH", "ph", "secondary", "pH", 14, 2, func(i int) float64 { return acid(i) + 0.06 + noise(0.01) }),
		add("X-IN-TRC", "chlorine_total", "basin_inlet", "mg/L", 20, 2, func(i int) float64 { return 1.3*total(i) + 0.5 + noise(0.08) }),
		add("X-FIN-PH", "ph", "outfall", "pH", 14, 2, func(i int) float64 { return left(i) - 0.08 + noise(0.01) }),
		add("X-FIN-DO", "dissolved_oxygen", "outfall", "mg/L", 20, 2, func(i int) float64 { return 7.4 + 0.3*day(i, 840) + noise(0.05) }),
		add("X-HTANK", "level", "", "ft", 12, 2, tank(0)),
		add("X-STANK", "level", "", "ft", 12, 2, tank(1)),
		add("X-SP", "other", "", "mg/L", 10, 2, func(i int) float64 { return 1.5 + 0.2*math.Floor(float64(i%(4*1440))/1440) }),
		add("X-RUN", "run_status", "", "", 1, 0, func(i int) float64 {
			if i%9000 > 8900 {
				return 0
			}
			return 1
		}),
		add("X-SUM", "flow_total", "basin_outlet", "gal", 1e12, 0, func(i int) float64 { gone += flow(i) * 1e6 / 1440; return 4e8 + gone }),
	}
}

// TestFresh scores the draft on the styles of the second round.
func TestFresh(t *testing.T) {
	full := os.Getenv("DRAFT_SCORE")
	if testing.Short() {
		t.Skip("simulated fortnights; the tests without -short have it")
	}
	regimes := []simulate.Regime{simulate.Nitrified}
	if full != "" {
		regimes = append(regimes, simulate.Chloraminated, simulate.Partly)
	}
	var sum [2]tally
	var placed [2]int
	for _, regime := range regimes {
		m, err := simulate.Run(simulate.Config{Seed: 23, Days: 12, Plant: simulate.DefaultPlant(regime)})
		require.NoError(t, err)
		m.Tags = append(slices.Clone(m.Tags), others(m)...)
		for k, s := range fresh {
			exports, truth := named(m, s.style, k%2 == 1)
			r, err := export.Read(context.Background(), exports, export.Options{Looks: true, Zone: m.Loc})
			require.NoError(t, err)
			d := draft.Make(r, draft.Options{ZoneName: "America/Denver"})
			got := scored(d, truth)
			half := 0
			if s.count {
				half = 1
			}
			sum[half].add(got)
			for _, g := range d.Guesses {
				w, ok := truth[g.Tag]
				if ok && (w.at == "" || g.At == w.at && string(g.Measures) == w.measures) && !strings.Contains(g.Ask, "[at") && !strings.Contains(g.Ask, "[measures") {
					placed[half]++
				}
			}
			units := map[string]string{}
			for i := range m.Tags {
				name, _, _ := strings.Cut(s.tags[m.Tags[i].Name], "|")
				units[name] = m.Tags[i].Unit
			}
			answers, _ := answeredTrue(t, d, truth, units)
			if s.count {
				continue
			}
			t.Logf("%s, %s: %d tags, %d right, %d asked (%d of these guessed wrong), %d silently wrong, %d questions, %d answers", regime, s.name, got.tags, got.right, got.asked, len(got.open), got.silent, got.questions, answers)
			for _, x := range got.wrong {
				t.Log("    !", x)
			}
			for _, x := range got.open {
				t.Log("     ", x)
			}
			for _, q := range d.Questions {
				t.Log("    ? ", q)
			}
		}
	}
	for half, name := range []string{"tuned on", "counted only"} {
		s := sum[half]
		require.Zero(t, s.silent, name)
		require.GreaterOrEqual(t, float64(s.right), 0.70*float64(s.tags), name)
		t.Logf("%s: %d tags, %d right (%d in kind and place), %d asked (%d of these guessed wrong), %d silently wrong, %.1f questions a plant", name, s.tags, s.right, placed[half], s.asked, len(s.open), s.silent, float64(s.questions)/float64(8*len(regimes)))
	}
}
