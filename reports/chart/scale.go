package chart

import (
	"math"
	"strconv"
)

// extent is a range of values; empty when lo > hi.
type extent struct{ lo, hi float64 }

func noExtent() extent { return extent{math.Inf(1), math.Inf(-1)} }

func (e *extent) add(vs ...float64) {
	for _, v := range vs {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			e.lo, e.hi = math.Min(e.lo, v), math.Max(e.hi, v)
		}
	}
}

// tick is a labelled value of an axis.
type tick struct {
	v     float64
	label string
}

// axis1 is a value axis: its range and its ticks.
type axis1 struct {
	lo, hi float64
	log    bool
	ticks  []tick
	minor  []float64
}

// at is where a value lies, 0 at the low end, 1 at the high end. What has no
// place on a logarithmic axis, zero and below, lies well under its foot.
func (a axis1) at(v float64) float64 {
	if a.log {
		if v <= 0 {
			return -1
		}
		return (math.Log10(v) - math.Log10(a.lo)) / (math.Log10(a.hi) - math.Log10(a.lo))
	}
	return (v - a.lo) / (a.hi - a.lo)
}

// linear is an axis of even steps 1, 2, 2.5 or 5 times a power of ten that
// covers e with about want ticks. With fixed, the ends stay where e has them.
func linear(e extent, want int, fixed bool) axis1 {
	if e.lo > e.hi {
		e = extent{0, 1}
	}
	if e.lo == e.hi {
		d := math.Max(math.Abs(e.lo)*0.1, 0.5)
		if e.lo == 0 {
			e = extent{0, 1}
		} else {
			e = extent{e.lo - d, e.hi + d}
		}
	}
	step, dec := niceStep((e.hi - e.lo) / float64(max(want, 2)))
	a := axis1{lo: e.lo, hi: e.hi}
	if !fixed {
		a.lo, a.hi = math.Floor(e.lo/step+1e-9)*step, math.Ceil(e.hi/step-1e-9)*step
	}
	if !fixed {
		// What lies on an end, such as a limit, must not vanish in the frame; a
		// foot of zero is a foot.
		room := 0.04 * (a.hi - a.lo)
		if e.hi > a.hi-room/2 && a.hi != 0 {
			a.hi = e.hi + room
		}
		if e.lo < a.lo+room/2 && a.lo != 0 {
			a.lo = e.lo - room
		}
	}
	for k := math.Ceil(a.lo/step - 1e-9); k*step <= a.hi+step*1e-9; k++ {
		a.ticks = append(a.ticks, tick{k * step, number(k*step, dec)})
	}
	return a
}

// niceStep is the next step at or above raw, and the decimals it needs.
func niceStep(raw float64) (step float64, decimals int) {
	p := math.Floor(math.Log10(raw))
	for _, m := range []float64{1, 2, 2.5, 5, 10} {
		step = m * math.Pow(10, p)
		if step >= raw*(1-1e-9) {
			decimals = int(math.Max(0, -p))
			switch m {
			case 2.5:
				decimals = int(math.Max(0, 1-p))
			case 10:
				decimals = int(math.Max(0, -p-1))
			}
			return step, decimals
		}
	}
	return step, 0
}

// logarithmic is an axis in powers of ten; with few decades it also names the
// 2 and the 5 of each.
func logarithmic(e extent) axis1 {
	if e.lo > e.hi || e.hi <= 0 {
		e = extent{1, 10}
	}
	if e.lo <= 0 {
		e.lo = e.hi / 1000
	}
	if e.lo == e.hi {
		e = extent{e.lo / 2, e.hi * 2}
	}
	pad := math.Pow(e.hi/e.lo, 0.03)
	a := axis1{lo: e.lo / pad, hi: e.hi * pad, log: true}
	decades := math.Log10(a.hi / a.lo)
	named := []float64{1}
	switch {
	case decades <= 0.5: // powers of ten are too coarse: even steps
		step, dec := niceStep((a.hi - a.lo) / 6)
		for k := math.Ceil(a.lo / step); k*step <= a.hi; k++ {
			a.ticks = append(a.ticks, tick{k * step, number(k*step, dec)})
		}
		return a
	case decades <= 1:
		named = []float64{1, 1.5, 2, 3, 4, 5, 7}
	case decades <= 3.2:
		named = []float64{1, 2, 5}
	}
	for p := math.Floor(math.Log10(a.lo)); p <= math.Ceil(math.Log10(a.hi)); p++ {
		base := math.Pow(10, p)
		for m := 1; m < 10; m++ {
			if v := float64(m) * base; v >= a.lo && v <= a.hi {
				a.minor = append(a.minor, v)
			}
		}
		for _, m := range named {
			if v := m * base; v >= a.lo && v <= a.hi {
				a.ticks = append(a.ticks, tick{v, plain(v)})
			}
		}
	}
	return a
}

// plain writes a tick of a logarithmic axis.
func plain(v float64) string {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	return short(v)
}
