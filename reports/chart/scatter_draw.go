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
		for _, q := range bandRuns(k, fx, fy) {
			s.bandIn(withAlpha(sky, 0.35), withAlpha(sky, 0), q.up, q.down, b)
		}
	}
	c.drawGroups(s, b, fx, fy, false)
	for _, k := range c.Bands { // its edges stay in sight on top of the points
		for _, q := range bandRuns(k, fx, fy) {
			s.clipped(pen{blue, 1.2, nil}, q.up, b)
			s.clipped(pen{blue, 1.2, nil}, q.down, b)
		}
	}
	for i, k := range c.Curves {
		lk := curveLook(i)
		for _, run := range curveRuns(k, fx, fy) {
			s.clipped(pen{withAlpha(white, 0.8), 4.5, nil}, run, b)
			s.clipped(pen{lk.col, 2, lk.dash}, run, b)
		}
	}
	s.uprightLimits(c.XLimits, c.X.Unit, top+4, b, fx)
	var ls []label
	for _, l := range c.Limits {
		y := fy(l.Value)
		p := limitPen
		if l.Level {
			p = pen{softInk, 1.2, dashMark}
		}
		s.clipped(p, []xy{{b.x0, y}, {b.x1, y}}, b)
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

// bandRun is a stretch of a band without a gap.
type bandRun struct{ up, down []xy }

func bandRuns(k CurveBand, fx, fy func(float64) float64) []bandRun {
	var out []bandRun
	open := false
	for i := range k.X {
		if q := fx(k.X[i]) + fy(k.Lo[i]) + fy(k.Hi[i]); math.IsNaN(q) || math.IsInf(q, 0) {
			open = false
			continue
		}
		if !open {
			out, open = append(out, bandRun{}), true
		}
		r := &out[len(out)-1]
		r.up, r.down = append(r.up, xy{fx(k.X[i]), fy(k.Hi[i])}), append(r.down, xy{fx(k.X[i]), fy(k.Lo[i])})
	}
	return out
}

func curveRuns(k Curve, fx, fy func(float64) float64) [][]xy {
	var out [][]xy
	for _, r := range bandRuns(CurveBand{X: k.X, Lo: k.Y, Hi: k.Y}, fx, fy) {
		out = append(out, r.up)
	}
	return out
}

// cloudCell is the side of a spot of a cloud, and strongCell how far apart the drawn
// ones of many reference measurements lie, px.
const (
	cloudCell  = 2.5
	strongCell = 9
)

// drawGroups draws the clouds, or all but the clouds. A cloud is shaded by how many
// of its points fall on a spot. Of many others on the same spot one is drawn: the
// picture stays readable, and a year of minutes costs no more than a day.
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
		cell := 0.5
		switch {
		case g.Cloud:
			cell = cloudCell
		case g.Strong && len(g.X) > 60:
			cell = strongCell
		case len(g.X) > 60:
			cell = 6 // shapes on top of each other would hide what they are
		}
		spots, order := map[[2]int]int{}, [][2]int{}
		first := map[[2]int]xy{}
		for i := range g.X {
			q := xy{fx(g.X[i]), fy(g.Y[i])}
			if !b.inset(-1).holds(q) {
				continue
			}
			at := [2]int{int(q.x / cell), int(q.y / cell)}
			if spots[at]++; spots[at] == 1 {
				order, first[at] = append(order, at), q
			}
		}
		most := 1
		for _, n := range spots {
			most = max(most, n)
		}
		for _, at := range order {
			q := first[at]
			switch {
			case g.Cloud:
				x, y := float64(at[0])*cell, float64(at[1])*cell
				s.rect(withAlpha(lk.col, 0.3+0.6*math.Log(float64(spots[at]))/math.Log(math.Max(2, float64(most)))), box{x, y, x + cell, y + cell})
			case g.Strong && len(g.X) > 40: // many must not bury what they lie on
				s.marker(lk.mark, q.x, q.y, 2.6, lk.col, true)
			case g.Strong:
				s.marker(lk.mark, q.x, q.y, 4.6, lk.col, false)
			default:
				s.marker(lk.mark, q.x, q.y, 3.2, lk.col, g.Marker == MarkAuto)
			}
		}
	}
}
