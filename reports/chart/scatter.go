package chart

import (
	"errors"
	"fmt"
	"math"
)

// Scatter holds one quantity against another: ORP against residual, capacity
// against flow. Groups are drawn in order, later ones on top.
type Scatter struct {
	Title   string
	Message string
	X, Y    Axis
	Bands   []CurveBand
	Curves  []Curve
	Groups  []Group
	Limits  []Limit // heights on the Y axis (Value only)
	Note    string

	probit bool // the X axis holds normal quantiles, named as shares
}

// Axis describes a value axis.
type Axis struct {
	Name, Unit string
	Log        bool
	Include    []float64 // values that the axis must reach
}

// Curve is a line of y over x, x ascending; not a number parts it.
type Curve struct {
	Name string
	X, Y []float64
}

// CurveBand is a range of y over x, x ascending.
type CurveBand struct {
	Name      string
	X, Lo, Hi []float64
}

// Group is points that belong together.
type Group struct {
	Name   string
	X, Y   []float64 // a pair with a value that is not a number is left out
	Marker Marker
	Cloud  bool // many ordinary readings: small, pale and behind, with no shape of their own
	Strong bool // black, larger: the reference measurements, such as grabs
}

// Alt is the chart's message.
func (c *Scatter) Alt() string {
	if c.Message != "" {
		return c.Message
	}
	var parts []string
	for _, g := range c.Groups {
		parts = append(parts, fmt.Sprintf("%d %s", len(g.X), g.Name))
	}
	return fmt.Sprintf("%s: %s against %s; %s.", c.Title, c.Y.Name, c.X.Name, list(parts))
}

func (c *Scatter) check() error {
	for _, g := range c.Groups {
		if len(g.X) != len(g.Y) {
			return fmt.Errorf("chart: group %q has %d x and %d y", g.Name, len(g.X), len(g.Y))
		}
	}
	for _, k := range c.Curves {
		if len(k.X) != len(k.Y) {
			return fmt.Errorf("chart: curve %q has %d x and %d y", k.Name, len(k.X), len(k.Y))
		}
	}
	for _, k := range c.Bands {
		if len(k.X) != len(k.Lo) || len(k.X) != len(k.Hi) {
			return fmt.Errorf("chart: band %q has %d x, %d low and %d high ends", k.Name, len(k.X), len(k.Lo), len(k.Hi))
		}
	}
	if len(c.Groups)+len(c.Curves)+len(c.Bands) == 0 {
		return errors.New("chart: the scatter chart has nothing to show")
	}
	return nil
}

func (c *Scatter) legend() []legendItem {
	var out []legendItem
	k := 0
	for _, g := range c.Groups {
		lk := c.lookOf(g, k)
		if !g.Cloud && !g.Strong {
			k++
		}
		kind := swatchPoint
		if !g.Cloud && !g.Strong && g.Marker == MarkAuto {
			kind = swatchOpen
		}
		if g.Name != "" {
			out = append(out, legendItem{kind: kind, look: lk, text: g.Name})
		}
	}
	for i, cv := range c.Curves {
		if cv.Name != "" {
			out = append(out, legendItem{kind: swatchCurve, look: curveLook(i), text: cv.Name})
		}
	}
	for _, b := range c.Bands {
		if b.Name != "" {
			out = append(out, legendItem{kind: swatchBand, text: b.Name})
		}
	}
	return out
}

// lookOf is a group's look; k counts the groups that take looks in order. The
// first of the looks is the cloud's own.
func (c *Scatter) lookOf(g Group, k int) look {
	var lk look
	switch {
	case g.Cloud:
		lk = look{withAlpha(blue, 0.45), MarkCircle, nil}
	case g.Strong:
		lk = look{black, MarkDiamond, nil}
	default:
		lk = lookAt(1 + k%(len(looks)-1))
	}
	if g.Marker != MarkAuto {
		lk.mark = g.Marker
	}
	return lk
}

func curveLook(i int) look {
	return []look{{col: ink}, {col: green, dash: dashCurve}, {col: purple, dash: dashMark}}[i%3]
}

const scatterHeight = 400.0

func (c *Scatter) height() float64 {
	h := headHeight(c.Title) + float64(legendRows(c.legend(), leftRoom))*headLine + 8 + scatterHeight + 46
	if c.Note != "" {
		h += float64(len(noteText.wrap(c.Note, Width-2*edge)))*noteText.line() + 4
	}
	return h + 8
}

