package health

import (
	"math"

	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"
)

// serviceDips finds where an instrument was out for cleaning or calibration: it
// leaves its level within minutes and comes back within minutes, all in less than
// ServiceMax. Such a dip is no fault; the reading in it is not the water's.
//
// level is the tag's own level (six-hour running median of bins); abs and rel
// say how far a reading must leave it.
func serviceDips(c *signal.Column, mask []bool, abs, rel float64, s *Settings) []Trouble {
	n := len(c.V)
	level := robust.CentredMedian(signal.Binned(c, mask), 73, 12)
	var dev []float64
	const apart = 20 // minutes: a day's swing must not hide a dip
	for i := apart; i < n; i += 3 {
		if c.Usable(i) && c.Usable(i-apart) && !mask[i] && !mask[i-apart] {
			dev = append(dev, math.Abs(c.V[i]-c.V[i-apart]))
		}
	}
	usual := robust.MADScale * robust.Median(dev)
	if math.IsNaN(usual) {
		return nil
	}
	out := []Trouble{}
	limit := func(i int) float64 {
		l := level[min(i/signal.BinMin, len(level)-1)]
		return math.Max(math.Max(abs, rel*math.Abs(l)), 7*usual)
	}
	away := func(i int) bool {
		b := i / signal.BinMin
		if b >= len(level) || !c.Usable(i) || mask[i] {
			return false
		}
		return math.Abs(c.V[i]-level[b]) > limit(i)
	}
	for i := 1; i < n; i++ {
		if !away(i) {
			continue
		}
		last := i
		for j := i + 1; j < n && j-last <= 8; j++ {
			if away(j) {
				last = j
			}
		}
		long := last + 1 - i
		if long <= s.ServiceMax && i > 10 && last+10 < n {
			// quick in and quick out: three minutes before and eight after it is
			// most of the way back
			// back to where it was before, not to a new level: the first minutes of a
			// collapse are no service
			before := level[max(0, (i-20)/signal.BinMin)]
			in, back := true, true
			for _, k := range []int{i - 4, i - 6, i - 8} {
				if k >= 0 && c.Usable(k) && math.Abs(c.V[k]-level[min(k/signal.BinMin, len(level)-1)]) > 0.7*limit(k) {
					in = false
				}
			}
			for _, k := range []int{last + 6, last + 8, last + 10} {
				if k < n && c.Usable(k) && math.Abs(c.V[k]-before) > 0.7*limit(k) {
					back = false
				}
			}
			if in && back {
				out = append(out, Trouble{Span: signal.Between(i, last+1), Kind: Service, Alarm: last + 1, Size: 0, Usual: usual})
			}
		}
		i = last
	}
	return out
}
