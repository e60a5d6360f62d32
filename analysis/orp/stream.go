package orp

import (
	"math"
	"slices"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// Evidence is judged on two clocks: five minutes for what is abrupt, half an
// hour for what is slow.
const (
	fastHours = signal.BinMin / 60.0

	slowHours = fastHours * signal.SlowBins
)

// clock is a stream at one bin length.
type clock struct {
	y   []float64 // the stream, usual pattern taken off
	e   []float64 // innovations
	law []float64 // weight of each bin, 0…1: less where the law is less sure; nil: 1
	at  []filterMark
	k   []float64 // law times how well the filter knows its states
	w   wander
}

// stream is one line of evidence.
type stream struct {
	name       string
	fast, slow clock
	whole      []float64 // fast.y before anything was taken out
	least      float64   // smallest believable noise of a bin
}

// newStream learns a stream outside of the bins to hold out.
func newStream(name string, y, weight []float64, least float64, hold []bool) *stream {
	s := &stream{name: name, least: least}
	s.fast.y = calm(y)
	s.fast.law = weight
	s.slow.y, s.slow.law = signal.Thin(y, weight)
	s.learn(hold)
	s.whole = append([]float64(nil), s.fast.y...)
	return s
}

// level is by how much the stream stands away inside form f from the six hours
// before: what an operator would read off the chart, whatever the shape of the rise.
func (s *stream) level(f form) float64 {
	long := f.t1 - f.t0
	in := robust.Median(s.whole[f.t0+long/4 : max(f.t1-long/10, f.t0+long/4+1)])
	before := robust.Median(s.whole[max(0, f.t0-78):max(1, f.t0-6)])
	if math.IsNaN(before) {
		before = 0
	}
	return in - before
}

// learn estimates both clocks' wander outside of the held-out bins and filters
// them.
func (s *stream) learn(hold []bool) {
	keep := signal.Not(hold)
	sound := signal.Masked(s.fast.y, keep)
	if signal.CountKnown(sound) < len(sound)/4 {
		sound = s.fast.y // too little is left: rather the whole
	}
	soundSlow, _ := signal.Thin(sound, nil)
	s.fast.w = learnWander(sound, fastHours, s.least)
	s.slow.w = learnWander(soundSlow, slowHours, s.least/2)
	s.filter()
	// The innovations of a heavy-tailed stream are wider than the learned
	// model says; their own robust spread is the honest one.
	honest := func(c *clock, y []float64) {
		e := make([]float64, 0, len(y))
		for i, v := range y {
			if signal.Known(v) {
				e = append(e, c.e[i])
			}
		}
		if m := robust.MAD(e); m*m > c.w.s {
			c.w.s = m * m
		}
		slices.Sort(e)
		for _, t := range [...]struct{ p, z float64 }{{0.05, 3.290}, {0.01, 4.653}} {
			if q := (robust.QuantileSorted(e, 1-t.p) - robust.QuantileSorted(e, t.p)) / t.z; q*q > c.w.s {
				c.w.s = q * q
			}
		}
	}
	honest(&s.fast, sound)
	honest(&s.slow, soundSlow)
}

func (s *stream) filter() {
	s.fast.filter()
	s.slow.filter()
}

func (c *clock) filter() {
	if len(c.k) != len(c.y) {
		c.k = make([]float64, len(c.y))
	}
	c.at = make([]filterMark, len(c.y)/markBins+1)
	if cap(c.e) < len(c.y) {
		c.e = make([]float64, len(c.y))
	}
	c.refilter(0, 0)
}

// refilter filters anew after a change of y in bins [from, to), as far as it matters.
func (c *clock) refilter(from, to int) {
	at := min(from, len(c.y)-1) / markBins
	for at > 0 && !c.at[at].rest {
		at--
	}
	at = max(at, 0) * markBins
	end := c.w.run(c.y, c.e, c.k, c.at, at, to)
	if c.law != nil {
		for i := at; i < end; i++ {
			c.k[i] *= c.law[i]
		}
	}
}

// jump is by how much the stream stands away a few hours into form f from the
// hours before it.
func (s *stream) jump(f form) float64 {
	to := min(f.t1, f.t0+72)
	from := min(f.t0+12, to-1)
	after := robust.Median(s.whole[from:to])
	before := robust.Median(s.whole[max(0, f.t0-48):max(1, f.t0-6)])
	if math.IsNaN(before) || math.IsNaN(after) {
		return 0
	}
	return after - before
}

// calm is a running median of three bins: single bins carry spikes.
func calm(y []float64) []float64 {
	out := make([]float64, len(y))
	copy(out, y)
	for i := 1; i+1 < len(y); i++ {
		a, b, c := y[i-1], y[i], y[i+1]
		if signal.Known(a) && signal.Known(b) && signal.Known(c) {
			out[i] = math.Max(math.Min(a, b), math.Min(math.Max(a, b), c))
		}
	}
	return out
}

// amplitude gives the best size of a shape laid on the stream from bin at on, and
// its standard error; ok is false where the stream says nothing. shape holds the
// filtered shape (what it does to the innovations).
func (c *clock) amplitude(shape []float64, at int) (size, sd float64, ok bool) {
	score, info := 0.0, 0.0
	n := 0
	for k, g := range shape {
		i := at + k
		if i < 0 || i >= len(c.e) {
			continue
		}
		e := c.e[i]
		if e != e {
			continue
		}
		u := 1.0
		if c.k != nil {
			u = c.k[i]
		}
		score += u * g * e
		info += u * g * g
		n++
	}
	if n == 0 || info <= 1e-9 {
		return 0, 0, false
	}
	return score / info, math.Sqrt(c.w.s / info), true
}
