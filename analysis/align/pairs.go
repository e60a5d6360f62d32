package align

// pairs adds the spans between readings that two tags have at the same times,
// from the pieces at which wa and wb stand on, as long as both are runs and the
// spans end by end. It gives how many it added.
func (s *shared) pairs(wa, wb *walker, end int64) int {
	t, va, fa := wa.s.T[wa.from:], wa.s.V[wa.from:], wa.s.F[wa.from:]
	u, vb, fb := wb.s.T[wb.from:], wb.s.V[wb.from:], wb.s.F[wb.from:]
	t = t[:min(len(t), len(u))]
	u, va, fa, vb, fb = u[:len(t)], va[:len(t)], fa[:len(t)], vb[:len(t)], fb[:len(t)]
	maxGap := min(wa.maxGap, wb.maxGap)
	sum := *s
	t0, a0, b0 := t[0], va[0], vb[0]
	n := 1
	for ; n < len(t); n++ {
		t1, a, b := t[n], va[n], vb[n]
		d := t1 - t0
		if t1 != u[n] || t1 > end || d > maxGap || fa[n]&wa.mask|fb[n]&wb.mask != 0 || a-a != 0 || b-b != 0 {
			break
		}
		a1, b1 := a, b
		if wa.hold {
			a1 = a0
		}
		if wb.hold {
			b1 = b0
		}
		sum.add(a0, a1, b0, b1, d)
		t0, a0, b0 = t1, a, b
	}
	*s = sum
	return n - 1
}

// firstBeside adds a run of the first tag while the second rests at b, as far as
// end. It gives how many pieces of the run it added.
func (s *shared) firstBeside(w *walker, b float64, end int64) int {
	t, v, f := w.s.T[w.from:], w.s.V[w.from:], w.s.F[w.from:]
	v, f = v[:len(t)], f[:len(t)]
	sum := *s
	t0, v0 := t[0], v[0]
	n := 1
	for ; n < len(t); n++ {
		t1, v1 := t[n], v[n]
		if t1 > end || t1-t0 > w.maxGap || f[n]&w.mask != 0 || v1-v1 != 0 {
			break
		}
		e1 := v1
		if w.hold {
			e1 = v0
		}
		sum.add(v0, e1, b, b, t1-t0)
		t0, v0 = t1, v1
	}
	*s = sum
	return n - 1
}

// secondBeside is the same with the tags changed about, which the product of two
// numbers does not notice.
func (s *shared) secondBeside(a float64, w *walker, end int64) int {
	turned := shared{area: s.area, a: s.b, b: s.a, covered: s.covered}
	n := turned.firstBeside(w, a, end)
	*s = shared{area: turned.area, a: turned.b, b: turned.a, covered: turned.covered}
	return n
}
