package screen

import (
	"fmt"
	"slices"
	"strconv"

	"weirbook/analysis/series"
)

// A running total only rises, but for a register that turns over or is set back,
// and then it goes on from there. What leaves it and comes back to it is no flow:
// a zero while a controller restarted, a reading with a digit too many. A rise far
// beyond the usual that does not come back was set by hand or misread, and how
// much passed meanwhile is not known. Common practice, no source.

// strayReadings is how many readings in a row that fell out of a running total may
// still change; a longer run must stand still, or it counts on from a reset.
const strayReadings = 3

// usualRise gives the rise that a running total is measured by: the middle one of
// its steps upwards, per millisecond and of a single step. ok is false where too
// few steps tell.
func usualRise(t []int64, v []float64) (rate, step float64, ok bool) {
	var rates, steps []float64
	for i := 1; i < len(v); i++ {
		if d := v[i] - v[i-1]; d > 0 {
			rates, steps = append(rates, d/float64(t[i]-t[i-1])), append(steps, d)
		}
	}
	if len(rates) < 3 {
		return 0, 0, false
	}
	slices.Sort(rates)
	slices.Sort(steps)
	return rates[len(rates)/2], steps[len(steps)/2], true
}

// strays finds the readings that leave a running total and come back to it; times
// is Settings.CounterTimes.
func strays(t []int64, v []float64, times float64) []idxSpan {
	rate, step, ok := usualRise(t, v)
	if !ok {
		return nil
	}
	far := func(d float64, ms int64) bool { return d > times*step && d > times*rate*float64(ms) }
	var out []idxSpan
	for i := 1; i < len(v)-1; i++ {
		d, before := v[i]-v[i-1], v[i-1]
		if !far(max(d, -d), t[i]-t[i-1]) {
			continue
		}
		for k := i + 1; k < len(v); k++ {
			back := v[k] >= before && !far(v[k]-before, t[k]-t[i-1])
			if back && (d > 0 && v[k] < v[k-1] || d < 0 && far(v[k]-v[k-1], t[k]-t[k-1])) {
				out = append(out, idxSpan{i, k})
				i = k
				break
			}
			if d < 0 && k-i >= strayReadings && v[k] != v[i] {
				break
			}
		}
	}
	return out
}

// jumps finds the readings before which a running total rose by far more than
// usual, also when all the time that it stood still before is counted. The third
// fastest rise, or that of which one in a thousand is faster, stands for what the
// flow can do.
func jumps(t []int64, v []float64, times float64) []int {
	_, step, ok := usualRise(t, v)
	if !ok {
		return nil
	}
	var rates []float64
	for i := 1; i < len(v); i++ {
		if v[i] > v[i-1] {
			rates = append(rates, (v[i]-v[i-1])/float64(t[i]-t[i-1]))
		}
	}
	slices.Sort(rates)
	top := rates[len(rates)-1-max(2, len(rates)/1000)]
	var out []int
	stood := 0 // the first reading of those that stand still up to i-1
	for i := 1; i < len(v); i++ {
		if v[i] == v[i-1] {
			continue
		}
		if d := v[i] - v[i-1]; d > times*step && d > times*top*float64(t[i]-t[stood]) {
			out = append(out, i)
		}
		stood = i
	}
	return out
}

// TotalJumps gives the readings of a running total before which it rose by far
// more than the flow can account for, of those that are usable.
func TotalJumps(s *series.Series, set Settings) map[int]bool {
	var t []int64
	var v []float64
	var at []int
	for i := range s.T {
		if s.Usable(i) {
			t, v, at = append(t, s.T[i]), append(v, s.V[i]), append(at, i)
		}
	}
	out := map[int]bool{}
	for _, k := range jumps(t, v, set.CounterTimes) {
		out[at[k]] = true
	}
	return out
}

// runningTotal marks what leaves a running total and comes back, and tells of rises
// that no flow explains.
func (r *TagReport) runningTotal(tg Tagged, set Settings, b *scratch) {
	u := working(tg).Symbol
	if found := strays(b.t, b.v, set.CounterTimes); len(found) > 0 {
		n := 0
		for _, s := range found {
			n += s.hi - s.lo
			r.mark(series.Spike, b, s)
			r.Stretches = append(r.Stretches, Stretch{Defect: SpikeAt, Start: b.t[s.lo], End: b.after(s.hi - 1), Readings: s.hi - s.lo})
		}
		s := found[0]
		r.messages = append(r.messages, Message{
			Tag: r.Tag, Line: tg.Line, Defect: SpikeAt, Readings: n, Start: b.t[s.lo], End: b.t[found[len(found)-1].hi-1],
			Text: fmt.Sprintf("%s: readings that leave the running total and come back to it: %s, the first %s %s at %s, with %s before and %s after; not used",
				r.Tag, readings(n, r.Rows), whole(b.v[s.lo]), u, set.at(b.t[s.lo]), whole(b.v[s.lo-1]), whole(b.v[s.hi])),
			Next: "look at what the totaliser or its controller did at that time",
		})
		b.without(r.marks)
	}
	if found := jumps(b.t, b.v, set.CounterTimes); len(found) > 0 {
		k := found[0]
		r.messages = append(r.messages, Message{
			Tag: r.Tag, Line: tg.Line, Defect: SpikeAt, Readings: len(found), Start: b.t[k], End: b.t[found[len(found)-1]],
			Text: fmt.Sprintf("%s: the running total rises by far more than the flow can: %s, the first at %s from %s to %s %s; what passed then is not known",
				r.Tag, readings(len(found), r.Rows), set.at(b.t[k]), whole(b.v[k-1]), whole(b.v[k]), u),
			Next: "look whether the totaliser was set by hand, exchanged or exported in another unit",
		})
	}
}

// whole writes a running total, which has more figures than a reading.
func whole(v float64) string { return strconv.FormatFloat(v, 'f', 0, 64) }