// axes finds both value axes.
func (c *Scatter) axes() (ax, ay axis1) {
	ex, ey := noExtent(), noExtent()
	add := func(e *extent, log bool, vs []float64) {
		for _, v := range vs {
			if !log || v > 0 {
				e.add(v)
			}
		}
	}
	for _, g := range c.Groups {
		add(&ex, c.X.Log, g.X)
		add(&ey, c.Y.Log, g.Y)
	}
	for _, k := range c.Curves {
		add(&ex, c.X.Log, k.X)
		add(&ey, c.Y.Log, k.Y)
	}
	for _, k := range c.Bands {
		add(&ex, c.X.Log, k.X)
		add(&ey, c.Y.Log, k.Lo)
		add(&ey, c.Y.Log, k.Hi)
	}
	for _, l := range c.Limits {
		add(&ey, c.Y.Log, []float64{l.Value})
	}
	add(&ex, c.X.Log, c.X.Include)
	add(&ey, c.Y.Log, c.Y.Include)
	ax, ay = axisFor(ex, c.X.Log, 8), axisFor(ey, c.Y.Log, 7)
	if c.probit {
		ax = axis1{lo: ex.lo - 0.1, hi: ex.hi + 0.1}
		for _, p := range probitTicks {
			if v := probit(p / 100); v >= ax.lo && v <= ax.hi {
				ax.ticks = append(ax.ticks, tick{v, short(p)})
			}
		}
	}
	return ax, ay
}

func axisFor(e extent, log bool, want int) axis1 {
	if log {
		return logarithmic(e)
	}
	return linear(e, want, false)
}

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
	b := box{leftRoom, y, Width - right, y + scatterHeight}
	ax, ay := c.axes()
	fx := func(v float64) float64 { return b.x0 + b.w()*ax.at(v) }
	fy := func(v float64) float64 { return b.y1 - b.h()*ay.at(v) }
	s.rect(faint, b)
	s.grid(ay, b, fy)
	for _, t := range ax.ticks {
		s.line(pen{gridInk, 1, nil}, xy{fx(t.v), b.y0}, xy{fx(t.v), b.y1})
	}
	for _, k := range c.Bands {
		var up, down []xy
		for i := range k.X {
			if q := fx(k.X[i]) + fy(k.Lo[i]) + fy(k.Hi[i]); math.IsNaN(q) || math.IsInf(q, 0) {
				continue
			}
			up = append(up, xy{fx(k.X[i]), fy(k.Hi[i])})
			down = append(down, xy{fx(k.X[i]), fy(k.Lo[i])})
		}
		var shape []xy
		for _, q := range up {
			shape = append(shape, b.hold(q))
		}
		for i := len(down) - 1; i >= 0; i-- {
			shape = append(shape, b.hold(down[i]))
		}
		s.fill(withAlpha(sky, 0.30), shape)
		s.clipped(pen{withAlpha(blue, 0.7), 0.8, nil}, up, b)
		s.clipped(pen{withAlpha(blue, 0.7), 0.8, nil}, down, b)
	}
	c.drawGroups(s, b, fx, fy, true)
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
	if c.Note != "" {
		for i, t := range noteText.wrap(c.Note, Width-2*edge) {
			s.text(noteText, edge, b.y1+50+noteText.line()*(float64(i)+0.5), atLeft, t)
		}
	}
}

// named is an axis's name and unit on no more than max px; of the two the name
// is shortened first.
func named(a Axis, max float64) string {
	switch {
	case a.Unit == "":
		return tickText.fit(a.Name, max)
	case a.Name == "":
		return tickText.fit(a.Unit, max)
	}
	if room := max - tickText.width(", "+a.Unit); room > 20 {
		return tickText.fit(a.Name, room) + ", " + a.Unit
	}
	return tickText.fit(a.Unit, max)
}

// xAxis draws a value axis under a data area.
func (s *sheet) xAxis(a axis1, b box, fx func(float64) float64, title string) {
	for _, v := range a.minor {
		s.line(pen{softInk, 0.8, nil}, xy{fx(v), b.y1}, xy{fx(v), b.y1 + 2.5})
	}
	last := math.Inf(-1)
	for _, t := range a.ticks {
		x, w := fx(t.v), tickText.width(t.label)
		s.line(pen{softInk, 1, nil}, xy{x, b.y1}, xy{x, b.y1 + 4})
		if x-w/2 < last+6 || x+w/2 > Width-1 {
			continue
		}
		s.text(tickText, x, b.y1+6+tickText.line()/2, atCentre, t.label)
		last = x + w/2
	}
	s.text(tickText, (b.x0+b.x1)/2, b.y1+8+tickText.line()*1.5, atCentre, title)
}

// drawGroups draws the clouds, or all but the clouds. Of a cloud's points that
// fall on the same spot one is drawn: the picture is the same, and a year of
// minutes costs no more than a day.
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
			case g.Strong:
				s.marker(lk.mark, x, y, 4.6, lk.col, false)
			default:
				s.marker(lk.mark, x, y, 3.2, lk.col, g.Marker == MarkAuto)
			}
		}
	}
}
