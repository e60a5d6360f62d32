package loading

import (
	"math"

	"weirbook/analysis/align"
	"weirbook/analysis/series"
)

// TankVolume is the content in gallons of an upright tank of ft2 area at a level
// in ft.
func TankVolume(levelFt, areaFt2 float64) float64 { return levelFt * areaFt2 * 1728.0 / 231.0 }

// Drawn is what left a tank over a window.
type Drawn struct {
	Gallons float64 // NaN when the content at an edge is not known, or deliveries fill half of the window
	Refills int     // deliveries seen
	Cover   float64 // share of the window over which the content is known
}

// TankDrop gives what was drawn from a tank over each window, from its content in
// gallons (a tank_volume tag, or a level through TankVolume). Rises of more than
// refill gallons between a low and the next high are deliveries and add nothing;
// smaller rises are the gauge's own noise and cancel against the falls that
// follow them.
//
// A day is a fair window; over an hour the gauge's resolution shows.
//
// Source: content at start + delivered - content at end = drawn; derived.
func TankDrop(gal *series.Series, r align.Rule, refill float64, ws []align.Window) []Drawn {
	out := make([]Drawn, len(ws))
	fills := deliveries(gal, refill)
	for k, w := range ws {
		st := align.Over(gal, r, []align.Window{w})[0]
		d := Drawn{Gallons: math.NaN(), Cover: st.Cover}
		start, end := edge(gal, r, w.Start), edge(gal, r, w.End)
		var delivered float64
		var filling int64
		for _, f := range fills {
			// A delivery counts with the part of its rise that falls in the window.
			a, b := max(f.start, w.Start), min(f.end, w.End)
			if b > a {
				va, vb := edge(gal, r, a), edge(gal, r, b)
				delivered += vb - va
				filling += b - a
				d.Refills++
			}
		}
		if length := w.End - w.Start; 2*filling < length {
			d.Gallons = (start + delivered - end) * float64(length) / float64(length-filling)
		}
		out[k] = d
	}
	return out
}

// edge is the content at t, or that of the last reading when t lies within one
// usual step after it (the end of the export).
func edge(gal *series.Series, r align.Rule, t int64) float64 {
	if v := align.At(gal, r, t); v == v {
		return v
	}
	if n := gal.Len(); n > 0 && t > gal.T[n-1] && t-gal.T[n-1] <= r.MaxGap.Milliseconds() && gal.Usable(n-1) {
		return gal.V[n-1]
	}
	return math.NaN()
}

type delivery struct{ start, end int64 }

// deliveries finds rises of more than refill from a low to the following high; a
// fall of more than half of refill ends a rise.
func deliveries(gal *series.Series, refill float64) []delivery {
	var out []delivery
	low, high := -1, -1
	closeRise := func() {
		if low >= 0 && high > low && gal.V[high]-gal.V[low] > refill {
			out = append(out, delivery{gal.T[low], gal.T[high]})
		}
	}
	for i := range gal.T {
		if !gal.Usable(i) {
			continue
		}
		v := gal.V[i]
		switch {
		case low < 0:
			low, high = i, i
		case v > gal.V[high]:
			high = i
		case gal.V[high]-gal.V[low] <= refill && v <= gal.V[low]:
			low, high = i, i
		case gal.V[high]-gal.V[low] > refill && gal.V[high]-v > refill/2:
			closeRise()
			low, high = i, i
		}
	}
	closeRise()
	return out
}
