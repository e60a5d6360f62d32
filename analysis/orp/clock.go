package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// A clock can be wrong in one system and right in another: an export in winter time
// among exports in summer time. Then a feed no longer moves with the reading that
// steers it. Sulfite is paced on the residual within a minute, so its moves and the
// residual's go together at one lag; where for a day they go together an hour off
// instead, a clock is wrong.

// clockShifts finds such stretches: an hour, for the better part of a day or longer.
func (w *work) clockShifts() []event {
	c := w.residual()
	if !signal.Enough(w.bisulfite) || !signal.Enough(w.flow) || c == nil || !signal.Enough(c) {
		return nil
	}
	a, b := signal.Unknown(w.Bins), signal.Unknown(w.Bins)
	for i := range a {
		if w.bisulfite[i] > 0 && w.flow[i] > 0 {
			a[i] = math.Log(w.bisulfite[i] / w.flow[i])
		}
		if c[i] > 0.05 {
			b[i] = math.Log(c[i])
		}
	}
	a, b = quick(a), quick(b)
	const reach = 18 // bins: an hour and a half
	const block = 72 // six hours
	step := block / 3
	blocks := max(0, (w.Bins-block)/step+1)
	corr := make([][2*reach + 1]float64, blocks)
	for k := range corr {
		for l := range corr[k] {
			corr[k][l] = lagCorrelation(a, b, k*step, k*step+block, l-reach)
		}
	}
	// the usual lag
	var sum [2*reach + 1]float64
	for l := range sum {
		v := make([]float64, len(corr))
		for k := range corr {
			v[k] = corr[k][l]
		}
		sum[l] = robust.Median(v)
	}
	usual := 0
	for l := range sum {
		if sum[l] > sum[usual] {
			usual = l
		}
	}
	if !(sum[usual] > w.s.ClockCorrelation) {
		return nil // the feed does not follow the reading: nothing to tell by
	}
	var out []event
	for k := 0; k < len(corr); k++ {
		l := otherLag(&corr[k], usual, w.s.ClockCorrelation)
		if l < 0 {
			continue
		}
		last, n := k, 0
		for j := k; j < len(corr) && j-last <= 6; j++ {
			if m := otherLag(&corr[j], usual, w.s.ClockCorrelation); m >= 0 && signal.Abs(m-l) <= 1 {
				last = j
				n++
			}
		}
		if shift := signal.Abs(l-usual) * signal.BinMin; n >= 4 && (last-k)*step*signal.BinMin >= w.s.ClockHours*60 && shift >= 45 && shift <= 75 {
			from, to := k*step+block/2-step/2, last*step+block/2+step/2
			from, to = sharpen(a, b, from, to, usual-reach, l-reach)
			out = append(out, event{Span: signal.Between(from*signal.BinMin, to*signal.BinMin), alarm: min((from+2*block), to) * signal.BinMin, kind: clockShift,
				subject: "clock", ratio: 60, share: 0.9, size: float64(l-usual) * signal.BinMin})
		}
		k = last
	}
	return out
}

// otherLag is the lag at which a block's signals go together if that is not the
// usual one; -1 otherwise.
func otherLag(c *[37]float64, usual int, least float64) int {
	best := usual
	for l := range c {
		if c[l] > c[best] {
			best = l
		}
	}
	if signal.Abs(best-usual) < 4 || c[best] < least || c[best] < c[usual]+least {
		return -1
	}
	return best
}

// sharpen moves the ends of a shifted stretch to where the products at the two lags
// change sides.
func sharpen(a, b []float64, from, to, usual, other int) (int, int) {
	score := func(i int) float64 {
		p := func(l int) float64 {
			j := i + l
			if j < 0 || j >= len(b) || !signal.Known(a[i]) || !signal.Known(b[j]) {
				return 0
			}
			d := a[i] - b[j]
			return -d * d
		}
		return p(other) - p(usual)
	}
	find := func(at int, rising bool) int {
		const around = 72
		sum, best, where := 0.0, math.Inf(-1), at
		for i := max(0, at-around); i < min(len(a), at+around); i++ {
			v := score(i)
			if rising {
				v = -v
			}
			if sum > best {
				best, where = sum, i
			}
			sum += v
		}
		return where
	}
	// the start is where what goes before speaks for the usual lag and what
	// follows for the other
	return find(from, true), find(to, false)
}

// quick takes what is slower than two hours off.
func quick(v []float64) []float64 {
	m := robust.CentredMedian(v, 25, 8)
	out := signal.Unknown(len(v))
	for i := range v {
		out[i] = signal.Clamp(v[i]-m[i], -0.15, 0.15)
	}
	return out
}

// lagCorrelation is the correlation of a[i] with b[i+lag] over bins [from, to).
func lagCorrelation(a, b []float64, from, to, lag int) float64 {
	n, xx, yy, xy := 0, 0.0, 0.0, 0.0
	for i := from; i < to; i++ {
		j := i + lag
		if j < 0 || j >= len(b) || !signal.Known(a[i]) || !signal.Known(b[j]) {
			continue
		}
		xx += a[i] * a[i]
		yy += b[j] * b[j]
		xy += a[i] * b[j]
		n++
	}
	if n*2 < to-from || xx == 0 || yy == 0 {
		return math.NaN()
	}
	return xy / math.Sqrt(xx*yy)
}
