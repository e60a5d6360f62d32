package orp

import "math"

// finalService finds when the analyser after dechlorination read a standard or
// was being cleaned: it left its level and came back within ServiceMax minutes,
// while an ORP probe in the same water stayed where it was. Chlorine that
// really passes moves that probe by a hundred millivolts and more (common
// practice, no source). Without such a probe nothing is taken for service: the
// chlorine may have been there.
func (w *work) finalService() []trouble {
	final := &w.in.Final
	if !final.Present() {
		return nil
	}
	var out []trouble
	for _, t := range serviceDips(final, w.mask[cFinal], w.s.FinalMgL, 0, w.s) {
		still, seen := true, false
		for p := range w.in.Probes {
			pr := &w.in.Probes[p]
			if pr.Place != Final {
				continue
			}
			before, during := medianOf(&pr.Column, t.from-60, t.from-5), medianOf(&pr.Column, t.from, t.to)
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

// medianOf is the median of a column's usable minutes in [from, to).
func medianOf(c *Column, from, to int) float64 {
	var v []float64
	for i := max(from, 0); i < min(to, len(c.V)); i++ {
		if c.usable(i) {
			v = append(v, c.V[i])
		}
	}
	return Median(v)
}
