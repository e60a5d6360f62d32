package contact

import (
	"fmt"
	"math"
	"sort"

	"weirbook/analysis/align"
	"weirbook/analysis/quantity"
)

// VolumeFromLevel is the volume (gal) of a basin with upright walls from its
// water depth (ft) and plan area (ft²): depth x area x 7.4805 gal/ft³ (exact:
// 1728/231). NaN stays NaN.
func VolumeFromLevel(depthFt []float64, areaFt2 float64) []float64 {
	out := make([]float64, len(depthFt))
	for i, d := range depthFt {
		out[i] = d * areaFt2 * quantity.GallonsPerCubicFoot
	}
	return out
}

// CurvePoint is one row of a basin's volume curve.
type CurvePoint struct{ LevelFt, Gal float64 }

// VolumeFromCurve reads a volume curve at each level (ft) with straight lines
// between its points; NaN outside the curve. The curve needs two points or more,
// rising in level and never falling in volume.
func VolumeFromCurve(levelFt []float64, curve []CurvePoint) ([]float64, error) {
	if len(curve) < 2 {
		return nil, fmt.Errorf("a volume curve of %d points; it needs 2 or more", len(curve))
	}
	for i, p := range curve {
		if math.IsNaN(p.LevelFt+p.Gal) || math.IsInf(p.LevelFt+p.Gal, 0) || p.Gal < 0 {
			return nil, fmt.Errorf("point %d of the volume curve is not a level and a volume: %g ft, %g gal", i+1, p.LevelFt, p.Gal)
		}
		if i > 0 && (p.LevelFt <= curve[i-1].LevelFt || p.Gal < curve[i-1].Gal) {
			return nil, fmt.Errorf("point %d of the volume curve does not rise above the one before it: %g ft, %g gal", i+1, p.LevelFt, p.Gal)
		}
	}
	out := make([]float64, len(levelFt))
	last := curve[len(curve)-1]
	for i, l := range levelFt {
		if !(l >= curve[0].LevelFt && l <= last.LevelFt) {
			out[i] = nan
			continue
		}
		k := sort.Search(len(curve)-1, func(k int) bool { return curve[k+1].LevelFt >= l })
		a, b := curve[k], curve[k+1]
		out[i] = a.Gal + (b.Gal-a.Gal)*(l-a.LevelFt)/(b.LevelFt-a.LevelFt)
	}
	return out, nil
}

// InService turns a run-status column (at least 0.5 in service; nil: always) and
// the dates out of service into the column Minutes.InService. A minute that a
// date only touches counts as out of service.
func InService(g align.Grid, state []float64, closed []align.Window) []float64 {
	out := make([]float64, g.N)
	for i := range out {
		out[i] = 1
		if state != nil {
			out[i] = state[i]
		}
	}
	for _, w := range closed {
		if w.End <= w.Start {
			continue
		}
		for i := max(0, g.Index(w.Start)); i < min(g.N, g.Index(w.End-1)+1); i++ {
			out[i] = 0
		}
	}
	return out
}

// SplitFlow shares a common flow (MGD) out over parallel basins. shares are each
// basin's part with all in service; with some out of service the others carry
// their part in proportion. service is one column per basin, nil for always. The
// flows are 0 for a basin out of service, NaN for the others where the common
// flow or any basin's state is unknown, and add up to common x the sum of the shares while one
// basin is in service.
func SplitFlow(common, shares []float64, service [][]float64) ([][]float64, error) {
	if len(service) != len(shares) {
		return nil, fmt.Errorf("%d shares of the flow for %d basins", len(shares), len(service))
	}
	all := 0.0
	for b, s := range shares {
		if !(s > 0) || math.IsInf(s, 0) {
			return nil, fmt.Errorf("share %d of the flow is %g; it must be above 0", b+1, s)
		}
		if service[b] != nil && len(service[b]) != len(common) {
			return nil, fmt.Errorf("%d minutes of service state beside %d minutes of flow", len(service[b]), len(common))
		}
		all += s
	}
	out := make([][]float64, len(shares))
	for b := range out {
		out[b] = make([]float64, len(common))
	}
	for i, q := range common {
		running := 0.0
		for b, s := range shares {
			switch {
			case service[b] == nil || service[b][i] >= 0.5:
				running += s
			case math.IsNaN(service[b][i]):
				running = nan
			}
		}
		for b, s := range shares {
			switch {
			case service[b] != nil && service[b][i] < 0.5:
				out[b][i] = 0
			case running == all: // no rounding in the usual case
				out[b][i] = q * s
			default: // NaN where a state is unknown
				out[b][i] = q * s * all / running
			}
		}
	}
	return out, nil
}
