package analysis

import (
	"math"
	"sync"

	"weirbook/analysis/align"
)

// hourStats keeps the hours of each signal, so that its days are added up from
// them instead of going through the readings once more.
type hourStats struct {
	mu sync.Mutex
	of map[string][]align.Stat // by tag, one for each hour of the period
}

// keep stores a signal's hours; only the first table of a run is of hours.
func (h *hourStats) keep(tag string, st []align.Stat) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if _, ok := h.of[tag]; !ok {
		h.of[tag] = st
	}
}

// days adds a signal's hours up to windows that are made of whole hours; nil
// when the hours are not there, or a window is not made of them: at the ends of
// a period that begins or ends within a day.
func (h *hourStats) days(tag string, hours, windows []align.Window) []align.Stat {
	h.mu.Lock()
	st := h.of[tag]
	h.mu.Unlock()
	if st == nil || len(st) != len(hours) {
		return nil
	}
	out := make([]align.Stat, len(windows))
	k := 0
	for d, w := range windows {
		if k == len(hours) || hours[k].Start != w.Start {
			return nil
		}
		first := k
		for k < len(hours) && hours[k].End <= w.End {
			k++
		}
		if k == first || hours[k-1].End != w.End {
			return nil
		}
		out[d] = sumUp(st[first:k], hours[first:k], w)
	}
	return out
}

// sumUp gives the statistics of a window from those of the hours it is made of.
// Time-weighted means add up exactly: each by the time it covers.
func sumUp(st []align.Stat, hours []align.Window, w align.Window) align.Stat {
	out := align.Stat{Mean: math.NaN(), Min: math.NaN(), Max: math.NaN()}
	var area, covered, uncertain, bridged float64
	for i, s := range st {
		d := float64(hours[i].End - hours[i].Start)
		out.N += s.N
		out.Unusable += s.Unusable
		uncertain += s.Uncertain * d
		bridged += s.Bridged * d
		if s.Cover > 0 {
			area += s.Mean * s.Cover * d
			covered += s.Cover * d
			if !(out.Min <= s.Min) {
				out.Min = s.Min
			}
			if !(out.Max >= s.Max) {
				out.Max = s.Max
			}
		}
	}
	whole := float64(w.End - w.Start)
	out.Cover, out.Uncertain, out.Bridged = covered/whole, uncertain/whole, bridged/whole
	if covered > 0 {
		out.Mean = area / covered
	}
	return out
}
