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
	start := walk(s, r)
	w, c, last := start, counter{s: s, mask: start.mask}, int64(math.MinInt64)
	for k, win := range ws {
		if win.Start < last { // not in order, or overlapping the one before
			w = start
		}
		w.seek(win.Start)
		c.open(win.Start)
		last = max(win.Start, win.End)
		out[k] = overOne(&w, &c, win)
	}
	return out
}

// overOne adds up the pieces in win and leaves w at the first piece that
// reaches beyond it.
func overOne(w *walker, c *counter, win Window) Stat {
	sum := total{lo: math.Inf(1), hi: math.Inf(-1)}
	for !w.done && w.cur.t0 < win.End {
		p := &w.cur
		if p.t0 >= win.Start {
			if to := sum.run(w, win.End); to > w.from {
				c.run(w.from, to)
				w.goOn(to)
				continue
			}
		}
		if a, b := max(p.t0, win.Start), min(p.t1, win.End); b > a {
			sum.piece(p, a, b)
		}
		if p.t1 > win.End {
			break
		}
		w.next()
	}
	st := sum.stat(float64(win.End - win.Start))
	st.N, st.Unusable = c.close(win.End)
	return st
}

// total is what the pieces of a window add up to.
type total struct {
	area                     float64 // value x ms
	covered, unsure, bridged int64   // ms
	lo, hi                   float64
}

// trapezoid is the area under a line from v0 to v1 over d milliseconds. It is
// rounded as it stands, also where a processor could multiply and add at once,
// so that it is the same number wherever it is worked out.
func trapezoid(v0, v1 float64, d int64) float64 { return float64((v0 + v1) / 2 * float64(d)) }

// piece adds the part of p from a to b.
func (s *total) piece(p *piece, a, b int64) {
	va, vb := p.at(a), p.at(b)
	d := b - a
	s.area += trapezoid(va, vb, d)
	s.covered += d
	if p.uncertain {
		s.unsure += d
	}
	if p.bridged {
		s.bridged += d
	}
	s.lo, s.hi = min(s.lo, va, vb), max(s.hi, va, vb)
}

func (s *total) stat(length float64) Stat {
	if s.covered == 0 || length <= 0 {
		return Stat{Mean: math.NaN(), Min: math.NaN(), Max: math.NaN()}
	}
	return Stat{
		// Rounding must not carry a mean past the extremes: a constant stays
		// what it is.
		Mean: min(max(s.area/float64(s.covered), s.lo), s.hi), Min: s.lo, Max: s.hi,
		Cover:     float64(s.covered) / length,
		Uncertain: float64(s.unsure) / length,
		Bridged:   float64(s.bridged) / length,
	}
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
