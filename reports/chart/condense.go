package chart

import (
	"math"
	"slices"
	"sort"
	"time"

	"weirbook/analysis/align"
)

// From what length on a timeline draws the least, mean and most of each day, and
// of each month: minutes of a year would be one solid block.
const (
	daysFrom   = 92 * dayMs
	monthsFrom = 4 * 366 * dayMs
)

// cuts are the ends of the days or months that a long timeline is drawn by; nil
// for one that is drawn as it is.
func (c *Timeline) cuts() []int64 {
	span := c.End - c.Start
	if span <= daysFrom {
		return nil
	}
	var out []int64
	d := time.UnixMilli(c.Start).In(c.Zone)
	for k := 1; ; k++ {
		at := align.StartOfDay(d.Year(), d.Month(), d.Day()+k, c.Zone)
		if span > monthsFrom {
			at = align.StartOfDay(d.Year(), d.Month()+time.Month(k), 1, c.Zone)
		}
		out = append(out, min(at, c.End))
		if at >= c.End {
			break
		}
	}
	for i := range c.Panels {
		for k := range c.Panels[i].Series {
			if sr := &c.Panels[i].Series[k]; sr.Form == Line && len(sr.T) >= 2*len(out) {
				return out
			}
		}
		for k := range c.Panels[i].Bands {
			if len(c.Panels[i].Bands[k].T) >= 2*len(out) {
				return out
			}
		}
	}
	return nil // nothing is so close that it would have to be drawn by its means
}

// condensed is a series by the stretches that end at cuts: its mean in the middle
// of each, and its least and most.
func (sr *Series) condensed(start int64, cuts []int64) Series {
	if len(cuts) == 0 || sr.Form != Line || len(sr.T) < 2*len(cuts) {
		return *sr
	}
	out := *sr
	out.T, out.Y, out.lo, out.hi = nil, nil, nil, nil
	out.MaxGap = 0
	i, _ := window(sr.T, start, math.MaxInt64)
	for _, end := range cuts {
		sum, n, lo, hi := 0.0, 0, math.Inf(1), math.Inf(-1)
		for ; i < len(sr.T) && sr.T[i] < end; i++ {
			if v := sr.Y[i]; !math.IsNaN(v) && !math.IsInf(v, 0) {
				sum, n, lo, hi = sum+v, n+1, math.Min(lo, v), math.Max(hi, v)
			}
		}
		if n == 0 {
			lo, hi = math.NaN(), math.NaN()
		}
		out.T, out.Y = append(out.T, (start+end)/2), append(out.Y, sum/float64(n))
		out.lo, out.hi = append(out.lo, lo), append(out.hi, hi)
		start = end
	}
	return out
}

// condensed is a band by the same stretches: its lower and upper edge's means.
func (bd *Band) condensed(start int64, cuts []int64) Band {
	if len(cuts) == 0 || len(bd.T) < 2*len(cuts) {
		return *bd
	}
	edge := func(v []float64) Series {
		s := Series{T: bd.T, Y: v}
		return s.condensed(start, cuts)
	}
	lo, hi := edge(bd.Lo), edge(bd.Hi)
	return Band{Name: bd.Name, T: lo.T, Lo: lo.Y, Hi: hi.Y}
}

// condensed is a panel by the same stretches.
func (p *Panel) condensed(start int64, cuts []int64) *Panel {
	if len(cuts) == 0 {
		return p
	}
	out := *p
	out.Series, out.Bands = slices.Clone(p.Series), slices.Clone(p.Bands)
	for i := range out.Series {
		out.Series[i] = p.Series[i].condensed(start, cuts)
	}
	for i := range out.Bands {
		out.Bands[i] = p.Bands[i].condensed(start, cuts)
	}
	return &out
}

// When outliers would squeeze the rest: what lies outside of the share of readings
// named may be cut off where the whole range is so many times theirs. Common
// practice, no source.
const (
	squeezeShare = 0.0005 // at each end
	squeezeTimes = 3.0
	squeezeLeast = 300 // readings, below which all are shown
)

// unsqueezed is the range of values without the few that would squeeze the rest;
// ok is false where nothing is to be cut, as with fewer than the least number of them.
func unsqueezed(values [][]float64, share, times float64, least int) (e extent, ok bool) {
	n := 0
	for _, v := range values {
		n += len(v)
	}
	every := n/20_000 + 1
	all := noExtent()
	var some []float64
	k := 0
	for _, vs := range values {
		for _, v := range vs {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				continue
			}
			all.add(v)
			if k++; k%every == 0 {
				some = append(some, v)
			}
		}
	}
	if len(some) < least {
		return all, false
	}
	sort.Float64s(some)
	cut := int(share * float64(len(some)))
	e = extent{some[cut], some[len(some)-1-cut]}
	if !(e.hi > e.lo) || all.hi-all.lo <= times*(e.hi-e.lo) {
		return all, false
	}
	room := 0.15 * (e.hi - e.lo)
	return extent{math.Max(e.lo-room, all.lo), math.Min(e.hi+room, all.hi)}, true
}
