package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// reportable says whether an episode is large enough in the plant's own terms to
// be told: the likelihood ratio alone finds what nobody would act on.
func (e *episode) reportable(w *work) bool {
	least := w.s.Over
	switch {
	case e.h.cause == causeDemand || e.h.cause == causeFlow:
		least = w.s.OverBalance
	case w.Turning:
		least = w.overTurning(e)
	}
	share := w.s.ShareTurning
	if least < w.s.OverTurning {
		share = w.s.ProbeShare
	}
	if e.over < least || w.Turning && e.share < share {
		return false
	}
	if (e.t1-e.t0)*signal.BinMin < w.s.LeastMin {
		return false
	}
	t := math.Abs(e.theta)
	if !e.away(w) {
		return false
	}
	switch e.h.cause {
	case causeChemistry:
		if !e.h.combining && e.theta > 0 {
			return false // nothing in the water lifts ORP without chlorine
		}
		if w.phiAt >= 0 {
			if f := e.sizes[w.phiAt]; f.ok && f.size >= w.s.CombiningLog && f.size > 4*f.sd {
				return (e.t1-e.t0)*signal.BinMin <= w.s.DemandMaxH*60
			}
		}
		return (t >= w.s.CommonMV || e.h.combining && t >= w.s.CombiningLog) && (e.t1-e.t0)*signal.BinMin <= w.s.DemandMaxH*60
	case causeDemand:
		return w.demandTold(e)
	case causeFlow:
		return t >= w.s.FlowLogRatio
	case causeProbe:
		if e.ratio < w.s.ProbeRatio {
			return false // probes wander by as much
		}
		return t >= w.s.ProbeMV && (e.share >= w.s.ProbeShare || e.over >= w.s.OverTurning)
	case causeAnalyser:
		if e.share < 0.7 && (e.t1-e.t0)*signal.BinMin < w.s.DemandMin {
			return false // as well a passing slug of demand
		}
		if e.share < w.s.ProbeShare && (e.t1-e.t0)*signal.BinMin > w.s.AnalyserDoubtH*60 {
			return false // days of it would have been told by a sample or a probe
		}
		return t >= w.s.AnalyserLog
	}
	return true
}

// away says whether the stream that a probe or a flow meter speaks by stands away from
// its usual where it is said to be wrong. Where it comes back from something else the
// step has the same edge, and none of the height.
func (e *episode) away(w *work) bool {
	at := -1
	switch e.h.cause {
	case causeProbe:
		at = w.rAt[e.h.probe]
	case causeFlow:
		at = w.qAt
	}
	if at < 0 {
		return true
	}
	st := w.streams[at]
	if math.Abs(e.theta) < 3*st.fast.w.sd {
		return true // too small to be told from the wander by its height
	}
	in := robust.Median(st.whole[(e.t0+e.t1)/2 : e.t1])
	return math.IsNaN(in) || in*sign(e.theta) >= w.s.Stands*math.Abs(e.theta)
}

// demandTold says whether a rise in demand is an event. A passing slug is every
// plant's daily bread, and demand wanders by as much over days: it must be large,
// begin within hours and last; half as much is enough where it took the residual
// down, or where ammonia came with it.
func (w *work) demandTold(e *episode) bool {
	m := w.streams[w.mAt]
	if e.theta < 0 || (e.t1-e.t0)*signal.BinMin > w.s.DemandSlowH*60 && e.ratio < w.s.DemandSlow {
		return false // told by contrasts, where the residual rose with it
	}
	t := math.Max(e.theta, m.level(e.form))
	e.theta = t
	least := math.Max(w.s.DemandRise, w.s.DemandShare*w.usualDose)
	long := (e.t1 - e.t0) * signal.BinMin
	if long > w.s.DemandMaxH*60 {
		return false
	}
	if w.nAt >= 0 {
		if n := e.sizes[w.nAt]; n.ok && n.size > 0.2 && n.size > 4*n.sd && t >= least {
			return true // ammonia, which comes slowly
		}
	}
	// A return from a low stretch to the usual has the edge of a rise too.
	if in := m.whole[e.t0:e.t1]; !(robust.Median(in) >= w.s.DemandStands*t) || robust.Quantile(in, 0.25) < 0.5*w.s.DemandStands*t {
		return false
	}
	if w.Turning {
		least *= 1.5 // the breakpoint eats chlorine of its own
	}
	if m.jump(e.form) < 0.4*t {
		return false
	}
	fall := w.fallen(e.form)
	if t >= 0.5*least && (fall >= w.s.ResidualFall && long >= w.s.DemandMin || fall >= 2*w.s.ResidualFall) {
		return true
	}
	if long > w.s.DemandDoubtH*60 && e.share < w.s.DemandShareOf {
		return false // as well the analyser, and nothing in the residual to see
	}
	return t >= least && (long >= w.s.DemandMin || t >= 2*least)
}

// fallen is by what share the residual is down inside form f against the day before.
func (w *work) fallen(f form) float64 {
	c := w.residual()
	if c == nil {
		return 0
	}
	col := &w.in.Total
	if w.Total == nil {
		col = &w.in.Free
	}
	// the raw readings: a residual gone to nothing is still, and was left out
	before := robust.Median(c)
	in := robust.Median(col.V[f.t0*signal.BinMin : min(len(col.V), f.t1*signal.BinMin)])
	if !(before > 0) || math.IsNaN(in) {
		return 0
	}
	return 1 - in/before
}

// overTurning is what the evidence must come to where free chlorine comes and goes.
// No law follows that well: it must be much, or two grabs must say the same, which
// need no law.
func (w *work) overTurning(e *episode) float64 {
	if e.h.cause == causeAnalyser {
		for k, g := range e.grabSizes {
			if g.ok && g.n >= 2 && w.grabs[k].free == e.h.free && math.Abs(g.size-e.theta) < 0.5*math.Abs(e.theta) {
				return w.s.OverWitnessed
			}
		}
	}
	return w.s.OverTurning
}
