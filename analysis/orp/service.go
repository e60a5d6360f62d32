package orp

import (
	"math"

	"weirbook/analysis/robust"
)

// serviceDips finds where an instrument was out for cleaning or calibration: it
// leaves its level within minutes and comes back within minutes, all in less than
// ServiceMax. Such a dip is no fault; the reading in it is not the water's.
//
// level is the tag's own level (six-hour running median of bins); abs and rel
// say how far a reading must leave it.
func serviceDips(c *Column, mask []bool, abs, rel float64, s *Settings) []trouble {
	n := len(c.V)
	level := robust.CentredMedian(binned(c, mask), 73, 12)
	var dev []float64
	for i := 0; i < n; i += 3 {
		if c.usable(i) && i/binMin < len(level) && !mask[i] {
			dev = append(dev, math.Abs(c.V[i]-level[i/binMin]))
		}
	}
	usual := robust.MADScale * robust.Median(dev)
	if math.IsNaN(usual) {
		return nil
	}
	out := []trouble{}
	limit := func(i int) float64 {
		l := level[min(i/binMin, len(level)-1)]
		return math.Max(math.Max(abs, rel*math.Abs(l)), 7*usual)
	}
	away := func(i int) bool {
		b := i / binMin
		if b >= len(level) || !c.usable(i) || mask[i] {
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
			in, back := true, true
			for _, k := range []int{i - 4, i - 6, i - 8} {
				if k >= 0 && c.usable(k) && math.Abs(c.V[k]-level[min(k/binMin, len(level)-1)]) > 0.7*limit(k) {
					in = false
				}
			}
			for _, k := range []int{last + 6, last + 8, last + 10} {
				if k < n && c.usable(k) && math.Abs(c.V[k]-level[min(k/binMin, len(level)-1)]) > 0.7*limit(k) {
					back = false
				}
			}
			if in && back {
				out = append(out, trouble{span{i, last + 1}, "service", last + 1, 0, usual})
			}
		}
		i = last
	}
	return out
}

// services masks the dips of probes and analysers. A dip that two sorts of
// instrument show at once is the water's, and stays.
func (w *work) services() {
	cs := w.in.columns()
	type dip struct {
		col int
		t   trouble
	}
	var dips []dip
	for i, c := range cs {
		if !c.Present() {
			continue
		}
		abs, rel := 0.0, 0.0
		switch {
		case i == cFree || i == cTotal:
			abs, rel = 0.3, 0.3
		case i == cFinal:
			continue
		case i >= cProbe:
			abs = w.s.ServiceDipMV
		case i == cPH:
			abs = 0.5
		default:
			continue
		}
		for _, t := range serviceDips(c, w.mask[i], abs, rel, w.s) {
			dips = append(dips, dip{i, t})
		}
	}
	for _, d := range dips {
		shared := false
		for _, o := range dips {
			if (d.col >= cProbe) != (o.col >= cProbe) && d.t.len() > 15 && abs(o.t.from-d.t.from) <= 3 && abs(o.t.to-d.t.to) <= 3 {
				shared = true
			}
		}
		if shared {
			continue
		}
		w.trouble[d.col] = append(w.trouble[d.col], d.t)
		from, to := w.maskOf(d.t)
		for i := max(0, from); i < min(len(w.mask[d.col]), to); i++ {
			w.mask[d.col][i] = true
		}
	}
}
