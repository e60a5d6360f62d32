package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// Instruments and demand do not scatter like dice: they wander, over minutes,
// hours and days at once. A fixed threshold on such a signal has no stated
// false-alarm rate. So its wander is learned as a sum of first-order processes
// with the time constants below plus white noise, and every test is made on the
// one-step prediction errors (innovations) of that model, which are close to
// independent. What a step, a ramp or any other shape would do to the
// innovations is had by filtering the shape itself, because the filter is linear.
var wanderHours = [...]float64{0.5, 2, 8, 32}

const nWander = len(wanderHours)

// wander is the learned noise of one stream at one bin length.
type wander struct {
	phi, gain [nWander]float64
	q         [nWander]float64 // variance that each step brings
	rest      covariance       // before a reading, once the filter is at rest
	s         float64          // variance of an innovation
	sd        float64          // standard deviation of the whole signal
	v         [nWander + 1]float64
}

// learnWander estimates the parts from the robust variogram: the scaled MAD of
// differences at many lags, which faults that fill a fifth of a record hardly move.
func learnWander(y []float64, hoursPerBin float64, least float64) wander {
	var lags []int
	for _, h := range []float64{0, 0.25, 0.5, 1, 2, 4, 8, 16, 32, 56} {
		k := max(1, int(math.Round(h/hoursPerBin)))
		if len(lags) == 0 || k > lags[len(lags)-1] {
			lags = append(lags, k)
		}
	}
	var gamma []float64
	var used []float64
	d := make([]float64, 0, len(y))
	for _, k := range lags {
		d = d[:0]
		stride := max(1, (len(y)-k)/2000)
		for i := 0; i+k < len(y); i += stride {
			if a := y[i+k] - y[i]; signal.Known(a) {
				d = append(d, math.Abs(a))
			}
		}
		if len(d) < 30 {
			continue
		}
		m := robust.MADScale * robust.Median(d)
		gamma = append(gamma, m*m)
		used = append(used, float64(k)*hoursPerBin)
	}
	var w wander
	if len(gamma) == 0 {
		w.v[0] = least * least
	} else {
		// Non-negative least squares on the logarithm's scale: relative errors,
		// by multiplicative updates (all terms are positive).
		for j := range w.v {
			w.v[j] = gamma[len(gamma)-1] / 2 / float64(nWander+1)
		}
		shape := func(j int, h float64) float64 {
			if j == nWander {
				return 2
			}
			return 2 * (1 - math.Exp(-h/wanderHours[j]))
		}
		for it := 0; it < 400; it++ {
			for j := range w.v {
				num, den := 0.0, 0.0
				for i, h := range used {
					fit := 0.0
					for l := range w.v {
						fit += w.v[l] * shape(l, h)
					}
					g := math.Max(gamma[i], 1e-12)
					num += shape(j, h) / g
					den += shape(j, h) * fit / (g * g)
				}
				if den > 0 {
					w.v[j] *= num / den
				}
			}
		}
		// stored with white noise last; keep it above what rounding alone gives
	}
	w.v[nWander] = math.Max(w.v[nWander], least*least)
	total := 0.0
	for _, v := range w.v {
		total += v
	}
	w.sd = math.Sqrt(total)
	w.steady(hoursPerBin)
	return w
}

// steady iterates the Riccati equation of the filter to its fixed point.
func (w *wander) steady(hoursPerBin float64) {
	var p covariance
	for j := range w.phi {
		w.phi[j] = math.Exp(-hoursPerBin / wanderHours[j])
		w.q[j] = w.v[j] * (1 - w.phi[j]*w.phi[j])
		p[j][j] = w.v[j]
	}
	for it := 0; it < 400; it++ {
		w.s, w.gain = p.update(w)
	}
	w.rest = p
}

// covariance is what the filter does not know of its states before a reading.
type covariance [nWander][nWander]float64

// update passes one reading and one step of time; it gives the variance of the
// reading's innovation and the gains.
func (p *covariance) update(w *wander) (s float64, gain [nWander]float64) {
	var ph [nWander]float64
	s = w.v[nWander]
	for i := range ph {
		for j := range ph {
			ph[i] += p[i][j]
		}
		s += ph[i]
	}
	for i := range ph {
		gain[i] = ph[i] / s
	}
	for i := range ph {
		for j := 0; j <= i; j++ {
			v := (p[i][j] - gain[i]*ph[j]) * w.phi[i] * w.phi[j]
			if i == j {
				v += w.q[i]
			}
			p[i][j], p[j][i] = v, v
		}
	}
	return s, gain
}

// coast passes one step of time without a reading.
func (p *covariance) coast(w *wander) {
	for i := range p {
		for j := 0; j <= i; j++ {
			v := p[i][j] * w.phi[i] * w.phi[j]
			if i == j {
				v += w.q[i]
			}
			p[i][j], p[j][i] = v, v
		}
	}
}

// innovations filters y. Where y is unknown the filter coasts and the innovation is
// unknown; after a gap it knows its states less well, and trust says by how much
// an innovation counts for less (1: as at rest).
func (w *wander) innovations(y, out, trust []float64) []float64 {
	if cap(out) < len(y) {
		out = make([]float64, len(y))
	}
	out = out[:len(y)]
	w.run(y, out, trust, nil, 0, 0)
	return out
}

// markBins is how far apart the filter's marks lie: places to start anew from.
const markBins = 48

// filterMark is the filter before a reading; it can be started from where it is at
// rest.
type filterMark struct {
	rest bool
	x    [nWander]float64
}

// run filters y from bin from on (where marks hold a filter at rest, or 0) and
// renews the marks; past bin to it stops where the filter is back to what the
// marks remember. It gives the bin it stopped at.
func (w *wander) run(y, out, trust []float64, marks []filterMark, from, to int) int {
	var x [nWander]float64
	p := w.rest
	var start covariance // before the first reading the states are only known to be usual
	for j := range start {
		start[j][j] = w.v[j]
	}
	if trust != nil {
		p = start
	}
	atRest := trust == nil
	if from > 0 {
		atRest, x = true, marks[from/markBins].x
	}
	base, _ := func() (float64, [nWander]float64) { c := w.rest; return c.update(w) }()
	for i := from; i < len(y); i++ {
		if marks != nil && i%markBins == 0 {
			m := &marks[i/markBins]
			if i > to && to > 0 && atRest && m.rest && w.near(&x, &m.x) {
				return i
			}
			*m = filterMark{atRest, x}
		}
		v := y[i]
		e := v - (x[0] + x[1] + x[2] + x[3])
		out[i] = e
		if e != e {
			for j := range x {
				x[j] *= w.phi[j]
			}
			if trust != nil {
				if atRest {
					p, atRest = w.rest, false
				}
				p.coast(w)
				trust[i] = 0
			}
			continue
		}
		if atRest {
			for j := range x {
				x[j] = w.phi[j] * (x[j] + w.gain[j]*e)
			}
			if trust != nil {
				trust[i] = 1
			}
			continue
		}
		s, g := p.update(w)
		trust[i] = base / s
		for j := range x {
			x[j] = w.phi[j] * (x[j] + g[j]*e)
		}
		if s < 1.02*base {
			atRest = true
		}
	}
	return len(y)
}

// near says whether two states of the filter differ by nothing that counts: a
// thousandth of an innovation's standard deviation.
func (w *wander) near(a, b *[nWander]float64) bool {
	d := 0.0
	for j := range a {
		d += math.Abs(a[j] - b[j])
	}
	return d*d < 1e-6*w.s
}
