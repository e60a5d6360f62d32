package law

import (
	"fmt"
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// The law: what a probe reads for the chlorine beside it.
//
//	E = a + b·log10(C) + q·(log10 C − usual)² + c·(pH − usual) + d·(T − usual) + u·g
//
// with C the effective chlorine: HOCl plus a learned small share of the combined
// chlorine plus a floor where ORP stops following; g is the degree to which
// ammonia binds the chlorine, where only total chlorine and ammonia are known.
// Direction and rough size of b are physical (two electrons give 30 mV a decade
// by Nernst, mixed potentials 40 to 120 in practice); the rest is learned.

// Law is the fitted law of one probe. Columns are by five-minute bin.
type Law struct {
	OK        bool      // there was enough to fit
	X         []float64 // log10 of effective chlorine, as the probe sees it in time
	XMid      float64   // usual of X in the fit, about which it is written
	XLo, XHi  float64   // range of X in the fit
	Coef, SD  []float64 // level, slope a decade, then the other regressors; standard errors
	Scale     float64   // mV, robust scatter about the Law
	Effective float64   // independent readings behind the fit
	Used      int       // half hours in the fit
	Lag       int       // bins by which the probe follows the residual
	K         float64   // weight of combined chlorine in the effective chlorine
	ScatterMV float64   // mV, scatter of the five-minute residual
	Doubt     []float64 // mV: how far the law itself may be out
	Age       []float64 // mV: ordinary ageing
	extra     [][]float64
	below     *Law // the law while all chlorine is combined; nil without such times
	regime    []byte
}

// Regimes of a plant whose free chlorine comes and goes.
const (
	RegimeFree     = 'f'
	regimeCombined = 'c'
	regimeBetween  = '-' // an hour about a change, and what lies between: no law holds
)

// Fit learns the law of probe p.
//
// Where free chlorine comes and goes, the free law holds while there is some; while
// there is none the probe has a law of its own on total chlorine (below).
func (w *Water) Fit(p Probe) Law {
	l := w.fit(p)
	l.regime = w.Regime
	return l
}

func (w *Water) fit(p Probe) Law {
	e := p.MV
	if w.Regime != nil {
		free := make([]float64, w.Bins)
		bound := make([]float64, w.Bins)
		for i := range e {
			free[i], bound[i] = math.NaN(), math.NaN()
			switch w.Regime[i] {
			case RegimeFree:
				free[i] = e[i]
			case regimeCombined:
				bound[i] = e[i]
			}
		}
		l := w.fitBest(p, free)
		onTotal := *w
		onTotal.OnFree = false
		b := onTotal.fitWith(p, bound, onTotal.effective(0), 0)
		if b.OK && l.OK {
			l.below = &b
		} else if b.OK {
			l = b
		}
		return l
	}
	return w.fitBest(p, e)
}

func (w *Water) fitBest(p Probe, e []float64) Law {
	var best Law
	ks := []float64{0}
	if w.OnFree && signal.Enough(w.Total) {
		ks = []float64{0, 0.003, 0.01, 0.03, 0.1}
	}
	lag := w.findLag(p, e, w.effective(0))
	for _, k := range ks {
		l := w.fitWith(p, e, w.effective(k), lag)
		l.K = k
		if l.OK && (!best.OK || l.Scale < 0.97*best.Scale) {
			best = l
		}
	}
	return best
}

func (w *Water) fitWith(p Probe, e, x0 []float64, lag int) Law {
	l := Law{Lag: lag}
	l.X = w.inTime(p, x0, lag)
	keep := make([]bool, w.Bins)
	for i := range keep {
		keep[i] = signal.Known(e[i]) && signal.Known(l.X[i]) && !w.Hold[i]
	}
	var xs []float64
	for i, k := range keep {
		if k {
			xs = append(xs, l.X[i])
		}
	}
	if len(xs) < 12*24 {
		return l
	}
	l.XMid = robust.Median(xs)
	l.XLo, l.XHi = robust.Quantile(xs, 0.02), robust.Quantile(xs, 0.98)
	l.XLo, l.XHi = math.Min(l.XLo, l.XMid-0.1), math.Max(l.XHi, l.XMid+0.1)
	// The regressors besides x. A column that is absent is not in the law.
	type reg struct {
		v         []float64
		prior, sd float64
	}
	var regs []reg
	add := func(v []float64, scale, prior, sd float64) {
		if v == nil || signal.CountKnown(v) < w.Bins/4 {
			return
		}
		m := robust.Median(v)
		u := make([]float64, w.Bins)
		for i := range u {
			if signal.Known(v[i]) {
				u[i] = (v[i] - m) * scale
			}
		}
		regs = append(regs, reg{u, prior, sd})
	}
	sq := make([]float64, w.Bins)
	for i := range sq {
		d := signal.Clamp(l.X[i], l.XLo-0.5, l.XHi+0.5) - l.XMid
		sq[i] = d * d
	}
	phPrior := -10.0
	if !w.OnFree {
		phPrior = -25 // the HOCl fraction is not in x then
	}
	add(w.PH, 1, phPrior, 20)
	add(w.Temp, 1, 0, 1)
	if g := w.bound(); g != nil {
		add(g, 1, -150, 100)
	}
	regs = append(regs, reg{sq, 0, 12})

	// Quasi-differences of half-hour medians: slow drifts, faults among them,
	// hardly show in them, steps show once.
	y30, _ := signal.Thin(signal.Masked(e, keep), nil)
	x30, _ := signal.Thin(signal.Masked(l.X, keep), nil)
	var r30 [][]float64
	for _, r := range regs {
		v, _ := signal.Thin(signal.Masked(r.v, keep), nil)
		r30 = append(r30, v)
	}
	const rho = 0.85
	var xx [][]float64
	var yy []float64
	for i := 1; i < len(y30); i++ {
		if !signal.Known(y30[i]) || !signal.Known(y30[i-1]) {
			continue
		}
		row := []float64{1, x30[i] - l.XMid - rho*(x30[i-1]-l.XMid)}
		for _, v := range r30 {
			row = append(row, v[i]-rho*v[i-1])
		}
		xx = append(xx, row)
		yy = append(yy, y30[i]-rho*y30[i-1])
	}
	if len(yy) < 48 {
		return l
	}
	prior := []float64{0, w.Law.PriorSlope}
	sd := []float64{math.Inf(1), w.Law.PriorSlopeSD}
	for _, r := range regs {
		prior = append(prior, r.prior)
		sd = append(sd, r.sd)
	}
	// A probe that steers the feed is held at its set point, whatever the residual does:
	// what the two do together tells the control, not the law.
	if held := robust.MAD(signal.Masked(e, keep)); held < heldShare*w.Law.PriorSlope*robust.MAD(xs) {
		sd[1] = heldSD
	}
	// the prior is on the law, in mV; regressors are on that scale already
	f, err := robust.Regress(xx, yy, robust.Options{Loss: robust.Bisquare, Prior: prior, PriorSD: sd, Effective: 0.3, MaxIter: 40, Tol: 1e-6})
	if err != nil {
		return l
	}
	l.Coef, l.SD = f.Coef, f.SD
	l.extra = nil
	for _, r := range regs {
		l.extra = append(l.extra, r.v)
	}
	l.Used = len(yy)
	l.Effective = float64(len(yy)) * 0.3
	// level: where most of the readings sit
	raw := l.Relative()
	var res []float64
	for i := range raw {
		if keep[i] && !math.IsNaN(raw[i]) {
			res = append(res, e[i]-raw[i])
		}
	}
	l.Coef[0] = robust.Centre(res)
	l.Scale = robust.MAD(res)
	l.OK = signal.Known(l.Coef[0])
	return l
}

// Relative is the law without its level.
//
// A law with another below it gives each where it holds; the other's level is told
// from this one's.
func (l *Law) Relative() []float64 {
	out := make([]float64, len(l.X))
	var low []float64
	if l.below != nil {
		low = l.below.Relative()
	}
	for i := range out {
		if l.regime != nil {
			switch l.regime[i] {
			case regimeCombined:
				if low != nil {
					out[i] = low[i] + l.below.Coef[0] - l.Coef[0]
					continue
				}
				out[i] = math.NaN()
				continue
			case regimeBetween:
				out[i] = math.NaN()
				continue
			}
		}
		out[i] = l.Coef[1] * (l.X[i] - l.XMid)
		for j, v := range l.extra {
			out[i] += l.Coef[2+j] * v[i]
		}
	}
	return out
}

// Describe writes the law in words and numbers.
func (l *Law) Describe(onFree, ident bool) string {
	what := "total residual"
	if onFree {
		what = "HOCl (free residual, pH, temperature)"
	}
	s := fmt.Sprintf("%.0f mV a decade of %s", l.Coef[1], what)
	if !ident {
		s += ", held by the prior: the residual moves too little to tell the slope"
	}
	return s
}

// A probe's spread below this share of what the residual's would make of it by the prior
// slope is taken for control; the prior then holds within heldSD mV a decade.
const (
	heldShare = 0.4
	heldSD    = 3
)
