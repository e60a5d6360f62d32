package screen

import (
	"fmt"
	"math"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// alwaysMoves says whether a continuous signal of this kind moves in every
// running plant. Common practice, no source.
func alwaysMoves(k quantity.Kind) bool {
	switch k {
	case quantity.PH, quantity.Temp, quantity.ORP, quantity.ChlorineTotal, quantity.ChlorineFree, quantity.Flow:
		return true
	}
	return false
}

// wholeDegrees is how many times longer a temperature written in whole degrees
// may rest. Common practice, no source: the water of a basin can stay within one
// degree for days.
const wholeDegrees = 4

// neverMoves marks a tag that holds one value through its whole record. Other
// frozen stretches are known by the tag's own usual changes; this one has none.
// It says whether it did.
func (r *TagReport) neverMoves(tg Tagged, set Settings, b *scratch, rest float64) bool {
	if !alwaysMoves(tg.Kind) || len(b.v) <= set.WholeRows {
		return false
	}
	v := b.v[0]
	if v <= rest || v <= tg.Low { // nothing to read, or the bottom of the span
		return false
	}
	limit := set.gapMS(r.SpacingMS)
	var held int64 // without the gaps, ms
	for i := 1; i < len(b.v); i++ {
		if b.v[i] != v {
			return false
		}
		if d := b.t[i] - b.t[i-1]; d <= limit {
			held += d
		}
	}
	need := set.FrozenWhole.Milliseconds()
	if tg.Kind == quantity.Temp {
		if x, err := quantity.Convert(v, working(tg), tg.Declared); err == nil && math.Abs(x-math.Round(x)) < 1e-6 {
			need *= wholeDegrees
		}
	}
	if held <= need {
		return false
	}
	r.mark(series.Frozen, b, idxSpan{0, len(b.v)})
	r.Stretches = append(r.Stretches, Stretch{Defect: FrozenAt, Start: b.t[0], End: b.t[len(b.t)-1], Readings: len(b.v), whole: true,
		What: fmt.Sprintf("stood at %s %s in its whole record and never changed, as no instrument in running water does,", num(v), working(tg).Symbol)})
	return true
}
