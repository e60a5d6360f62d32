package health

import (
	"weirbook/analysis/orp/signal"

	"math"
)

// extremes gives the smallest and largest usable reading of minutes [from, to).
func extremes(c *signal.Column, from, to int) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := from; i < to; i++ {
		if c.Usable(i) {
			lo, hi = math.Min(lo, c.V[i]), math.Max(hi, c.V[i])
		}
	}
	return lo, hi
}

// clipped finds where a signal runs against the end of its span: the largest
// reading of six hours is shared by many, in runs, and nothing passes it. Of a tag in
// steps (stored on change) that is so every day: only the stated span counts.
func clipped(c *signal.Column, steps bool, s *Settings) []Trouble {
	const block = 360
	n := len(c.V)
	var out []Trouble
	stated := c.High > c.Low
	eps := resolution(c) / 2
	for at := 0; at+block <= n; at += block / 2 {
		for _, top := range []bool{true, false} {
			ext := math.NaN()
			for i := at; i < at+block; i++ {
				if c.Usable(i) && (math.IsNaN(ext) || top && c.V[i] > ext || !top && c.V[i] < ext) {
					ext = c.V[i]
				}
			}
			if math.IsNaN(ext) {
				continue
			}
			count, runs, long, first, last := 0, 0, 0, -1, -1
			run := 0
			for i := at; i < at+block; i++ {
				if c.Usable(i) && math.Abs(c.V[i]-ext) <= eps {
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
				if c.Usable(i) {
					if d := math.Abs(c.V[i] - ext); d > eps && d <= 3.2*step {
						next++
					}
				}
			}
			atSpan := stated && (top && math.Abs(ext-c.High) <= s.TopShare*(c.High-c.Low) || !top && math.Abs(ext-c.Low) <= s.TopShare*(c.High-c.Low))
			if !atSpan && count < 2*next {
				continue
			}
			if lowest, highest := extremes(c, at, at+block); !atSpan && highest-lowest < 12*eps {
				continue // a handful of digits: every value is shared by many
			}
			moving := count < block*9/10
			if count < s.ClipMin || !(atSpan || !steps && moving && runs >= 3 && long >= 10) {
				continue
			}
			if !top && (!atSpan || ext <= 0) {
				continue // a residual near zero is no clip
			}
			kind := Clip
			if atSpan && top {
				kind = OffScale
			}
			t := Trouble{Span: signal.Between(first, last+1), Kind: kind, Alarm: first + s.ClipMin, Size: ext, Usual: 0}
			if k := len(out); k > 0 && t.From <= out[k-1].To+block && math.Abs(out[k-1].Size-ext) <= 2*eps {
				out[k-1].To = max(out[k-1].To, t.To)
			} else {
				out = append(out, t)
			}
		}
	}
	return out
}
