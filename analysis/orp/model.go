package orp

import (
	"fmt"
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
	"weirbook/analysis/speciation"
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

// law is a fitted probe.
type law struct {
	x      []float64 // log10 of effective chlorine, as the probe sees it in time
	extra  [][]float64
	coef   []float64
	sd     []float64
	xMid   float64
	xLo    float64
	xHi    float64
	scale  float64
	eff    float64
	used   int
	ok     bool
	lag    int       // bins
	k      float64   // weight of combined chlorine in the effective chlorine
	sdMV   float64   // scatter of the five-minute residual, mV
	doubt  []float64 // mV by bin: how far the law itself may be out
	age    []float64 // mV by bin: ordinary ageing
	below  *law      // the law while all chlorine is combined; nil without such times
	regime []byte
}

// effective gives log10 of the effective chlorine at the outlet for a weight k of
// combined chlorine.
func (w *work) effective(k float64) []float64 {
	out := signal.Unknown(w.bins)
	ph, temp := robust.Median(w.ph), robust.Median(w.temp)
	if math.IsNaN(temp) {
		temp = 15
	}
	for i := range out {
		f := 1.0
		if w.onFree && signal.Known(ph) {
			p, t := ph, temp
			if signal.Known(w.ph[i]) {
				p = w.ph[i]
			}
			if w.temp != nil && signal.Known(w.temp[i]) {
				t = w.temp[i]
			}
			if h := speciation.HOClFraction(p, t); signal.Known(h) {
				f = h
			}
		}
		c := math.NaN()
		if w.onFree {
			c = w.free[i] * f
			if k > 0 && w.total != nil && signal.Known(w.total[i]) {
				c += k * math.Max(0, w.total[i]-w.free[i])
			}
		} else if w.total != nil {
			c = w.total[i]
		} else if w.free != nil {
			c = w.free[i]
		}
		out[i] = math.Log10(math.Max(c, 0) + w.s.FloorMgL*f)
	}
	return out
}

// Regimes of a plant whose free chlorine comes and goes.
const (
	regimeFree     = 'f'
	regimeCombined = 'c'
	regimeBetween  = '-' // an hour about a change, and what lies between: no law holds
)

// fitProbe learns the law of probe p.
//
// Where free chlorine comes and goes, the free law holds while there is some; while
// there is none the probe has a law of its own on total chlorine (below).
func (w *work) fitProbe(p int) law {
	e := w.probe[p]
	if w.regime != nil {
		free := make([]float64, w.bins)
		bound := make([]float64, w.bins)
		for i := range e {
			free[i], bound[i] = math.NaN(), math.NaN()
			switch w.regime[i] {
			case regimeFree:
				free[i] = e[i]
			case regimeCombined:
				bound[i] = e[i]
			}
		}
		l := w.fitBest(p, free)
		onTotal := *w
		onTotal.onFree = false
		b := onTotal.fitWith(p, bound, onTotal.effective(0), 0)
		if b.ok && l.ok {
			l.below = &b
		} else if b.ok {
			l = b
		}
		return l
	}
	return w.fitBest(p, e)
}

func (w *work) fitBest(p int, e []float64) law {
	var best law
	ks := []float64{0}
	if w.onFree && signal.Enough(w.total) {
		ks = []float64{0, 0.003, 0.01, 0.03, 0.1}
	}
	lag := w.findLag(p, e, w.effective(0))
	for _, k := range ks {
		l := w.fitWith(p, e, w.effective(k), lag)
		l.k = k
		if l.ok && (!best.ok || l.scale < 0.97*best.scale) {
			best = l
		}
	}
	return best
}

func (w *work) fitWith(p int, e, x0 []float64, lag int) law {
	l := law{lag: lag}
	l.x = w.inTime(p, x0, lag)
	keep := make([]bool, w.bins)
	for i := range keep {
		keep[i] = signal.Known(e[i]) && signal.Known(l.x[i]) && !w.hold[i]
	}
	var xs []float64
	for i, k := range keep {
		if k {
			xs = append(xs, l.x[i])
		}
	}
	if len(xs) < 12*24 {
		return l
	}
	l.xMid = robust.Median(xs)
	l.xLo, l.xHi = robust.Quantile(xs, 0.02), robust.Quantile(xs, 0.98)
	l.xLo, l.xHi = math.Min(l.xLo, l.xMid-0.1), math.Max(l.xHi, l.xMid+0.1)
	// The regressors besides x. A column that is absent is not in the law.
	type reg struct {
		v         []float64
		prior, sd float64
	}
	var regs []reg
	add := func(v []float64, scale, prior, sd float64) {
		if v == nil || signal.CountKnown(v) < w.bins/4 {
			return
		}
		m := robust.Median(v)
		u := make([]float64, w.bins)
		for i := range u {
			if signal.Known(v[i]) {
				u[i] = (v[i] - m) * scale
			}
		}
		regs = append(regs, reg{u, prior, sd})
	}
	sq := make([]float64, w.bins)
	for i := range sq {
		d := signal.Clamp(l.x[i], l.xLo-0.5, l.xHi+0.5) - l.xMid
		sq[i] = d * d
	}
	phPrior := -10.0
	if !w.onFree {
		phPrior = -25 // the HOCl fraction is not in x then
	}
	add(w.ph, 1, phPrior, 20)
	add(w.temp, 1, 0, 1)
	if g := w.bound(); g != nil {
		add(g, 1, -150, 100)
	}
	regs = append(regs, reg{sq, 0, 12})

	// Quasi-differences of half-hour medians: slow drifts, faults among them,
	// hardly show in them, steps show once.
	y30, _ := signal.Thin(signal.Masked(e, keep), nil)
	x30, _ := signal.Thin(signal.Masked(l.x, keep), nil)
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
		row := []float64{1, x30[i] - l.xMid - rho*(x30[i-1]-l.xMid)}
		for _, v := range r30 {
			row = append(row, v[i]-rho*v[i-1])
		}
		xx = append(xx, row)
		yy = append(yy, y30[i]-rho*y30[i-1])
	}
	if len(yy) < 48 {
		return l
	}
	prior := []float64{0, w.s.PriorSlope}
	sd := []float64{math.Inf(1), w.s.PriorSlopeSD}
	for _, r := range regs {
		prior = append(prior, r.prior)
		sd = append(sd, r.sd)
	}
	// the prior is on the law, in mV; regressors are on that scale already
	f, err := robust.Regress(xx, yy, robust.Options{Loss: robust.Bisquare, Prior: prior, PriorSD: sd, Effective: 0.3, MaxIter: 40, Tol: 1e-6})
	if err != nil {
		return l
	}
	l.coef, l.sd = f.Coef, f.SD
	l.extra = nil
	for _, r := range regs {
		l.extra = append(l.extra, r.v)
	}
	l.used = len(yy)
	l.eff = float64(len(yy)) * 0.3
	// level: where most of the readings sit
	raw := l.rawExpected()
	var res []float64
	for i := range raw {
		if keep[i] && !math.IsNaN(raw[i]) {
			res = append(res, e[i]-raw[i])
		}
	}
	l.coef[0] = centre(res)
	l.scale = robust.MAD(res)
	l.ok = signal.Known(l.coef[0])
	return l
}

// rawExpected is the law without its level.
//
// A law with another below it gives each where it holds; the other's level is told
// from this one's.
func (l *law) rawExpected() []float64 {
	out := make([]float64, len(l.x))
	var low []float64
	if l.below != nil {
		low = l.below.rawExpected()
	}
	for i := range out {
		if l.regime != nil {
			switch l.regime[i] {
			case regimeCombined:
				if low != nil {
					out[i] = low[i] + l.below.coef[0] - l.coef[0]
					continue
				}
				out[i] = math.NaN()
				continue
			case regimeBetween:
				out[i] = math.NaN()
				continue
			}
		}
		out[i] = l.coef[1] * (l.x[i] - l.xMid)
		for j, v := range l.extra {
			out[i] += l.coef[2+j] * v[i]
		}
	}
	return out
}

// describe writes the law in words and numbers.
func (l *law) describe(w *work, onFree bool, ident bool) string {
	what := "total residual"
	if onFree {
		what = "HOCl (free residual, pH, temperature)"
	}
	s := fmt.Sprintf("%.0f mV a decade of %s", l.coef[1], what)
	if !ident {
		s += ", held by the prior: the residual moves too little to tell the slope"
	}
	return s
}
