package contact

import (
	"fmt"
	"math"
)

// sampleAt reads a column of minute means at a position on the grid: straight
// lines between the middles of the minutes. NaN where a needed minute is.
func sampleAt(col []float64, position float64) float64 {
	if !(position >= 0) || position > float64(len(col)) || len(col) == 0 {
		return nan
	}
	x := math.Min(math.Max(position-0.5, 0), float64(len(col)-1))
	i := int(x)
	if w := x - float64(i); w > 0 {
		return col[i] + w*(col[i+1]-col[i])
	}
	return col[i]
}

// Chain joins two segments in series into one track: the parcel that leaves
// down now left up when it entered down, and its CTs add (40 CFR 141.2 and 141.74,
// verified). Entry is the entry into up.
func Chain(up, down Track) (Track, error) {
	n := len(down.ContactMin)
	if len(up.ContactMin) != n {
		return Track{}, fmt.Errorf("segments in series of %d and %d minutes", len(up.ContactMin), n)
	}
	t := Track{
		ContactMin: make([]float64, n), Entry: make([]float64, n), CTMgMinL: make([]float64, n),
		Why: append([]Reason(nil), down.Why...), CTWhy: append([]Reason(nil), down.CTWhy...),
	}
	for i := range n {
		at := down.Entry[i]
		t.ContactMin[i] = down.ContactMin[i] + sampleAt(up.ContactMin, at)
		t.Entry[i] = sampleAt(up.Entry, at)
		t.CTMgMinL[i] = down.CTMgMinL[i] + sampleAt(up.CTMgMinL, at)
		if math.IsNaN(at) {
			continue // down's own reasons stand
		}
		if math.IsNaN(t.ContactMin[i]) {
			t.Why[i] = reasonAt(up.Why, at)
		}
		if math.IsNaN(t.CTMgMinL[i]) && !math.IsNaN(down.CTMgMinL[i]) {
			t.CTWhy[i] = reasonAt(up.CTWhy, at)
		}
	}
	return t, nil
}

// reasonAt is the first reason of the minutes that sampleAt reads.
func reasonAt(why []Reason, position float64) Reason {
	x := math.Min(math.Max(position-0.5, 0), float64(len(why)-1))
	for _, i := range []int{int(x), int(math.Ceil(x))} {
		if why[i] != Known && why[i] != Idle {
			return why[i]
		}
	}
	return BeforeData
}

// LowestTrack is, minute by minute, the basin with the lowest contact time and
// the one with the lowest CT among parallel basins through which water leaves.
// While one of those is unknown the lowest is unknown. Entry is that of the
// lowest contact time.
func LowestTrack(basins ...Track) (Track, error) {
	if len(basins) == 0 {
		return Track{}, fmt.Errorf("no basins to compare")
	}
	n := len(basins[0].ContactMin)
	t := Track{
		ContactMin: make([]float64, n), Entry: make([]float64, n), CTMgMinL: make([]float64, n),
		Why: make([]Reason, n), CTWhy: make([]Reason, n),
	}
	for _, b := range basins {
		if len(b.ContactMin) != n {
			return Track{}, fmt.Errorf("parallel basins of %d and %d minutes", n, len(b.ContactMin))
		}
	}
	for i := range n {
		at := lowestOf(len(basins), func(b int) (float64, Reason) { return basins[b].ContactMin[i], basins[b].Why[i] })
		t.ContactMin[i], t.Entry[i], t.Why[i] = basins[at].ContactMin[i], basins[at].Entry[i], basins[at].Why[i]
		at = lowestOf(len(basins), func(b int) (float64, Reason) { return basins[b].CTMgMinL[i], basins[b].CTWhy[i] })
		t.CTMgMinL[i], t.CTWhy[i] = basins[at].CTMgMinL[i], basins[at].CTWhy[i]
	}
	return t, nil
}

// lowestOf picks the basin that decides: the first whose value is not known, or
// the lowest of those that run; a quiet one only where all are quiet.
func lowestOf(n int, get func(b int) (float64, Reason)) int {
	best, bestValue := -1, nan
	for b := range n {
		v, why := get(b)
		switch {
		case why == Idle || why == OutOfService:
		case math.IsNaN(v):
			return b
		case best < 0 || v < bestValue:
			best, bestValue = b, v
		}
	}
	return max(best, 0)
}

// AddSteady joins the steady hours of segments in series, in the order of the
// flow: contact times and CTs add. Peak flow and volume are those of the last
// segment, the lowest residual too.
func AddSteady(segments ...[]SteadyHour) ([]SteadyHour, error) {
	if len(segments) == 0 {
		return nil, fmt.Errorf("no segments to add")
	}
	out := append([]SteadyHour(nil), segments[len(segments)-1]...)
	for _, s := range segments[:len(segments)-1] {
		if len(s) != len(out) {
			return nil, fmt.Errorf("segments in series of %d and %d hours", len(s), len(out))
		}
		for h := range out {
			o := &out[h]
			o.ContactMin += s[h].ContactMin
			o.CTMgMinL += s[h].CTMgMinL
			o.FlowCoverage = math.Min(o.FlowCoverage, s[h].FlowCoverage)
			o.ResidualCoverage = math.Min(o.ResidualCoverage, s[h].ResidualCoverage)
			o.CTCoverage = math.Min(o.CTCoverage, s[h].CTCoverage)
			if o.Why == Known {
				o.Why = s[h].Why
			}
			if o.CTWhy == Known {
				o.CTWhy = s[h].CTWhy
			}
		}
	}
	return out, nil
}

// LowestSteady gives, for each hour, the parallel basin with the lowest CT among
// those through which water left; one that is not known decides.
func LowestSteady(basins ...[]SteadyHour) ([]SteadyHour, error) {
	if len(basins) == 0 {
		return nil, fmt.Errorf("no basins to compare")
	}
	out := make([]SteadyHour, len(basins[0]))
	for _, b := range basins {
		if len(b) != len(out) {
			return nil, fmt.Errorf("parallel basins of %d and %d hours", len(out), len(b))
		}
	}
	for h := range out {
		at := lowestOf(len(basins), func(b int) (float64, Reason) { return basins[b][h].CTMgMinL, basins[b][h].CTWhy })
		out[h] = basins[at][h]
	}
	return out, nil
}
