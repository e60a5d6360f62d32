package chart

import (
	"errors"
	"fmt"
	"math"
	"strings"
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
	XLimits []Limit // places on the X axis (Value only), named above the data
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
		if text := g.Name; text != "" {
			if g.Cloud {
				text += " (darker: more of them)"
			}
			out = append(out, legendItem{kind: kind, look: lk, text: text})
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

const scatterHeight = 340.0

func (c *Scatter) dataHeight() float64 {
	return math.Max(scatterHeight, labelHeight(c.Limits, c.Y.Unit))
}

func (c *Scatter) height() float64 {
	h := headHeight(c.Title) + float64(legendRows(c.legend(), leftRoom)+len(c.XLimits))*headLine + 8 + c.dataHeight() + 46
	if note := c.note(); note != "" {
		h += float64(len(noteText.wrap(note, Width-2*edge)))*noteText.line() + 4
	}
	return h + 8
}

// note is what stands at the foot: the caller's words, and how many points lie
// outside of the picture.
func (c *Scatter) note() string {
	ax, ay := c.axes()
	n := c.outside(ax, ay)
	if n == 0 {
		return c.Note
	}
	points := " points lie"
	if n == 1 {
		points = " point lies"
	}
	out := number(float64(n), 0) + points + " outside of this picture"
	if c.Note == "" {
		return out + "."
	}
	return strings.TrimRight(c.Note, ".") + "; " + out + "."
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
		add(&ex, c.X.Log, g.reach(g.X, c.X.Log))
		add(&ey, c.Y.Log, g.reach(g.Y, c.Y.Log))
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
	for _, l := range c.XLimits {
		add(&ex, c.X.Log, []float64{l.Value})
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

// cloudShare, cloudTimes and cloudLeast say when the readings of a group are cut: as
// squeezeShare, squeezeTimes and squeezeLeast, for a picture of two values.
const (
	cloudShare = 0.02
	cloudTimes = 2.0
	cloudLeast = 100
)

// reach is what an axis must hold of a group's values: not the few that would squeeze
// the rest into a corner. The reference measurements are all shown.
func (g *Group) reach(v []float64, log bool) []float64 {
	if g.Strong {
		return v
	}
	e, ok := unsqueezed([][]float64{logs(v, log)}, cloudShare, cloudTimes, cloudLeast)
	switch {
	case !ok:
		return v
	case log:
		return []float64{math.Exp(e.lo), math.Exp(e.hi)}
	}
	return []float64{e.lo, e.hi}
}

func logs(v []float64, log bool) []float64 {
	if !log {
		return v
	}
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = math.Log(x) // below zero and zero: not a number or infinite, and left out
	}
	return out
}

// outside counts the points beyond the axes.
func (c *Scatter) outside(ax, ay axis1) int {
	n := 0
	for _, g := range c.Groups {
		for i := range g.X {
			if x, y := ax.at(g.X[i]), ay.at(g.Y[i]); x < 0 || x > 1 || y < 0 || y > 1 {
				n++
			}
		}
	}
	return n
}

func axisFor(e extent, log bool, want int) axis1 {
	if log {
		return logarithmic(e)
	}
	return linear(e, want, false)
}
