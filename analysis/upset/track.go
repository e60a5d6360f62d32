package upset

import (
	"math"

	"weirbook/analysis/align"
	"weirbook/analysis/robust"
)

// Track is what was seen of one column around an episode, moved or not.
type Track struct {
	Column    int
	Normal    []float64 // one a bin of the window; NaN: not known
	Bins      []float64 // medians, Unit
	Changes   []int     // change points, bins
	Level     float64   // of the deviation in the stretch before, Unit
	Scale     float64   // robust standard deviation of its changes, Unit; NaN: not known
	Need      float64   // the least move that counts, Unit
	Cover     float64   // share of the bins looked at that are known
	Moves     []Move    // in time order
	Passing   int       // moves that were over before the episode began
	Low, High float64   // of the bins looked at
	Extreme   float64   // the largest lasting departure from the level before: of a segment's mean, signed, Unit
}

// track finds the change points of a column and from them its moves.
func track(in *Input, r *reference, k int, base, look align.Window, s *Settings) Track {
	c := &in.Columns[k]
	t := Track{Column: k, Normal: r.normal(c.V), Bins: r.binned(c.V), Scale: r.scatter(c.V, s.ChangeHours, s.ScatterDays),
		Level: math.NaN(), Low: math.NaN(), High: math.NaN(), Extreme: math.NaN()}
	grid := func(ms int64) int { return (in.Grid.Index(ms) - r.lo) / r.bin }
	b0, b1 := max(grid(base.Start), 0), min(grid(base.End), r.bins)
	l0, l1 := max(grid(look.Start), 0), min(grid(look.End), r.bins)

	// Deviation from normal; where no normal is known, from nothing.
	dev := make([]float64, r.bins)
	known := false
	for i := range dev {
		dev[i] = t.Bins[i] - t.Normal[i]
		known = known || !isNaN(dev[i])
	}
	if !known {
		copy(dev, t.Bins)
		for i := range t.Normal {
			t.Normal[i] = math.NaN()
		}
	}
	var before []float64
	for i := b0; i < b1; i++ {
		if !isNaN(dev[i]) {
			before = append(before, dev[i])
		}
	}
	seen := 0
	for i := l0; i < l1; i++ {
		if x := t.Bins[i]; !isNaN(x) {
			seen++
			if isNaN(t.Low) || x < t.Low {
				t.Low = x
			}
			if isNaN(t.High) || x > t.High {
				t.High = x
			}
		}
	}
	if l1 > l0 {
		t.Cover = float64(seen) / float64(l1-l0)
	}
	if len(before) == 0 {
		// Nothing known before: the first hours looked at serve.
		for i := l0; i < l1 && len(before) < 24; i++ {
			if !isNaN(dev[i]) {
				before = append(before, dev[i])
			}
		}
	}
	if len(before) < 6 {
		return t
	}
	t.Level = robust.Median(before)
	if isNaN(t.Scale) {
		for i := range before {
			before[i] = math.Abs(before[i] - t.Level)
		}
		t.Scale = 1.4826 * robust.Median(before)
	}
	usual := t.Level // size of the level moved from, for floors as a share
	if n := finite(t.Normal[b0:b1]); len(n) > 0 && known {
		usual += robust.Median(n)
	}
	t.Need = math.Max(floorOf(c, s, usual), s.MoveSigmas*t.Scale)

	// Change points of the known bins, end to end.
	var y []float64
	var where []int
	for i := b0; i < l1; i++ {
		if !isNaN(dev[i]) {
			y = append(y, dev[i]-t.Level)
			where = append(where, i)
		}
	}
	minLen := max(1, s.MinMoveMin/s.BinMin)
	segs := segments(y, Penalty(y, s.Penalty), minLen)
	for k, g := range segs {
		if k > 0 {
			t.Changes = append(t.Changes, where[g.lo])
		}
		if where[g.hi-1] >= l0 && (isNaN(t.Extreme) || math.Abs(g.mean) > math.Abs(t.Extreme)) {
			t.Extreme = g.mean
		}
	}
	t.Moves = moves(in, c, &t, r, y, where, segs, s)
	addStopped(in, c, &t, r, usual, l0, l1, s)
	return t
}

// Penalty is what one more change point has to earn: p · v · ln n, with v the
// long-run variance of the scatter between neighbouring values, reckoned as for
// a first-order autoregression. With independent values and p = 2 it is the
// Schwarz criterion; correlated values need the long-run variance in its place
// (Lavielle and Moulines, Journal of Time Series Analysis 21, 2000, 33-59).
func Penalty(y []float64, p float64) float64 {
	n := len(y)
	if n < 8 {
		return math.Inf(1)
	}
	// Differences are nearly blind to the changes looked for.
	abs := func(lag int) float64 {
		d := make([]float64, 0, n)
		for i := lag; i < n; i++ {
			d = append(d, math.Abs(y[i]-y[i-lag]))
		}
		m := 1.4826 * robust.Median(d)
		return m * m / 2 // σ²(1-ρ^lag)
	}
	d1, d4 := abs(1), abs(min(4, n/2))
	// d4/d1 = (1-ρ⁴)/(1-ρ) = 1+ρ+ρ²+ρ³.
	rho := 0.0
	if d1 > 0 {
		lo, hi := 0.0, 0.95
		for range 30 {
			rho = (lo + hi) / 2
			if 1+rho+rho*rho+rho*rho*rho < d4/d1 {
				lo = rho
			} else {
				hi = rho
			}
		}
	}
	v := d1 / (1 - rho)
	v = math.Max(v*(1+rho)/(1-rho), 1e-12)
	return p * v * math.Log(float64(n))
}
