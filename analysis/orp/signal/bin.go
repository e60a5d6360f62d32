package signal

import (
	"weirbook/analysis/robust"

	"math"
)

// BinMin is the length of an evidence bin in minutes. Five minutes is short
// against every delay and lag at stake, and long against a reading's own noise.
const BinMin = 5

// Binned gives the medians of whole five-minute bins over usable minutes that
// the mask leaves; NaN where fewer than two are left.
func Binned(c *Column, mask []bool) []float64 {
	if !c.Present() {
		return nil
	}
	n := len(c.V) / BinMin
	out := make([]float64, n)
	var w [BinMin]float64
	for b := range out {
		k := 0
		for i := b * BinMin; i < (b+1)*BinMin; i++ {
			if c.Usable(i) && (mask == nil || !mask[i]) {
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

// BinnedValues is binned for a bare column.
func BinnedValues(v []float64) []float64 {
	if v == nil {
		return nil
	}
	c := Column{V: v}
	return Binned(&c, nil)
}

// Spread holds a bin column over its minutes.
func Spread(b []float64, n int) []float64 {
	out := Unknown(n)
	for i := range out {
		if k := i / BinMin; k < len(b) {
			out[i] = b[k]
		}
	}
	return out
}

// SlowBins is how many bins make a slow one: half an hour.
const SlowBins = 6
