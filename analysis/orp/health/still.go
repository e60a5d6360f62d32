package health

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// byLevel divides the movement d of c by what is usual at the level it happens at
// (the mean over eight classes of level, held to the middle of all), so that the quiet
// of a low residual is no stillness and the flicker of a high one no noise. Where the
// usual is nothing at all the movement is unknown.
func byLevel(c *signal.Column, d []float64) {
	const classes = 8
	var edges [classes - 1]float64
	sorted := robust.Numbers(c.V)
	if len(sorted) == 0 {
		return
	}
	for k := range edges {
		edges[k] = robust.QuantileSorted(sorted, float64(k+1)/classes)
	}
	class := func(v float64) int {
		k := 0
		for k < len(edges) && v > edges[k] {
			k++
		}
		return k
	}
	// Half of the movements may be nought by rounding: the mean of the lower
	// nine tenths still tells classes apart.
	var by [classes][]float64
	for i, v := range d {
		if signal.Known(v) {
			k := class(c.V[i])
			by[k] = append(by[k], v)
		}
	}
	var usual [classes]float64
	for k := range by {
		cut := robust.Quantile(by[k], 0.9)
		sum, n := 0.0, 0
		for _, v := range by[k] {
			if v <= cut {
				sum += v
				n++
			}
		}
		usual[k] = math.NaN()
		if n > 500 && sum > 0 {
			usual[k] = sum / float64(n)
		}
	}
	mid := robust.Median(usual[:])
	for i := range d {
		if signal.Known(d[i]) {
			u := usual[class(c.V[i])]
			if !(u > 0.15*mid) {
				d[i] = math.NaN()
				continue
			}
			d[i] *= mid / u
		}
	}
}

// stillWindow finds how long a window must be before stillness is unusual for
// this tag, and the usual movement in it. ok is false for a tag that is still
// so often that stillness tells nothing.
func stillWindow(d []float64, n int, share float64) (window int, usual float64, rms []float64, ok bool) {
	for ; n <= 1440; n *= 2 {
		rms = rollingRMS(d, n)
		if signal.CountKnown(rms) < 3*n {
			return 0, 0, nil, false
		}
		usual = robust.Median(rms)
		if usual > 0 && robust.Quantile(rms, 0.12) >= share*usual {
			return n, usual, rms, true
		}
	}
	return 0, 0, nil, false
}

// frozen finds where a signal stopped moving: its movement over a window falls
// below a share of its own usual.
//
// What stands below low is near nothing, where a signal hardly moves. The noise of a residual shrinks with it: relative says to judge movement by what
// is usual at its level.
func frozen(c *signal.Column, relative, dither bool, low float64, s *Settings) []Trouble {
	d := movement(c)
	if relative {
		byLevel(c, d)
	}
	share, least := s.FrozenShare, s.FrozenMin
	if !dither {
		// close to zero a signal is nearly still: only values held for hours count
		share, least = share/10, 4*least
	}
	out := unusual(still(c, d, least, share, low, Frozen), len(c.V), s)
	// Dither is told by movement smaller than usual, which a signal in coarse
	// steps cannot show.
	if dither && !c.OnChange && resolution(c) < 0.8*robust.Median(rollingRMS(d, s.DitherMin)) {
		for _, t := range unusual(still(c, d, s.DitherMin, s.DitherShare, low, Dither), len(c.V), s) {
			hit := false
			for _, o := range out {
				if o.Overlap(t.Span) > 0 {
					hit = true
				}
			}
			if !hit {
				out = append(out, t)
			}
		}
	}
	return out
}

func still(c *signal.Column, d []float64, n int, share, low float64, kind Kind) []Trouble {
	n, usual, rms, ok := stillWindow(d, n, share)
	if !ok {
		return nil
	}
	// Small flows flicker less: what is usual is what the hour of the day usually
	// brings (on the grid's own clock; the pattern need only repeat daily).
	by := usualByHour(rms)
	limit := func(i int) float64 { return share * math.Min(usual, by[i/60%24]) }
	var out []Trouble
	for i := 0; i < len(rms); i++ {
		if !(rms[i] < limit(i)) {
			continue
		}
		alarm := i
		j := i
		for j+1 < len(rms) && (rms[j+1] < 1.5*limit(j+1) || math.IsNaN(rms[j+1])) {
			j++
		}
		for j > i && math.IsNaN(rms[j]) {
			j--
		}
		from := max(0, alarm-n+1)
		to := j + 1
		from, to = trimStill(d, from, to, n, limit(alarm))
		if c.V[from] < low {
			i = j
			continue // near nothing a signal hardly moves
		}
		if k := len(out); k > 0 && from <= out[k-1].To+n/2 {
			out[k-1].To = max(out[k-1].To, to)
		} else {
			out = append(out, Trouble{Span: signal.Between(from, to), Kind: kind, Alarm: alarm, Size: quietest(rms, i, j), Usual: usual})
		}
		i = j
	}
	return out
}

// usualByHour gives the lower quartile of rms by hour of the grid, smoothed over
// neighbouring hours.
func usualByHour(rms []float64) [24]float64 {
	var by [24][]float64
	for i := 0; i < len(rms); i += 5 {
		if signal.Known(rms[i]) {
			h := i / 60 % 24
			by[h] = append(by[h], rms[i])
		}
	}
	var q, out [24]float64
	for h := range by {
		q[h] = math.Inf(1)
		if len(by[h]) >= 36 {
			q[h] = robust.Quantile(by[h], 0.4)
		}
	}
	for h := range out {
		out[h] = math.Min(q[h], math.Min(q[(h+23)%24], q[(h+1)%24]))
	}
	return out
}

func quietest(v []float64, from, to int) float64 {
	m := math.Inf(1)
	for i := from; i <= to; i++ {
		if v[i] < m {
			m = v[i]
		}
	}
	return m
}

// trimStill moves the ends of a still span to the last movement before it and
// the first after it.
func trimStill(d []float64, from, to, n int, limit float64) (int, int) {
	big := math.Max(3*limit, 1e-12)
	// start: the last large movement in the first half of the window
	for i := min(from+n/2, to-1); i > from; i-- {
		if d[i] > big {
			from = i
			break
		}
	}
	// and further back while it is already still
	for from > 0 && d[from] <= big && (d[from-1] <= limit || math.IsNaN(d[from-1])) && d[from] <= limit {
		from--
	}
	for i := max(to-n/2, from+1); i < to; i++ {
		if d[i] > big {
			to = i
			break
		}
	}
	return from, to
}
