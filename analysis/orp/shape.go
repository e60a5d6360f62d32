package orp

import "weirbook/analysis/orp/signal"

// form is the course of a fault: from bin t0 it rises over rise bins to its full
// size, holds, and is gone at t1. rise 1 is a step; rise t1-t0 a slow drift that is
// put right at its end.
type form struct{ t0, t1, rise int }

// at gives the form's height at bin i.
func (f form) at(i int) float64 {
	if i < f.t0 || i >= f.t1 {
		return 0
	}
	if k := i - f.t0 + 1; k < f.rise {
		return float64(k) / float64(f.rise)
	}
	return 1
}

// fast gives a form of the slow clock on the fast one.
func (f form) fast() form {
	return form{f.t0 * signal.SlowBins, f.t1 * signal.SlowBins, f.rise * signal.SlowBins}
}

// response is what a unit step does to a filter's innovations from its start on,
// and the running sum of that.
type response struct{ g, sum []float64 }

func newResponse(w *wander, n int) response {
	one := make([]float64, n)
	for i := range one {
		one[i] = 1
	}
	r := response{g: w.innovations(one, nil, nil), sum: make([]float64, n)}
	s := 0.0
	for i, v := range r.g {
		s += v
		r.sum[i] = s
	}
	return r
}

// fill lays the innovations of form f, from its start to tail bins past its end,
// into out.
func (r *response) fill(f form, tail int, out []float64) []float64 {
	n := f.t1 - f.t0 + tail
	if cap(out) < n {
		out = make([]float64, n, n*2)
	}
	out = out[:n]
	get := func(v []float64, k int) float64 {
		if k < 0 {
			return 0
		}
		if k >= len(v) {
			k = len(v) - 1
		}
		return v[k]
	}
	long := f.t1 - f.t0
	rise := max(1, f.rise)
	inv := 1 / float64(rise)
	top := 1.0
	if rise > long { // cut off before its full height
		top = float64(long) * inv
	}
	for k := r.fillRise(out[:min(n, long)], rise, inv); k < n; k++ {
		var a float64
		if rise == 1 {
			a = get(r.g, k)
		} else {
			a = (r.sumAt(k) - r.sumAt(k-rise)) * inv
		}
		if k >= long {
			if rise <= long {
				a -= get(r.g, k-long) * top
			} else {
				// the ramp stops as well as drops
				a = (r.sumAt(k)-r.sumAt(k-long))*inv - get(r.g, k-long)*top
			}
		}
		out[k] = a
	}
	return out
}

// fillRise fills the bins of a form before its end that lie within the stored
// response, without a look at each bin's place, and gives how many these are.
func (r *response) fillRise(out []float64, rise int, inv float64) int {
	if rise == 1 {
		return copy(out, r.g)
	}
	n := min(len(out), len(r.sum))
	sum := r.sum[:n]
	for k := range min(n, rise) {
		out[k] = sum[k] * inv
	}
	for k := rise; k < n; k++ {
		out[k] = (sum[k] - sum[k-rise]) * inv
	}
	return n
}

func (r *response) sumAt(k int) float64 {
	if k < 0 {
		return 0
	}
	if n := len(r.sum); k >= n {
		// beyond the stored length the step response is at rest
		return r.sum[n-1] + float64(k-n+1)*r.g[n-1]
	}
	return r.sum[k]
}
