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
	limit := math.Max(ratio*usual, signal.GumbelOf(signal.DailyMaxima(m, dayMin)).Over(s.NoiseScales))
	var out []Trouble
	for i := 0; i < len(m); i++ {
		if !(m[i] > limit) {
			continue
		}
		j, last, top := i, i, m[i]
		for ; j < len(m) && j-last <= 2*s.NoiseMin; j++ {
			if m[j] > 0.75*limit {
				last = j
				top = math.Max(top, m[j])
			}
		}
		from := max(0, i-s.NoiseMin/2)
		to := max(last-s.NoiseMin/2, from+1)
		if to-from >= s.NoiseLeast && erratic(c, from, to) {
			out = append(out, Trouble{Span: signal.Between(from, to), Kind: Noise, Alarm: from + s.NoiseLeast, Size: top / usual, Usual: usual})
		}
		i = last
	}
	return out
}

// restless finds bursts of noise in a column that is stored when it changes: its
// stored values go to and fro, over an hour, far more than in its restless hours. A
// moving process goes one way, whatever its pace.
func restless(c *signal.Column, mask []bool, s *Settings) []Trouble {
	const window = 60
	n := len(c.V)
	sum := make([]float64, n+1)
	a, b := math.NaN(), math.NaN() // the two values before
	for i := range n {
		sum[i+1] = sum[i]
		if mask[i] || !c.Usable(i) {
			a, b = math.NaN(), math.NaN()
			continue
		}
		if v := c.V[i]; c.Stored(i) && v != b {
			if (b-a)*(v-b) < 0 {
				sum[i+1] += math.Min(math.Abs(b-a), math.Abs(v-b))
			}
			a, b = b, v
		}
	}
	moved := make([]float64, n)
	for i := range moved {
		moved[i] = sum[i+1] - sum[max(0, i+1-window)]
	}
	usual := robust.Quantile(moved, 0.95)
	if !(usual > 0) {
		return nil
	}
	limit := math.Max(s.RestlessRatio*usual, signal.GumbelOf(signal.DailyMaxima(moved, dayMin)).Over(s.NoiseScales))
	var out []Trouble
	for i := 0; i < n; i++ {
		if !(moved[i] > limit) {
			continue
		}
		last, top := i, moved[i]
		for j := i; j < n && j-last <= 2*window; j++ {
			if moved[j] > 0.7*limit {
				last, top = j, math.Max(top, moved[j])
			}
		}
		from, to := max(0, i-window/2), max(last-window/2, i-window/2+1)
		if to-from >= s.NoiseLeast && erraticPoints(c, from, to) {
			out = append(out, Trouble{Span: signal.Between(from, to), Kind: Noise, Alarm: from + s.NoiseLeast, Size: top / usual, Usual: usual})
		}
		i = last
	}
	return out
}

// erraticPoints is erratic for stored points: changes over five of them hardly larger
// than over one.
func erraticPoints(c *signal.Column, from, to int) bool {
	var v []float64
	for i := from; i < to; i++ {
		if c.Stored(i) && (len(v) == 0 || c.V[i] != v[len(v)-1]) {
			v = append(v, c.V[i])
		}
	}
	var one, five []float64
	for i := 0; i+5 < len(v); i++ {
		one, five = append(one, math.Abs(v[i+1]-v[i])), append(five, math.Abs(v[i+5]-v[i]))
	}
	return len(one) >= 20 && robust.Median(five) < 1.6*robust.Median(one)
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
