package orp

import (
	"math"

	"weirbook/analysis/finding"
	"weirbook/analysis/orp/law"
	"weirbook/analysis/orp/signal"
)

// cause is the sort of explanation.
type cause int

const (
	causeProbe cause = iota
	causeAnalyser
	causeChemistry // ammonia or other combined chlorine: ORP moves, the residual does not
	causeDemand    // chlorine lost or not fed: the dose less the residual moves, instruments agree
	causeFlow
	causeNothing // all well; the usual is only known so well
)

// hypothesis is one explanation with a size (theta): what it would do to each
// stream.
type hypothesis struct {
	cause   cause
	party   finding.Party
	subject string
	probe   int  // of causeProbe
	free    bool // of causeAnalyser
	// unit is the effect of a small theta of one on each stream, for the search.
	unit []float64
	// spoils marks streams that say nothing while this is so.
	spoils []bool
	// effect is the effect of theta on stream s and by how much the effect itself
	// is unsure (one standard deviation). loose adds variance to streams that
	// the explanation says nothing about.
	effect func(s int, theta float64) (mean, unsure float64)
	// grab is the effect on the grab ratio of the free or total analyser.
	grab      func(free bool, theta float64) (mean, unsure float64)
	lo, hi    float64 // range of theta
	least     float64 // sizes below this are nobody's fault
	penalty   float64 // log prior against it
	positive  bool    // the search takes positive sizes only
	combining bool    // of causeChemistry: theta is log10 of total over free
}

func noGrab(bool, float64) (float64, float64) { return 0, 0 }

// hypotheses lists the explanations that the plant's streams can tell.
func (w *work) hypotheses() []*hypothesis {
	n := len(w.streams)
	// How well each stream's usual is known: never better than common sense, and
	// worse where the stream wanders.
	w.slack = make([]float64, n)
	for s, st := range w.streams {
		least := 0.0
		switch {
		case w.isR(s):
			least = w.s.SlackMV
		case s == w.phiAt:
			least = 0.05
		case s == w.mAt:
			least = w.s.SlackMgL
		case s == w.nAt:
			least = 0.25
		case s == w.qAt:
			least = 0.03
		}
		w.slack[s] = math.Max(least, 0.4*st.fast.w.sd)
		if w.Turning && w.isR(s) {
			w.slack[s] = math.Max(least, st.fast.w.sd)
		}
		if w.Turning && s == w.mAt && signal.Known(w.usualDose) {
			// what the breakpoint eats comes and goes with the ammonia
			w.slack[s] = math.Max(w.slack[s], w.s.TurningDemand*w.usualDose)
		}
	}
	var out []*hypothesis
	rs := 0
	for p, at := range w.rAt {
		if at < 0 {
			continue
		}
		rs++
		h := &hypothesis{cause: causeProbe, party: finding.ORPProbe, subject: w.in.Probes[p].Tag, probe: p,
			unit: make([]float64, n), lo: -600, hi: 600, least: 8, grab: noGrab}
		h.unit[at] = 1
		h.effect = func(s int, th float64) (float64, float64) {
			if s == at {
				return th, 0
			}
			return 0, 0.7 * w.slack[s]
		}
		out = append(out, h)
	}
	if signal.Enough(w.Free) && w.FreeTells() {
		out = append(out, w.analyserHypothesis(true))
	}
	if signal.Enough(w.Total) {
		out = append(out, w.analyserHypothesis(false))
	}
	if rs > 0 {
		out = append(out, w.chemistry(rs))
	}
	if w.phiAt >= 0 {
		out = append(out, w.combining())
	}
	if w.mAt >= 0 {
		h := &hypothesis{cause: causeDemand, party: finding.Process, subject: "chlorine demand or feed",
			unit: make([]float64, n), lo: -12, hi: 12, least: 0.3, penalty: 1, grab: noGrab}
		h.unit[w.mAt] = 1
		h.effect = func(s int, th float64) (float64, float64) {
			switch {
			case s == w.mAt:
				return th, 0
			case s == w.phiAt: // chlorine eaten takes the free first
				if th < 0 {
					return -0.05, math.Hypot(0.2, w.slack[s])
				}
				return 0.15, math.Hypot(0.35, w.slack[s])
			}
			return 0, w.slack[s]
		}
		out = append(out, h)
	}
	if w.qAt >= 0 {
		h := &hypothesis{cause: causeFlow, party: finding.FlowMeter, subject: w.in.Flow.Tag,
			unit: make([]float64, n), lo: -3, hi: 3, least: 0.08, grab: noGrab}
		h.unit[w.qAt] = 1
		dose := w.usualDose
		h.effect = func(s int, th float64) (float64, float64) {
			switch {
			case s == w.qAt:
				return th, 0
			case s == w.mAt && signal.Known(dose):
				m := -dose * signal.Clamp(math.Exp(th)-1, -0.9, 1.5)
				return m, 0.5*math.Abs(m) + 0.2
			case w.isR(s):
				return 0, math.Hypot(8, w.slack[s])
			}
			return 0, w.slack[s]
		}
		out = append(out, h)
	}
	for _, h := range out {
		h.spoils = make([]bool, n)
		for s, u := range h.unit {
			h.spoils[s] = u != 0
		}
		switch h.cause {
		case causeFlow: // the dose is reckoned with the flow
			mark(h.spoils, w.mAt)
		case causeChemistry:
			for _, at := range w.rAt {
				mark(h.spoils, at)
			}
			mark(h.spoils, w.phiAt)
			mark(h.spoils, w.mAt)
			mark(h.spoils, w.nAt)
		}
	}
	return append(out, w.nothing())
}

