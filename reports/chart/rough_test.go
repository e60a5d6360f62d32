package chart

import (
	"fmt"
	"math"
	"math/rand"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// roughValue is any number that an analysis could hand on by mistake.
func roughValue(rng *rand.Rand) float64 {
	switch rng.Intn(12) {
	case 0:
		return math.NaN()
	case 1:
		return math.Inf(1 - 2*rng.Intn(2))
	case 2:
		return 0
	case 3:
		return -rng.ExpFloat64() * 100
	case 4:
		return math.Pow(10, rng.Float64()*24-12)
	}
	return rng.Float64() * 10
}

func roughColumn(rng *rand.Rand, n int) []float64 {
	out := make([]float64, n)
	base := roughValue(rng)
	for i := range out {
		out[i] = roughValue(rng)
		if rng.Intn(3) == 0 {
			out[i] = base
		}
	}
	return out
}

func finiteOr(v, or float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return or
	}
	return v
}

func roughCharts(rng *rand.Rand) []Chart {
	start := at("2026-02-20 00:00") + rng.Int63n(60*24*60)*minuteMs
	end := start + 1 + rng.Int63n(40*24)*hourMs
	n := rng.Intn(200)
	t := make([]int64, n)
	for i := range t {
		t[i] = start - dayMs + int64(i)*(end-start+2*dayMs)/int64(n)
	}
	p := Panel{Name: "rough", Unit: "mg/L", Log: rng.Intn(2) == 0,
		Series: []Series{{Name: "line", T: t, Y: roughColumn(rng, n)}, {Name: "step", T: t, Y: roughColumn(rng, n), Form: Step, Width: hourMs, Faint: true}, {Name: "bars", T: t, Y: roughColumn(rng, n), Form: Bars}},
		Bands:  []Band{{Name: "band", T: t, Lo: roughColumn(rng, n), Hi: roughColumn(rng, n)}},
		Limits: []Limit{{Name: "moves", T: t, Y: roughColumn(rng, n)}, {Name: "stands", Value: finiteOr(roughValue(rng), 1)}},
		Points: []Points{{Name: "points", T: t, Y: roughColumn(rng, n)}},
		Marked: []Span{{From: start - dayMs, To: end + dayMs, Name: "all"}, {From: start, To: start, Name: "moment"}},
	}
	if rng.Intn(3) == 0 {
		p.Keep = [2]float64{0, 10}
	}
	log := rng.Intn(2) == 0
	sc := &Scatter{Title: "rough", X: Axis{"x", "mg/L", log, nil}, Y: Axis{"y", "mV", !log, nil},
		Groups: []Group{{Name: "cloud", Cloud: true, X: roughColumn(rng, 50), Y: roughColumn(rng, 50)}, {Name: "g", X: roughColumn(rng, 9), Y: roughColumn(rng, 9)}, {Name: "s", Strong: true, X: roughColumn(rng, 9), Y: roughColumn(rng, 9)}},
		Curves: []Curve{{Name: "c", X: roughColumn(rng, 9), Y: roughColumn(rng, 9)}}, Bands: []CurveBand{{Name: "b", X: roughColumn(rng, 9), Lo: roughColumn(rng, 9), Hi: roughColumn(rng, 9)}},
		Limits: []Limit{{Name: "l", Value: finiteOr(roughValue(rng), 2)}}}
	dr := &DailyRange{Title: "rough", Name: "CT", Unit: "mg·min/L", Log: log}
	mo := &Monthly{Title: "rough", Name: "x", Unit: "mg/L", Log: !log, First: day("2026-02-10"), Days: 1 + rng.Intn(60), Limits: sc.Limits}
	for i := range 30 {
		d := day("2026-02-14").AddDate(0, 0, 2*i)
		dr.Days = append(dr.Days, DayRange{Day: d, Low: roughValue(rng), Mean: roughValue(rng), Required: roughValue(rng), State: State(rng.Intn(5))})
		mo.Results = append(mo.Results, Result{Day: d, Value: roughValue(rng), Sign: []rune{0, '<', '>'}[rng.Intn(3)]})
		mo.Averages = append(mo.Averages, Average{"a", d, d.AddDate(0, 0, 3), roughValue(rng)})
	}
	pr := &Probability{Title: "rough", Y: Axis{"y", "mV", log, nil}, Limits: sc.Limits, LineX: []float64{0.01, 0.99}, LineY: []float64{finiteOr(roughValue(rng), 1), 5}}
	for i := range 12 {
		pr.Values, pr.Share, pr.Below = append(pr.Values, roughValue(rng)), append(pr.Share, (float64(i)+0.5)/12), append(pr.Below, i%3 == 0)
	}
	db := &DayBands{Title: "rough"}
	for range 5 {
		db.Panels = append(db.Panels, DayBand{Name: "a quantity of some length, at a place of a name as long", Unit: "mg/L", Lo: roughColumn(rng, 24), Mid: roughColumn(rng, 24), Hi: roughColumn(rng, 24)})
	}
	return []Chart{db, &Timeline{Title: "rough", Zone: time.UTC, Start: start, End: end, Panels: []Panel{p}}, sc, dr, mo, pr}
}

// TestRoughDataNeverBreaksADrawing draws columns with infinities, zeros on
// logarithmic axes and values of all sizes: every mark must have a place on the
// sheet, and no text may run over another.
func TestRoughDataNeverBreaksADrawing(t *testing.T) {
	rng := rand.New(rand.NewSource(11))
	for round := range 80 {
		for _, c := range roughCharts(rng) {
			name := fmt.Sprintf("round %d, %T", round, c)
			d := record(t, c)
			d.requireTidy(t, name)
			for _, l := range append(d.strokes, d.fills...) {
				for _, p := range l.pts {
					require.Truef(t, p.x > -60 && p.x < Width+60 && p.y > -60 && p.y < d.h+60, "%s: %v %v leaves the sheet", name, l.col, p)
				}
			}
		}
	}
}
