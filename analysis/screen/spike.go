package screen

import (
	"fmt"
	"math"

	"weirbook/analysis/series"
)

// madScale turns a median absolute deviation into a standard deviation:
// 1/(√2 erfinv(1/2)) for a normal distribution.
const madScale = 1.4826

// hampel says how far v[i] lies from the median of its window of width values on
// each side (cut off at the ends), and the window's robust standard deviation.
//
// Source: Hampel identifier as in the documentation of signal processing
// toolboxes: median and 1.4826 MAD of the window, value itself included.
func hampel(v []float64, i, width int) (dist, sigma float64) {
	var w [33]float64
	width = min(width, len(w)/2)
	lo, hi := max(i-width, 0), min(i+width+1, len(v))
	x := w[:hi-lo]
	copy(x, v[lo:hi])
	m := medianOf(x)
	for k, y := range x {
		x[k] = math.Abs(y - m)
	}
	return math.Abs(v[i] - m), madScale * medianOf(x)
}

// medianOf sorts x, a few values, and gives the median.
func medianOf(x []float64) float64 {
	for i := 1; i < len(x); i++ {
		y, j := x[i], i
		for ; j > 0 && x[j-1] > y; j-- {
			x[j] = x[j-1]
		}
		x[j] = y
	}
	n := len(x)
	if n%2 == 1 {
		return x[n/2]
	}
	return (x[n/2-1] + x[n/2]) / 2
}

// spikes marks single readings (at most SpikeReadings in a row) that stand far
// from both sides and come back. A change that stays is an event, not a spike.
func (r *TagReport) spikes(tg Tagged, set Settings, b *scratch) {
	v := b.v
	if len(v) < 4*set.SpikeWidth {
		return
	}
	noise := b.noise()
	q := b.picked()
	floor := max(set.SpikeSigma*noise, set.SpikeSpan*(q.p99-q.p1))
	if floor <= 0 {
		return // the tag hardly ever moves: nothing to measure a spike by
	}
	found := b.jumps(floor, noise, set)
	n := 0
	for _, s := range found {
		n += s.hi - s.lo
	}
	if n == 0 {
		return
	}
	u := working(tg).Symbol
	if float64(n) > set.SpikeMaxShare*float64(len(v)) && n > 3 {
		r.messages = append(r.messages, Message{
			Tag: r.Tag, Line: tg.Line, Defect: SpikeAt, Readings: n, Start: b.t[found[0].lo], End: b.t[found[len(found)-1].lo],
			Text: fmt.Sprintf("%s: jumps of more than %s %s and back: %s; so many are the tag's way, and none is left out",
				r.Tag, num(floor), u, readings(n, r.Rows)),
			Next: "look at the signal's wiring, its filter and its grounding if it is not meant to jump",
		})
		return
	}
	big, at := 0.0, found[0].lo
	for _, s := range found {
		r.mark(series.Spike, b, s)
		r.Stretches = append(r.Stretches, Stretch{Defect: SpikeAt, Start: b.t[s.lo], End: b.after(s.hi - 1), Readings: s.hi - s.lo})
		if h := math.Abs(v[s.lo] - v[s.lo-1]); h > big {
			big, at = h, s.lo
		}
	}
	r.messages = append(r.messages, Message{
		Tag: r.Tag, Line: tg.Line, Defect: SpikeAt, Readings: n, Start: b.t[found[0].lo], End: b.t[found[len(found)-1].lo],
		Text: fmt.Sprintf("%s: spikes of more than %s %s: %s, the largest reading %s at %s; not used",
			r.Tag, num(floor), u, readings(n, r.Rows), num(v[at]), set.at(b.t[at])),
		Next: "nothing, unless they come in bursts: then look at the signal's wiring",
	})
}

// jumps finds the readings that stand floor or more from both sides.
func (b *scratch) jumps(floor, noise float64, set Settings) []idxSpan {
	v := b.v
	var found []idxSpan
	i := 1
	for c, x := range b.facts {
		if x.step < floor {
			continue // no jump in any of these
		}
	next:
		for i = max(i, c*chunkLen); i < min((c+1)*chunkLen, len(v)-1); i++ {
			if math.Abs(v[i]-v[i-1]) < floor || b.t[i]-b.t[i-1] > b.limit {
				continue // no jump here
			}
			for k := i + 1; k <= i+set.SpikeReadings && k < len(v) && b.t[k]-b.t[k-1] <= b.limit; k++ {
				// v[i:k] is the candidate; before and after must agree again.
				back := math.Abs(v[k] - v[i-1])
				height := math.Inf(1)
				for _, x := range v[i:k] {
					height = min(height, math.Abs(x-v[i-1]), math.Abs(x-v[k]))
				}
				if height < floor || back > height/3 {
					continue
				}
				if dist, sigma := hampel(v, i, set.SpikeWidth); dist < set.SpikeSigma*max(sigma, noise) {
					continue
				}
				found = append(found, idxSpan{i, k})
				i = k - 1
				continue next
			}
		}
	}
	return found
}

// noise estimates the standard deviation of a reading's scatter from the
// differences between neighbours, so that the slow course of the day does not
// count. Where most differences are zero (coarse resolution, deadband) it is
// taken from the larger ones, assuming a normal distribution: the 50th, 90th
// and 99th percentile of |difference| are 0.954, 2.326 and 3.643 standard
// deviations.
func (b *scratch) noise() float64 {
	q := b.changes(every(len(b.v) - 1))
	switch {
	case q.p50 > 0:
		return q.p50 / 0.954
	case q.p90 > 0:
		return q.p90 / 2.326
	}
	return q.p99 / 3.643
}
