package chart

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
)

// sheet is the paper, white as vgimg makes it: px from the top left corner, y downwards.
type sheet struct {
	c    vg.Canvas
	w, h float64
}

func newSheet(c vg.Canvas, w, h float64) *sheet {
	return &sheet{c: c, w: w, h: h}
}

// xy is a point on the sheet.
type xy struct{ x, y float64 }

// box is an upright rectangle on the sheet; y0 is the upper edge.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) w() float64 { return b.x1 - b.x0 }
func (b box) h() float64 { return b.y1 - b.y0 }

func (b box) inset(d float64) box { return box{b.x0 + d, b.y0 + d, b.x1 - d, b.y1 - d} }

// hold moves a point to the nearest place in the box.
func (b box) hold(p xy) xy {
	return xy{math.Min(math.Max(p.x, b.x0), b.x1), math.Min(math.Max(p.y, b.y0), b.y1)}
}

// holds says whether a point lies in the box; one that is no number does not.
func (b box) holds(p xy) bool {
	return p.x >= b.x0 && p.x <= b.x1 && p.y >= b.y0 && p.y <= b.y1
}

func (s *sheet) pt(p xy) vg.Point {
	return vg.Point{X: vg.Length(p.x), Y: vg.Length(s.h - p.y)}
}

func (s *sheet) path(pts []xy) vg.Path {
	p := make(vg.Path, 0, len(pts)+1)
	for i, q := range pts {
		if i == 0 {
			p.Move(s.pt(q))
			continue
		}
		p.Line(s.pt(q))
	}
	return p
}

func (s *sheet) setPen(p pen) {
	s.c.SetColor(p.col)
	s.c.SetLineWidth(vg.Length(p.width))
	var d []vg.Length
	for _, v := range p.dash {
		d = append(d, vg.Length(v))
	}
	s.c.SetLineDash(d, 0)
}

// line strokes one open line.
func (s *sheet) line(p pen, pts ...xy) {
	if len(pts) < 2 {
		return
	}
	s.setPen(p)
	if len(p.dash) == 0 && p.col.A == 0xff {
		// The rasteriser's work grows with the square of what one line puts into a row.
		for len(pts) > strokePoints {
			s.c.Stroke(s.path(pts[:strokePoints]))
			pts = pts[strokePoints-1:]
		}
	}
	s.c.Stroke(s.path(pts))
}

// strokePoints is how many points of a solid line are drawn at once.
const strokePoints = 64

// loop strokes a closed line.
func (s *sheet) loop(p pen, pts []xy) {
	s.setPen(p)
	v := s.path(pts)
	v.Close()
	s.c.Stroke(v)
}

// fill paints a closed shape.
func (s *sheet) fill(col color.NRGBA, pts []xy) {
	if len(pts) < 3 {
		return
	}
	s.c.SetColor(col)
	v := s.path(pts)
	v.Close()
	s.c.Fill(v)
}

func (s *sheet) rect(col color.NRGBA, b box) {
	s.fill(col, []xy{{b.x0, b.y0}, {b.x1, b.y0}, {b.x1, b.y1}, {b.x0, b.y1}})
}

func (s *sheet) frame(p pen, b box) {
	s.loop(p, []xy{{b.x0, b.y0}, {b.x1, b.y0}, {b.x1, b.y1}, {b.x0, b.y1}})
}

// hatch draws slanting lines over a box, step px apart; lean +1 rises to the
// right, -1 falls. Lines keep to a grid of the sheet, so that neighbouring
// boxes join up.
func (s *sheet) hatch(p pen, b box, step float64, lean float64) {
	if b.w() <= 0 || b.h() <= 0 {
		return
	}
	// A rising line is y = k - x, a falling one y = k + x.
	kAt := func(q xy) float64 { return q.y + lean*q.x }
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range []xy{{b.x0, b.y0}, {b.x1, b.y0}, {b.x0, b.y1}, {b.x1, b.y1}} {
		lo, hi = math.Min(lo, kAt(q)), math.Max(hi, kAt(q))
	}
	for k := math.Ceil(lo/step) * step; k <= hi; k += step {
		a, z := xy{b.x0, k - lean*b.x0}, xy{b.x1, k - lean*b.x1}
		if a, z, ok := clipSegment(a, z, b); ok {
			s.line(p, a, z)
		}
	}
}

// clipSegment cuts a segment to a box (Liang and Barsky's method).
func clipSegment(a, z xy, b box) (xy, xy, bool) {
	if v := a.x + a.y + z.x + z.y; math.IsNaN(v) || math.IsInf(v, 0) {
		return a, z, false
	}
	t0, t1 := 0.0, 1.0
	dx, dy := z.x-a.x, z.y-a.y
	for _, e := range [4][2]float64{{-dx, a.x - b.x0}, {dx, b.x1 - a.x}, {-dy, a.y - b.y0}, {dy, b.y1 - a.y}} {
		p, q := e[0], e[1]
		if p == 0 {
			if q < 0 {
				return a, z, false
			}
			continue
		}
		r := q / p
		if p < 0 {
			t0 = math.Max(t0, r)
		} else {
			t1 = math.Min(t1, r)
		}
	}
	if t0 >= t1 {
		return a, z, false
	}
	from, to := a, z // an end that lies inside stays what it is, so that lines join
	if t0 > 0 {
		from = xy{a.x + t0*dx, a.y + t0*dy}
	}
	if t1 < 1 {
		to = xy{a.x + t1*dx, a.y + t1*dy}
	}
	return from, to, true
}

// clipped strokes a line cut to a box. A line of no length, one lonely reading
// between two gaps, becomes a dot: it was measured and must be seen.
func (s *sheet) clipped(p pen, pts []xy, b box) {
	if len(pts) == 1 || (len(pts) > 1 && pts[0] == pts[len(pts)-1] && allSame(pts)) {
		q := pts[0]
		if b.holds(q) {
			r := math.Max(p.width*0.7, 1)
			s.marker(MarkCircle, q.x, q.y, r, p.col, false)
		}
		return
	}
	var run []xy
	for i := 1; i < len(pts); i++ {
		a, z, ok := clipSegment(pts[i-1], pts[i], b)
		if !ok {
			if pts[i-1] == pts[i] {
				continue
			}
			s.line(p, run...)
			run = run[:0]
			continue
		}
		if len(run) == 0 || run[len(run)-1] != a {
			s.line(p, run...)
			run = append(run[:0], a)
		}
		run = append(run, z)
	}
	s.line(p, run...)
}

func allSame(pts []xy) bool {
	for _, q := range pts {
		if q != pts[0] {
			return false
		}
	}
	return true
}
