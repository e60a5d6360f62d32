package align

import (
	"math"

	"weirbook/analysis/series"
)

// Stat describes one tag over one window. Values are in the tag's working unit.
type Stat struct {
	// Mean is weighted by time over the covered part of the window; NaN when
	// nothing is covered. For grabs and composites it is the plain mean of the
	// N samples taken in the window, and Cover stays 0: they stand for
	// themselves and are never spread.
	Mean float64
	// Cover is the share of the window over which the signal is known, 0…1.
	Cover float64
	// Min and Max are the extremes of the signal over the covered part, the
	// values at the window's edges included; NaN when nothing is covered.
	Min, Max float64
	// Uncertain and Bridged are the shares of the window that rest on readings
	// of uncertain quality, and that pass over unusable readings. Both are part
	// of Cover.
	Uncertain, Bridged float64
	N                  int // usable readings in the window
	Unusable           int // readings in the window that were left out
}

// At gives the mean where at least the share minCover of the window is covered,
// else NaN: not determined. For grabs ask for N and Mean.
func (s Stat) At(minCover float64) float64 {
	if s.Cover+1e-9 < minCover {
		return math.NaN()
	}
	return s.Mean
}

// Over gives the exact time-weighted statistics of s over each window: the area
// under the straight lines (continuous) or steps (on-change, state) divided by
// the covered time. Windows may have any length, overlap, and be in any order;
// in time order they are fastest.
//
// Source: time average, OPC 10000-13 5.4.3 (TimeAverage, TimeAverage2).
func Over(s *series.Series, r Rule, ws []Window) []Stat {
	out := make([]Stat, len(ws))
	if !r.spreads() {
		for k, win := range ws {
			out[k] = ofSamples(s, r.mask(), win)
		}
		return out
	}
	w := walk(s, r)
	place, last := w, int64(math.MinInt64)
	for k, win := range ws {
		switch {
		case win.Start < last: // not in order, or overlapping the one before
			if k > 0 && win.Start >= ws[k-1].Start {
				w = place
			} else {
				w = walk(s, r)
			}
		}
		w.seek(win.Start)
		place, last = w, win.End
		out[k] = overOne(&w, win)
		out[k].N, out[k].Unusable = count(s, w.mask, win)
	}
	return out
}

// overOne adds up the pieces in win and leaves w at the first piece that
// reaches beyond it.
func overOne(w *walker, win Window) Stat {
	var area float64 // value x ms
	var covered, unsure, bridged int64
	lo, hi := math.Inf(1), math.Inf(-1)
	for !w.done && w.cur.t0 < win.End {
		p := &w.cur
		a, b := max(p.t0, win.Start), min(p.t1, win.End)
		if b > a {
			va, vb := p.at(a), p.at(b)
			d := b - a
			area += (va + vb) / 2 * float64(d)
			covered += d
			if p.uncertain {
				unsure += d
			}
			if p.bridged {
				bridged += d
			}
			lo, hi = min(lo, va, vb), max(hi, va, vb)
		}
		if p.t1 > win.End {
			break
		}
		w.next()
	}
	length := float64(win.End - win.Start)
	if covered == 0 || length <= 0 {
		return Stat{Mean: math.NaN(), Min: math.NaN(), Max: math.NaN()}
	}
	mean := area / float64(covered)
	return Stat{
		// Rounding must not carry a mean past the extremes: a constant stays
		// what it is.
		Mean: min(max(mean, lo), hi), Min: lo, Max: hi,
		Cover:     float64(covered) / length,
		Uncertain: float64(unsure) / length,
		Bridged:   float64(bridged) / length,
	}
}

// count gives the usable and the left-out readings of a window.
func count(s *series.Series, mask series.Flag, win Window) (usable, left int) {
	lo, hi := s.Between(win.Start, win.End)
	for i := lo; i < hi; i++ {
		if v := s.V[i]; s.F[i]&mask == 0 && v-v == 0 {
			usable++
		}
	}
	return usable, max(hi-lo, 0) - usable
}

// ofSamples describes grabs and composites: the samples themselves.
func ofSamples(s *series.Series, mask series.Flag, win Window) Stat {
	st := Stat{Mean: math.NaN(), Min: math.NaN(), Max: math.NaN()}
	lo, hi := s.Between(win.Start, win.End)
	var sum float64
	for i := lo; i < hi; i++ {
		v := s.V[i]
		if s.F[i]&mask != 0 || v-v != 0 {
			st.Unusable++
			continue
		}
		if st.N == 0 {
			st.Min, st.Max = v, v
		}
		st.Min, st.Max = min(st.Min, v), max(st.Max, v)
		sum += v
		st.N++
	}
	if st.N > 0 {
		st.Mean = min(max(sum/float64(st.N), st.Min), st.Max)
	}
	return st
}
