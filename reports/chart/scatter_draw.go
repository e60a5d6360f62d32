package chart

import "math"

func (c *Scatter) draw(s *sheet) {
	y := s.head(c.Title)
	items, rows := layLegend(c.legend(), leftRoom, leftRoom, Width-edge)
	s.legend(items, y)
	y += float64(rows)*headLine + 8
	right := edge
	for _, l := range c.Limits {
		for _, t := range limitLabel(l, c.Y.Unit) {
			right = math.Max(right, boldText.width(t)+18)
		}
	}
	top := y - 8
	y += headLine * float64(len(c.XLimits))
	b := box{leftRoom, y, Width - right, y + c.dataHeight()}
	ax, ay := c.axes()
	fx := func(v float64) float64 { return b.x0 + b.w()*ax.at(v) }
	fy := func(v float64) float64 { return b.y1 - b.h()*ay.at(v) }
	s.grid(ay, b, fy)
	for _, t := range ax.ticks {
		s.line(pen{gridInk, 1, nil}, xy{fx(t.v), b.y0}, xy{fx(t.v), b.y1})
	}
	c.drawGroups(s, b, fx, fy, true)
	for _, k := range c.Bands {
		var up, down []xy
		for i := range k.X {
			if q := fx(k.X[i]) + fy(k.Lo[i]) + fy(k.Hi[i]); math.IsNaN(q) || math.IsInf(q, 0) {
				s.band(up, down, b) // a gap parts the band
				up, down = nil, nil
				continue
			}
			up = append(up, xy{fx(k.X[i]), fy(k.Hi[i])})
			down = append(down, xy{fx(k.X[i]), fy(k.Lo[i])})
		}
		s.band(up, down, b)
	}
	for i, k := range c.Curves {
		lk := curveLook(i)
		var run []xy
		for j := range k.X {
			q := xy{fx(k.X[j]), fy(k.Y[j])}
			if v := q.x + q.y; math.IsNaN(v) || math.IsInf(v, 0) {
				s.clipped(pen{lk.col, 2, lk.dash}, run, b)
				run = nil
				continue
			}
			run = append(run, q)
		}
		s.clipped(pen{lk.col, 2, lk.dash}, run, b)
	}
	c.drawGroups(s, b, fx, fy, false)
	s.uprightLimits(c.XLimits, c.X.Unit, top+4, b, fx)
	var ls []label
	for _, l := range c.Limits {
		y := fy(l.Value)
		s.clipped(limitPen, []xy{{b.x0, y}, {b.x1, y}}, b)
		ls = append(ls, label{lines: limitLabel(l, c.Y.Unit), y: b.hold(xy{b.x1, y}).y})
	}
	s.rightLabels(ls, b)
	s.frame(pen{softInk, 1, nil}, b)
	s.valueAxis(ay, b, fy, c.Y)
	s.xAxis(ax, b, fx, named(c.X, b.w()))
	if note := c.note(); note != "" {
		for i, t := range noteText.wrap(note, Width-2*edge) {
			s.text(noteText, edge, b.y1+50+noteText.line()*(float64(i)+0.5), atLeft, t)
		}
	}
}

// drawGroups draws the clouds, or all but the clouds. Of points that fall on
// the same spot one is drawn: the picture is the same, and a year of minutes
// costs no more than a day.
func (c *Scatter) drawGroups(s *sheet, b box, fx, fy func(float64) float64, clouds bool) {
	k := 0
	for _, g := range c.Groups {
		lk := c.lookOf(g, k)
		if !g.Cloud && !g.Strong {
			k++
		}
		if g.Cloud != clouds {
			continue
		}
		cell := 1.5
		if !g.Cloud && !g.Strong && len(g.X) > 60 {
			cell = 6 // shapes on top of each other would hide what they are
		}
		seen := map[[2]int]bool{}
		for i := range g.X {
			x, y := fx(g.X[i]), fy(g.Y[i])
			if !b.inset(-1).holds(xy{x, y}) {
				continue
			}
			at := [2]int{int(x / cell), int(y / cell)}
			if seen[at] {
				continue
			}
			seen[at] = true
			switch {
			case g.Cloud:
				s.rect(lk.col, box{x - 1, y - 1, x + 1, y + 1})
			case g.Strong && len(g.X) > 40: // many must not bury what they lie on
				s.marker(lk.mark, x, y, 2.8, lk.col, true)
			case g.Strong:
				s.marker(lk.mark, x, y, 4.6, lk.col, false)
			default:
				s.marker(lk.mark, x, y, 3.2, lk.col, g.Marker == MarkAuto)
			}
		}
	}
}
