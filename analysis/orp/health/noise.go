package health

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// noisy finds bursts of noise: the median movement over half an hour above a
// multiple of the tag's usual, where usual is the 90th percentile of the month's
// half hours at that, so that a plant with a restless hour keeps its peace.
//
// The noise of a residual grows with it; relative says to judge movement by what is
// usual at its level.
func noisy(c *signal.Column, mask []bool, relative bool, s *Settings) []Trouble {
	d := movement(c)
	ratio := s.NoiseRatio
	if relative {
		byLevel(c, d)
		ratio = s.ResidualNoiseRatio
	}
	for i := range d {
		if mask[i] || i > 0 && mask[i-1] {
			d[i] = math.NaN()
		}
	}
	m := robust.TrailingMedian(d, s.NoiseMin, s.NoiseMin/2)
	w := robust.Numbers(m)
	if len(w) < 20*s.NoiseMin {
		return nil
	}
	med, hi := robust.QuantileSorted(w, 0.5), robust.QuantileSorted(w, 0.85)
	step := resolution(c)
	usual := math.Max(math.Max(med, hi/1.3), 0.7*step)
	if !(usual > 0) {
		return nil
	}
	var out []Trouble
	for i := 0; i < len(m); i++ {
		if !(m[i] > ratio*usual) {
			continue
		}
		j, last, top := i, i, m[i]
		for ; j < len(m) && j-last <= 2*s.NoiseMin; j++ {
			if m[j] > 0.75*ratio*usual {
				last = j
				top = math.Max(top, m[j])
			}
		}
		from := max(0, i-s.NoiseMin/2)
		to := max(last-s.NoiseMin/2, from+1)
		if to-from >= s.NoiseLeast && erratic(c, from, to) {
			out = append(out, Trouble{Span: signal.Between(from, to), Kind: Noise, Alarm: from + s.NoiseLeast, Size: top, Usual: usual})
		}
		i = last
	}
	return out
}

// erratic says whether a signal's changes over five minutes are hardly larger than
// those over one: noise does not add up, a moving process does.
func erratic(c *signal.Column, from, to int) bool {
	var one, five []float64
	for i := from; i+5 < to; i++ {
		if c.Usable(i) && c.Usable(i+1) && c.Usable(i+5) {
			one = append(one, math.Abs(c.V[i+1]-c.V[i]))
			five = append(five, math.Abs(c.V[i+5]-c.V[i]))
		}
	}
	return robust.Median(five) < 1.6*robust.Median(one)
}
