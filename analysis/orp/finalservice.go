package orp

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// finalService finds when the analyser after dechlorination read a standard or
// was being cleaned: it left its level for less than ServiceMax minutes,
// while an ORP probe in the same water stayed where it was. Chlorine that
// really passes moves that probe by a hundred millivolts and more (common
// practice, no source). Without such a probe nothing is taken for service: the
// chlorine may have been there.
func (w *work) finalService() []signal.Span {
	final := &w.in.Final
	if !final.Present() {
		return nil
	}
	var out []signal.Span
	for _, t := range w.highFinals() {
		still, seen := true, false
		for p := range w.in.Probes {
			pr := &w.in.Probes[p]
			if pr.Place != Final {
				continue
			}
			before, during := medianOf(&pr.Column, t.From-60, t.From-5), medianOf(&pr.Column, t.From, t.To)
			if math.IsNaN(before) || math.IsNaN(during) {
				continue
			}
			seen = true
			still = still && math.Abs(during-before) < w.s.FinalStillMV
		}
		if seen && still {
			out = append(out, t)
		}
	}
	return out
}

// highFinals finds the short stretches in which the final residual stood above
// its own level by what would matter. Minutes up to a quarter of an hour apart
// belong together: a standard is read several times.
func (w *work) highFinals() []signal.Span {
	const apart = 15
	c := &w.in.Final
	level := robust.CentredMedian(signal.Binned(c, w.mask[cFinal]), 73, 12)
	var out []signal.Span
	for i := range c.V {
		b := i / signal.BinMin
		if b >= len(level) || !c.Usable(i) || !(c.V[i]-level[b] > w.s.FinalMgL) {
			continue
		}
		if n := len(out); n > 0 && i-out[n-1].To < apart {
			out[n-1].To = i + 1
		} else {
			out = append(out, signal.Between(i, i+1))
		}
	}
	short := out[:0]
	for _, t := range out {
		if t.Len() <= w.s.ServiceMax {
			short = append(short, t)
		}
	}
	return short
}

// medianOf is the median of a column's usable minutes in [from, to).
func medianOf(c *Column, from, to int) float64 {
	var v []float64
	for i := max(from, 0); i < min(to, len(c.V)); i++ {
		if c.Usable(i) {
			v = append(v, c.V[i])
		}
	}
	return robust.Median(v)
}
