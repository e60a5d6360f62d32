package orp

import (
	"math"

	"weirbook/analysis/robust"
)

// binMin is the length of an evidence bin in minutes. Five minutes is short
// against every delay and lag at stake, and long against a reading's own noise.
const binMin = 5

// binned gives the medians of whole five-minute bins over usable minutes that
// the mask leaves; NaN where fewer than two are left.
func binned(c *Column, mask []bool) []float64 {
	if !c.Present() {
		return nil
	}
	n := len(c.V) / binMin
	out := make([]float64, n)
	var w [binMin]float64
	for b := range out {
		k := 0
		for i := b * binMin; i < (b+1)*binMin; i++ {
			if c.usable(i) && (mask == nil || !mask[i]) {
				w[k] = c.V[i]
				k++
			}
		}
		if k < 2 {
			out[b] = math.NaN()
		} else {
			out[b] = robust.MedianInPlace(w[:k])
		}
	}
	return out
}

// binnedValues is binned for a bare column.
func binnedValues(v []float64) []float64 {
	if v == nil {
		return nil
	}
	c := Column{V: v}
	return binned(&c, nil)
}

// spread holds a bin column over its minutes.
func spread(b []float64, n int) []float64 {
	out := nanColumn(n)
	for i := range out {
		if k := i / binMin; k < len(b) {
			out[i] = b[k]
		}
	}
	return out
}