func mark(v []bool, at int) {
	if at >= 0 {
		v[at] = true
	}
}

// nothing: every stream's usual is only known so well.
func (w *work) nothing() *hypothesis {
	h := &hypothesis{cause: causeNothing, subject: "all well", unit: make([]float64, len(w.streams)), grab: noGrab}
	h.effect = func(s int, _ float64) (float64, float64) { return 0, w.slack[s] }
	return h
}

// isR says whether stream s is a probe's residual.
func (w *work) isR(s int) bool {
	for _, at := range w.rAt {
		if at == s {
			return true
		}
	}
	return false
}

// lawOf gives the law behind a residual stream.
func (w *work) lawOf(s int) *law.Law {
	for p, at := range w.rAt {
		if at == s {
			return &w.laws[p]
		}
	}
	return nil
}

// analyserHypothesis: the analyser reads 10^theta of the truth.
func (w *work) analyserHypothesis(free bool) *hypothesis {
	n := len(w.streams)
	col := &w.in.Total
	usual := w.UsualTotal
	if free {
		col, usual = &w.in.Free, w.UsualFree
	}
	h := &hypothesis{cause: causeAnalyser, party: finding.ResidualAnalyser, subject: col.Tag, free: free,
		unit: make([]float64, n), lo: -1.8, hi: 0.8, least: 0.03}
	// read is what the analyser shows of its usual when it is wrong by theta
	h.effect = func(s int, th float64) (float64, float64) {
		seen := usual * math.Pow(10, th)
		switch {
		case w.isR(s):
			l := w.lawOf(s)
			b := l.Coef[1]
			x := 0.0
			switch {
			case !w.OnFree:
				if free && w.Total != nil {
					return 0, 0.7 * w.slack[s]
				}
				x = math.Log10((seen + w.s.Law.FloorMgL) / (usual + w.s.Law.FloorMgL))
			default:
				// the law's own effective chlorine, of HOCl and a share of the combined
				f := w.usualHOCl
				chlorine := func(free, total float64) float64 {
					c := free*f + w.s.Law.FloorMgL*f
					if l.K > 0 && signal.Known(total) {
						c += l.K * math.Max(0, total-free)
					}
					return c
				}
				if free {
					x = math.Log10(chlorine(seen, w.UsualTotal) / chlorine(usual, w.UsualTotal))
				} else {
					x = math.Log10(chlorine(w.UsualFree, seen) / chlorine(w.UsualFree, usual))
				}
			}
			m := -b * x
			return m, math.Hypot(0.25*m, 0.7*w.slack[s])
		case s == w.phiAt:
			x := math.Log10((seen + 0.05) / (usual + 0.05))
			if free {
				x = -x
			}
			return x, math.Hypot(0.12*x, 0.4*w.slack[s]) // two analysers of one water
		case s == w.mAt && (!free || w.Total == nil):
			m := usual - seen
			return m, math.Hypot(0.3*m, 0.7*w.slack[s])
		}
		return 0, 0.7 * w.slack[s]
	}
	h.grab = func(f bool, th float64) (float64, float64) {
		if f != free {
			return 0, 0
		}
		return th, 0.15 * math.Abs(th)
	}
	for s := range h.unit {
		// slope about a fifth of a decade
		a, _ := h.effect(s, -0.15)
		h.unit[s] = a / -0.15
	}
	return h
}

// combining: free chlorine turns into combined chlorine (theta: log10 of total over
// free, beyond usual). Probes may fall further than the law reckons; the grabs agree
// with the analysers.
func (w *work) combining() *hypothesis {
	h := &hypothesis{cause: causeChemistry, party: finding.Process, subject: "chlorine chemistry",
		unit: make([]float64, len(w.streams)), lo: 0, hi: 2, least: 0.2, grab: noGrab, penalty: 2, positive: true, combining: true}
	h.unit[w.phiAt] = 1
	if w.nAt >= 0 {
		h.unit[w.nAt] = 0.5
	}
	h.effect = func(s int, th float64) (float64, float64) {
		switch {
		case s == w.phiAt:
			return th, 0.1 * th
		case w.isR(s):
			return -20, 60
		case s == w.mAt:
			return 0, 0.8
		case s == w.nAt:
			return 0.4, 0.35
		}
		return 0, w.slack[s]
	}
	return h
}

// chemistry: all probes move together, the residual and the grabs do not.
func (w *work) chemistry(probes int) *hypothesis {
	n := len(w.streams)
	h := &hypothesis{cause: causeChemistry, party: finding.Process, subject: "chlorine chemistry",
		unit: make([]float64, n), lo: -400, hi: 200, least: 15, grab: noGrab, penalty: 2}
	if probes == 1 {
		h.penalty = 4
	}
	for _, at := range w.rAt {
		if at >= 0 {
			h.unit[at] = 1
		}
	}
	h.effect = func(s int, th float64) (float64, float64) {
		switch {
		case w.isR(s):
			return th, 0.35 * math.Abs(th)
		case s == w.phiAt:
			if th < 0 {
				return 0.4, math.Hypot(0.5, w.slack[s])
			}
			return 0, math.Hypot(0.3, w.slack[s])
		case s == w.mAt:
			return 0, 0.8
		case s == w.nAt:
			// ammonia is what usually does it
			if th < 0 {
				return 0.35, 0.3
			}
			return -0.2, 0.3
		}
		return 0, w.slack[s]
	}
	return h
}
