package chart

import (
	"image/color"
	"math"
)

func (bd *Band) draw(s *sheet, tp *timelinePlan, b box, fy func(float64) float64) {
	bd.drawIn(withAlpha(sky, 0.35), withAlpha(blue, 0.55), s, tp, b, fy)
}

// drawIn draws a band in its own ink; an edge of no colour is not drawn.
func (bd *Band) drawIn(inside, edge color.NRGBA, s *sheet, tp *timelinePlan, b box, fy func(float64) float64) {
	// A gap in either edge is a gap in both.
	first, last := around(bd.T, tp.axis.start, tp.axis.end)
	t := bd.T[first:last]
	lo, hi := make([]float64, len(t)), make([]float64, len(t))
	for i := range t {
		l, h := bd.Lo[first+i], bd.Hi[first+i]
		lo[i], hi[i] = l+0*h, h+0*l
	}
	clamp := func(v float64) float64 { return math.Min(math.Max(fy(v), b.y0), b.y1) }
	los, his := runs(t, lo, bd.MaxGap, tp.at, clamp), runs(t, hi, bd.MaxGap, tp.at, clamp)
	for i := range los {
		s.bandIn(inside, edge, thin(his[i], 1), thin(los[i], 1), b)
	}
}

// band draws a range between two lines, cut to a box.
func (s *sheet) band(up, down []xy, b box) {
	s.bandIn(withAlpha(sky, 0.35), withAlpha(blue, 0.55), up, down, b)
}

func (s *sheet) bandIn(inside, edge color.NRGBA, up, down []xy, b box) {
	var shape []xy
	for _, q := range up {
		shape = append(shape, b.hold(q))
	}
	for i := len(down) - 1; i >= 0; i-- {
		shape = append(shape, b.hold(down[i]))
	}
	s.fill(inside, shape)
	if edge.A > 0 {
		s.clipped(pen{edge, 0.6, nil}, up, b)
		s.clipped(pen{edge, 0.6, nil}, down, b)
	}
}

func (sr *Series) draw(s *sheet, tp *timelinePlan, b box, fy func(float64) float64, lk look, order int) {
	p := pen{lk.col, 1.5, nil}
	if sr.Faint {
		p = pen{withAlpha(lk.col, 0.45), 0.9, nil}
	}
	hold := 0.0
	if sr.Width > 0 {
		hold = float64(sr.Width) / float64(tp.axis.end-tp.axis.start) * (tp.x1 - tp.x0)
	}
	if sr.lo != nil {
		spread := Band{T: sr.T, Lo: sr.lo, Hi: sr.hi}
		spread.drawIn(withAlpha(lk.col, 0.3), color.NRGBA{}, s, tp, b, fy)
	}
	next := 25 + 23*float64(order) + b.x0 // where the next marker on the line goes
	i, j := around(sr.T, tp.axis.start, tp.axis.end)
	for _, run := range runs(sr.T[i:j], sr.Y[i:j], sr.MaxGap, tp.at, fy) {
		switch sr.Form {
		case Bars:
			sr.drawBars(s, run, hold, b, fy, lk)
			continue
		case Step:
			run = steps(run, hold)
		}
		s.clipped(p, thin(run, 1), b)
		if order == 0 || sr.Faint {
			continue
		}
		for _, q := range run {
			if q.x >= next && b.holds(q) {
				s.marker(lk.mark, q.x, q.y, 3.4, lk.col, true)
				next = q.x + 62
			}
		}
	}
}

func (sr *Series) drawBars(s *sheet, run []xy, hold float64, b box, fy func(float64) float64, lk look) {
	zero := math.Min(math.Max(fy(0), b.y0), b.y1)
	if math.IsNaN(zero) {
		zero = b.y1
	}
	w := hold
	if w == 0 && len(run) > 1 {
		w = run[1].x - run[0].x
	}
	w = math.Max(w, 1)
	for _, q := range run {
		x0, x1 := math.Max(q.x, b.x0), math.Min(q.x+w*0.85, b.x1)
		if x1 <= x0 {
			continue
		}
		y := math.Min(math.Max(q.y, b.y0), b.y1)
		s.rect(withAlpha(lk.col, 0.85), box{x0, math.Min(y, zero), x1, math.Max(y, zero)})
	}
}
