package loading

import (
	"fmt"
	"math"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/series"
)

// Mass is what a flow carried over one window.
type Mass struct {
	Load         Load    // mean of flow x concentration, MGD·mg/L; NaN: not determined
	Minutes      float64 // length of the window
	Cover        float64 // share of the window in which both were known
	FlowMGD      float64 // mean flow over that time
	MeanMgL      float64 // time-weighted mean concentration over that time
	FlowWeighted float64 // flow-weighted mean concentration, mg/L
}

// Masses integrates flow (MGD) times concentration (mg/L) over each window: the
// integral of the product, not the product of means. A window of which less than
// minCover is covered by both is not determined.
//
// Source: load = K ∫ Q C dt (Cohn, Reviews of Geophysics supplement, 1995;
// verified); FWMC = Σ c q t / Σ q t (Heidelberg University note 2.d; memory).
func Masses(flow, conc *series.Series, rq, rc align.Rule, ws []align.Window, minCover float64) []Mass {
	out := make([]Mass, len(ws))
	for k, j := range align.Product(flow, conc, rq, rc, ws) {
		m := Mass{
			Load: Load(j.At(minCover)), Minutes: float64(ws[k].End-ws[k].Start) / 60_000,
			Cover: j.Cover, FlowMGD: j.A, MeanMgL: j.B, FlowWeighted: j.Weighted(),
		}
		if math.IsNaN(float64(m.Load)) {
			m.FlowMGD, m.MeanMgL, m.FlowWeighted = math.NaN(), math.NaN(), math.NaN()
		}
		out[k] = m
	}
	return out
}

// Sample is the load of one laboratory result.
type Sample struct {
	align.Window         // what the result stands for; Start == End for a grab
	Label        string  // "grab" or "24-h composite"
	MgL          float64 // the result
	Flag         series.Flag
	FlowMGD      float64 // mean over the window; at the moment for a grab
	FlowCover    float64 // share of the window in which the flow was known
	Load         Load    // NaN: not determined
}

// CompositeLoads applies each composite result to its own sampling period, never
// to the calendar day: the period ends at the result's time, or begins there
// when stampedAtStart is set. The flow is the mean over that same period; below
// minCover the load is not determined.
func CompositeLoads(conc, flow *series.Series, rq align.Rule, period time.Duration, stampedAtStart bool, minCover float64) []Sample {
	p := period.Milliseconds()
	var out []Sample
	var ws []align.Window
	for i := range conc.T {
		if !conc.Usable(i) {
			continue
		}
		w := align.Window{Start: conc.T[i] - p, End: conc.T[i]}
		if stampedAtStart {
			w = align.Window{Start: conc.T[i], End: conc.T[i] + p}
		}
		ws = append(ws, w)
		out = append(out, Sample{Window: w, Label: hoursLabel(period) + " composite", MgL: conc.V[i], Flag: conc.F[i]})
	}
	for k, st := range align.Over(flow, rq, ws) {
		s := &out[k]
		s.FlowMGD, s.FlowCover = st.At(minCover), st.Cover
		s.Load = Load(s.FlowMGD * s.MgL)
	}
	return out
}

// GrabLoads gives the load at the moment of each grab: a rate, not a day's mass.
func GrabLoads(conc, flow *series.Series, rq align.Rule) []Sample {
	var out []Sample
	for i, t := range conc.T {
		if !conc.Usable(i) {
			continue
		}
		q := align.At(flow, rq, t)
		s := Sample{Window: align.Window{Start: t, End: t}, Label: "grab", MgL: conc.V[i], Flag: conc.F[i], FlowMGD: q, Load: Load(q * conc.V[i])}
		if q == q {
			s.FlowCover = 1
		}
		out = append(out, s)
	}
	return out
}

// hoursLabel writes a sampling period, "24-h".
func hoursLabel(d time.Duration) string { return fmt.Sprintf("%.4g-h", d.Hours()) }
