package upset

import (
	"fmt"
	"math"

	"weirbook/analysis/quantity"
	"weirbook/analysis/robust"
)

// pacedWithin is the least share of normal, over that of the residual, of a feed that
// is held to have followed it. Common practice, no source.
const pacedWithin = 0.75

// paced says so where a dechlorination feed fell with the residual shown at the
// basin outlet, as pacing would have it: then its fall is no cause of its own.
// Empty: it fell by itself, or it is not known.
func paced(in *Input, x *Explanation, first *Move) string {
	feed := x.shares(first.Column, first.At)
	for k := range in.Columns {
		c := &in.Columns[k]
		if c.Place != AtOutlet || c.Kind != quantity.ChlorineTotal && c.Kind != quantity.ChlorineFree {
			continue
		}
		shown := x.shares(k, first.At)
		var ratio, fell []float64
		for i := 0; i < min(len(feed), len(shown)); i++ {
			if !isNaN(feed[i]) && !isNaN(shown[i]) && shown[i] > 0 {
				ratio, fell = append(ratio, feed[i]/shown[i]), append(fell, shown[i])
			}
		}
		if len(ratio) < 3 || robust.Median(ratio) < pacedWithin || robust.Median(fell) > 0.9 {
			continue
		}
		return fmt.Sprintf("From %s %s fell with the residual that %s showed (to %s of normal), as it does where it is paced by it. Whether that analyser showed too little, or the chlorine came through for another reason, is not known.",
			clock(first.At, x.Episode.Start, in.Loc), lowerFirst(first.Title), c.Tag, percent(robust.Median(fell)))
	}
	return ""
}

// shares gives a column's bins as shares of normal for two hours from a moment, or
// as far as the episode goes.
func (x *Explanation) shares(column int, from int64) []float64 {
	for k := range x.Tracks {
		t := &x.Tracks[k]
		if t.Column != column {
			continue
		}
		step := int64(x.BinMin) * 60_000
		lo := max(int((from-x.BinStart)/step), 0)
		hi := min(int((min(from+2*3600_000, x.Episode.End)-x.BinStart)/step), len(t.Bins))
		var out []float64
		for i := lo; i < hi; i++ {
			v := math.NaN()
			if n := t.Normal[i] + t.Level; n > 0 {
				v = t.Bins[i] / n
			}
			out = append(out, v)
		}
		return out
	}
	return nil
}
