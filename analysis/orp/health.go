package orp

import (
	"math"
)

// span is a run of minutes or bins, [from, to).
type span struct{ from, to int }

func (a span) len() int { return a.to - a.from }

func (a span) overlap(b span) int { return max(0, min(a.to, b.to)-max(a.from, b.from)) }

// trouble is a span of minutes in which one signal is not sound by itself.
type trouble struct {
	span
	kind  string // frozen, dither, noise, clip, service, blank
	alarm int    // minute at which a one-sided rule spoke
	size  float64
	usual float64
}

// movement gives per minute the absolute change from the minute before; NaN
// where either is unknown.
func movement(c *Column) []float64 {
	d := nanColumn(len(c.V))
	for i := 1; i < len(c.V); i++ {
		if c.usable(i) && c.usable(i-1) {
			d[i] = math.Abs(c.V[i] - c.V[i-1])
		}
	}
	return d
}

// byLevel divides the movement d of c by what is usual at the level it happens at
// (the mean over eight classes of level, held to the middle of all), so that the quiet
// of a low residual is no stillness and the flicker of a high one no noise. Where the
// usual is nothing at all the movement is unknown.
func byLevel(c *Column, d []float64) {
	const classes = 8
	var edges [classes - 1]float64
	sorted := numbers(c.V)
	if len(sorted) == 0 {
		return
	}
	for k := range edges {
		edges[k] = quantileSorted(sorted, float64(k+1)/classes)
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
		if known(v) {
			k := class(c.V[i])
			by[k] = append(by[k], v)
		}
	}
	var usual [classes]float64
	for k := range by {
		cut := Quantile(by[k], 0.9)
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
	mid := Median(usual[:])
	for i := range d {
		if known(d[i]) {
			u := usual[class(c.V[i])]
			if !(u > 0.15*mid) {
				d[i] = math.NaN()
				continue
			}
			d[i] *= mid / u
		}
	}
}

// rollingRMS gives the root mean square of the last n values of d; NaN where
// fewer than half are known.
func rollingRMS(d []float64, n int) []float64 {
	out := nanColumn(len(d))
	sq := make([]float64, len(d)+1)
	kn := make([]int, len(d)+1)
	for i, v := range d {
		sq[i+1], kn[i+1] = sq[i], kn[i]
		if known(v) {
			sq[i+1] += v * v
			kn[i+1]++
		}
	}
	for i := range d {
		lo := max(0, i+1-n)
		if k := kn[i+1] - kn[lo]; k*2 >= n {
			out[i] = math.Sqrt(math.Max(0, sq[i+1]-sq[lo]) / float64(k))
		}
	}
	return out
}

// stillWindow finds how long a window must be before stillness is unusual for
// this tag, and the usual movement in it. ok is false for a tag that is still
// so often that stillness tells nothing.
func stillWindow(d []float64, n int, share float64) (window int, usual float64, rms []float64, ok bool) {
	for ; n <= 1440; n *= 2 {
		rms = rollingRMS(d, n)
		w := numbers(rms)
		if len(w) < 3*n {
			return 0, 0, nil, false
		}
		usual = quantileSorted(w, 0.5)
		if usual > 0 && quantileSorted(w, 0.12) >= share*usual {
			return n, usual, rms, true
		}
	}
	return 0, 0, nil, false
}

// frozen finds where a signal stopped moving: its movement over a window falls
// below a share of its own usual.
//
// The noise of a residual shrinks with it: relative says to judge movement by what
// is usual at its level.
func frozen(c *Column, relative, dither bool, s *Settings) []trouble {
	d := movement(c)
	if relative {
		byLevel(c, d)
	}
	share, least := s.FrozenShare, s.FrozenMin
	if !dither {
		// close to zero a signal is nearly still: only values held for hours count
		share, least = share/10, 4*least
	}
	out := unusual(still(c, d, least, share, "frozen"), len(c.V), s)
	// Dither is told by movement smaller than usual, which a signal in coarse
	// steps cannot show.
	if dither && !c.OnChange && resolution(c) < 0.8*Median(rollingRMS(d, s.DitherMin)) {
		for _, t := range unusual(still(c, d, s.DitherMin, s.DitherShare, "dither"), len(c.V), s) {
			hit := false
			for _, o := range out {
				if o.overlap(t.span) > 0 {
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

func still(c *Column, d []float64, n int, share float64, kind string) []trouble {
	n, usual, rms, ok := stillWindow(d, n, share)
	if !ok {
		return nil
	}
	// Small flows flicker less: what is usual is what the hour of the day usually
	// brings (on the grid's own clock; the pattern need only repeat daily).
	by := usualByHour(rms)
	limit := func(i int) float64 { return share * math.Min(usual, by[i/60%24]) }
	var out []trouble
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
		if k := len(out); k > 0 && from <= out[k-1].to+n/2 {
			out[k-1].to = max(out[k-1].to, to)
		} else {
			out = append(out, trouble{span{from, to}, kind, alarm, quietest(rms, i, j), usual})
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
		if known(rms[i]) {
			h := i / 60 % 24
			by[h] = append(by[h], rms[i])
		}
	}
	var q, out [24]float64
	for h := range by {
		q[h] = math.Inf(1)
		if len(by[h]) >= 36 {
			q[h] = Quantile(by[h], 0.4)
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

// noisy finds bursts of noise: the median movement over half an hour above a
// multiple of the tag's usual, where usual is the 90th percentile of the month's
// half hours at that, so that a plant with a restless hour keeps its peace.
//
// The noise of a residual grows with it; relative says to judge movement by what is
// usual at its level.
func noisy(c *Column, mask []bool, relative bool, s *Settings) []trouble {
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
	m := trailingMedian(d, s.NoiseMin, s.NoiseMin/2)
	w := numbers(m)
	if len(w) < 20*s.NoiseMin {
		return nil
	}
	med, hi := quantileSorted(w, 0.5), quantileSorted(w, 0.85)
	step := resolution(c)
	usual := math.Max(math.Max(med, hi/1.3), 0.7*step)
	if !(usual > 0) {
		return nil
	}
	var out []trouble
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
			out = append(out, trouble{span{from, to}, "noise", from + s.NoiseLeast, top, usual})
		}
		i = last
	}
	return out
}

// erratic says whether a signal's changes over five minutes are hardly larger than
// those over one: noise does not add up, a moving process does.
func erratic(c *Column, from, to int) bool {
	var one, five []float64
	for i := from; i+5 < to; i++ {
		if c.usable(i) && c.usable(i+1) && c.usable(i+5) {
			one = append(one, math.Abs(c.V[i+1]-c.V[i]))
			five = append(five, math.Abs(c.V[i+5]-c.V[i]))
		}
	}
	return Median(five) < 1.6*Median(one)
}

// sluggish finds where a probe lost its response: over eight hours its quarter-hour
// to quarter-hour moves are a small share of what they usually are, though the
// signal is not still.
func sluggish(c *Column, mask []bool, s *Settings) []trouble {
	b := binned(c, mask)
	const q = 3 // bins in a quarter of an hour
	n := len(b) / q
	m := make([]float64, n)
	for i := range m {
		m[i] = Median(b[i*q : (i+1)*q])
	}
	d := nanColumn(n)
	for i := 1; i < n; i++ {
		d[i] = math.Abs(m[i] - m[i-1])
	}
	long := s.ResponseHours * 4
	r := trailingMedian(d, long, long/2)
	w := numbers(r)
	if len(w) < 4*long {
		return nil
	}
	usual := quantileSorted(w, 0.5)
	limit := s.ResponseShare * usual
	if quantileSorted(w, 0.25) < limit {
		return nil // so often that it tells nothing
	}
	var out []trouble
	for i := 0; i < n; i++ {
		if !(r[i] < limit) {
			continue
		}
		j := i
		last := i
		for ; j < n && j-last <= long/4; j++ {
			if r[j] < 1.25*limit {
				last = j
			}
		}
		from := max(0, i-long*3/4)
		to := last - long/4 + 1
		out = append(out, trouble{span{from * q * binMin, max(to, from+1) * q * binMin}, "response-lost", i * q * binMin, quietest(r, i, last), usual})
		i = last
	}
	return out
}

// resolution is the smallest step that the tag's readings come in.
func resolution(c *Column) float64 {
	best := math.Inf(1)
	n := 0
	for i := 1; i < len(c.V) && n < 3000; i++ {
		if d := math.Abs(c.V[i] - c.V[i-1]); d > 1e-9 {
			n++
			if d < best {
				best = d
			}
		}
	}
	if math.IsInf(best, 1) {
		return 0
	}
	return best
}

// extremes gives the smallest and largest usable reading of minutes [from, to).
func extremes(c *Column, from, to int) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := from; i < to; i++ {
		if c.usable(i) {
			lo, hi = math.Min(lo, c.V[i]), math.Max(hi, c.V[i])
		}
	}
	return lo, hi
}

// clipped finds where a signal runs against the end of its span: the largest
// reading of six hours is shared by many, in runs, and nothing passes it.
func clipped(c *Column, s *Settings) []trouble {
	const block = 360
	n := len(c.V)
	var out []trouble
	stated := c.High > c.Low
	eps := resolution(c) / 2
	for at := 0; at+block <= n; at += block / 2 {
		for _, top := range []bool{true, false} {
			ext := math.NaN()
			for i := at; i < at+block; i++ {
				if c.usable(i) && (math.IsNaN(ext) || top && c.V[i] > ext || !top && c.V[i] < ext) {
					ext = c.V[i]
				}
			}
			if math.IsNaN(ext) {
				continue
			}
			count, runs, long, first, last := 0, 0, 0, -1, -1
			run := 0
			for i := at; i < at+block; i++ {
				if c.usable(i) && math.Abs(c.V[i]-ext) <= eps {
					if first < 0 {
						first = i
					}
					last = i
					count++
					run++
					if run == 5 {
						runs++
					}
					long = max(long, run)
				} else {
					run = 0
				}
			}
			// A true peak is rounded: the step below it is visited as often. A
			// clipped one has its crowd at the end value.
			next := 0
			step := 2 * eps
			for i := at; i < at+block; i++ {
				if c.usable(i) {
					if d := math.Abs(c.V[i] - ext); d > eps && d <= 3.2*step {
						next++
					}
				}
			}
			if count < 2*next {
				continue
			}
			if lowest, highest := extremes(c, at, at+block); highest-lowest < 12*eps {
				continue // a handful of digits: every value is shared by many
			}
			moving := count < block*9/10
			atSpan := stated && (top && math.Abs(ext-c.High) <= 0.002*(c.High-c.Low) || !top && math.Abs(ext-c.Low) <= 0.002*(c.High-c.Low))
			if count < s.ClipMin || !(atSpan || moving && runs >= 3 && long >= 10) {
				continue
			}
			if !top && !atSpan && ext <= 0 {
				continue // a residual at zero is no clip
			}
			t := trouble{span{first, last + 1}, "clip", first + s.ClipMin, ext, 0}
			if k := len(out); k > 0 && t.from <= out[k-1].to+block && math.Abs(out[k-1].size-ext) <= 2*eps {
				out[k-1].to = max(out[k-1].to, t.to)
			} else {
				out = append(out, t)
			}
		}
	}
	return out
}
