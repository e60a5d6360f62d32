package align

import "weirbook/analysis/series"

// Most readings of most tags follow each other in time, are usable, and need no
// thought. A run is a stretch of such readings: none left out, no gap between
// them, and all of certain or all of uncertain quality. It adds what the pieces
// between its readings would add one by one, in the same order and to the same
// last bit, without making them.

// run adds the pieces from the one at which w stands on, as long as they lie
// between the readings of a run and end by end. It gives the reading it came to,
// which is w.from when there was nothing to add.
func (s *total) run(w *walker, end int64) int {
	t, v, f := w.s.T[w.from:], w.s.V[w.from:], w.s.F[w.from:]
	v, f = v[:len(t)], f[:len(t)]
	hold, maxGap, look := w.hold, w.maxGap, w.mask|series.Uncertain
	kind := f[0] & look
	area, lo, hi := s.area, s.lo, s.hi
	t0, v0 := t[0], v[0]
	n := 1
	// Four at a time while all is well: one look at the flags, one at the times
	// (four steps together within the gap are so each), and a sum that is a
	// number only if all four values are. Otherwise see below.
	for kind == 0 && n+4 <= len(t) {
		t, v, f := t[n:n+4:n+4], v[n:n+4:n+4], f[n:n+4:n+4]
		v1, v2, v3, v4 := v[0], v[1], v[2], v[3]
		if all := v1 + v2 + v3 + v4; t[3] > end || t[3]-t0 > maxGap || (f[0]|f[1]|f[2]|f[3])&look != 0 || all-all != 0 {
			break
		}
		e1, e2, e3, e4 := v1, v2, v3, v4
		if hold {
			e1, e2, e3, e4 = v0, v1, v2, v3
		}
		area += trapezoid(v0, e1, t[0]-t0)
		area += trapezoid(v1, e2, t[1]-t[0])
		area += trapezoid(v2, e3, t[2]-t[1])
		area += trapezoid(v3, e4, t[3]-t[2])
		lo = min(lo, min(min(v0, v1), min(v2, v3)))
		hi = max(hi, max(max(v0, v1), max(v2, v3)))
		t0, v0 = t[3], v4
		n += 4
	}
	for ; n < len(t); n++ {
		t1, v1 := t[n], v[n]
		if t1 > end || t1-t0 > maxGap || f[n]&look != kind || v1-v1 != 0 {
			break
		}
		e1 := v1
		if hold {
			e1 = v0
		}
		area += trapezoid(v0, e1, t1-t0)
		lo, hi = min(lo, v0), max(hi, v0)
		t0, v0 = t1, v1
	}
	if n--; n > 0 {
		// The values that pieces begin with are in; a line has its end besides.
		// Between two zeros of unlike sign the first one counts, as in piece.at.
		if !hold && v[n] != v[n-1] {
			lo, hi = min(lo, v[n]), max(hi, v[n])
		}
		s.area, s.lo, s.hi = area, lo, hi
		s.covered += t0 - t[0]
		if kind&series.Uncertain != 0 {
			s.unsure += t0 - t[0]
		}
	}
	return w.from + n
}
