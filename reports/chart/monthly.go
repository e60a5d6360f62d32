package chart

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// Monthly shows one parameter's results over a month (or some months), a place
// for each calendar day, with the limits it is held against, results reported
// as less than a value, and averages over weeks or the month.
type Monthly struct {
	Title      string
	Message    string
	Name, Unit string
	Log        bool
	Free       bool      // the axis need not reach zero: pH, temperature
	First      time.Time // the first day shown; only the calendar date counts
	Days       int       // how many days are shown
	Results    []Result
	Averages   []Average
	Limits     []Limit // Value only
	Include    []float64
	Note       string
}

// Result is one reported value.
type Result struct {
	Day   time.Time
	Value float64
	Sign  rune // '<' less than Value, '>' more than Value, 0 as it stands
}

// Average is a value over whole days, such as a weekly average.
type Average struct {
	Name     string // for the legend; the same for all weeks
	From, To time.Time
	Value    float64
}

// Alt is the chart's message.
func (c *Monthly) Alt() string {
	if c.Message != "" {
		return c.Message
	}
	e, less := noExtent(), 0
	for _, r := range c.Results {
		e.add(r.Value)
		if r.Sign == '<' {
			less++
		}
	}
	if e.lo > e.hi {
		return c.Title + ": no results."
	}
	text := fmt.Sprintf("%s: %d results from %s to %s %s", c.Title, len(c.Results), short(e.lo), short(e.hi), c.Unit)
	if less > 0 {
		text += fmt.Sprintf(", %d of them reported as less than a value", less)
	}
	for _, l := range c.Limits {
		text += fmt.Sprintf("; %s %s", l.Name, short(l.Value))
	}
	return text + "."
}

func (c *Monthly) check() error {
	for _, a := range c.Averages {
		if daysBetween(a.From, a.To) < 0 {
			return errors.New("chart: an average ends before it starts")
		}
	}
	return checkDays(c.Days)
}

const monthlyHeight = 200.0

func (c *Monthly) legend() []legendItem {
	plain, less, more := false, false, false
	for _, r := range c.Results {
		plain = plain || r.Sign == 0
		less = less || r.Sign == '<'
		more = more || r.Sign == '>'
	}
	var out []legendItem
	if plain {
		out = append(out, legendItem{kind: swatchPoint, look: look{col: blue, mark: MarkCircle}, text: "result"})
	}
	if less {
		out = append(out, legendItem{kind: swatchOpen, look: look{col: blue, mark: MarkDown}, text: "less than (<)"})
	}
	if more {
		out = append(out, legendItem{kind: swatchOpen, look: look{col: shortInk, mark: MarkTriangle}, text: "more than (>)"})
	}
	for _, n := range c.averageNames() {
		out = append(out, legendItem{kind: swatchCurve, look: averageLook(len(out) - c.signs(plain, less, more)), text: n})
	}
	return out
}

func (c *Monthly) signs(bs ...bool) (n int) {
	for _, b := range bs {
		if b {
			n++
		}
	}
	return n
}

func (c *Monthly) averageNames() []string {
	var out []string
	for _, a := range c.Averages {
		found := false
		for _, n := range out {
			found = found || n == a.Name
		}
		if !found {
			out = append(out, a.Name)
		}
	}
	return out
}

func averageLook(i int) look {
	return []look{{col: ink}, {col: green, dash: dashCurve}, {col: purple, dash: dashMark}}[i%3]
}

func (c *Monthly) dataHeight() float64 {
	return math.Max(monthlyHeight, labelHeight(c.Limits, c.Unit))
}

func (c *Monthly) height() float64 {
	h := headHeight(c.Title) + float64(legendRows(c.legend(), leftRoom))*headLine + 8 + c.dataHeight() + dayAxisRoom + 8
	if c.Note != "" {
		h += float64(len(noteText.wrap(c.Note, Width-2*edge)))*noteText.line() + 4
	}
	return h
}

func (c *Monthly) draw(s *sheet) {
	y := s.head(c.Title)
	if items, rows := layLegend(c.legend(), leftRoom, leftRoom, Width-edge); len(items) > 0 {
		s.legend(items, y)
		y += float64(rows) * headLine
	}
	y += 8
	right, e := edge, noExtent()
	if !c.Log && !c.Free {
		e.add(0)
	}
	add := func(v float64) {
		if !c.Log || v > 0 {
			e.add(v)
		}
	}
	for _, l := range c.Limits {
		add(l.Value)
		for _, t := range limitLabel(l, c.Unit) {
			right = math.Max(right, boldText.width(t)+18)
		}
	}
	for _, r := range c.Results {
		add(r.Value)
	}
	for _, a := range c.Averages {
		add(a.Value)
	}
	for _, v := range c.Include {
		add(v)
	}
	a := dayAxis{first: civil(c.First), n: c.Days, x0: leftRoom, x1: Width - right}
	b := box{a.x0, y, a.x1, y + c.dataHeight()}
	ax := axisFor(e, c.Log, 6)
	fy := func(v float64) float64 { return b.y1 - b.h()*ax.at(v) }
	s.grid(ax, b, fy)
	a.monthLines(s, b.y0, b.y1)
	names := c.averageNames()
	for _, av := range c.Averages {
		for k, n := range names {
			if n == av.Name {
				lk := averageLook(k)
				s.clipped(pen{lk.col, 2.2, lk.dash}, []xy{{a.left(a.index(av.From)), fy(av.Value)}, {a.left(a.index(av.To) + 1), fy(av.Value)}}, b)
			}
		}
	}
	var ls []label
	for _, l := range c.Limits {
		s.clipped(limitPen, []xy{{b.x0, fy(l.Value)}, {b.x1, fy(l.Value)}}, b)
		ls = append(ls, label{lines: limitLabel(l, c.Unit), y: math.Min(math.Max(fy(l.Value), b.y0), b.y1)})
	}
	s.rightLabels(ls, b)
	c.drawResults(s, a, b, fy)
	s.frame(pen{softInk, 1, nil}, b)
	s.valueAxis(ax, b, fy, Axis{Name: c.Name, Unit: c.Unit})
	a.draw(s, b.y1)
	if len(c.Results) == 0 {
		const none = "no results reported"
		w, x, y := bodyText.width(none)/2+6, (b.x0+b.x1)/2, (b.y0+b.y1)/2
		s.rect(faint, box{x - w, y - 9, x + w, y + 9})
		s.text(bodyText, x, y, atCentre, none)
	}
	for i, t := range noteText.wrap(c.Note, Width-2*edge) {
		s.text(noteText, edge, b.y1+dayAxisRoom+4+noteText.line()*(float64(i)+0.5), atLeft, t)
	}
}

func (c *Monthly) drawResults(s *sheet, a dayAxis, b box, fy func(float64) float64) {
	r := math.Min(4.4, math.Max(1.8, a.cell()*0.24))
	for _, res := range c.Results {
		i := a.index(res.Day)
		v := fy(res.Value)
		if i < 0 || i >= a.n || math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		v = b.hold(xy{b.x0, v}).y // zero has no place on a logarithmic axis but its foot
		switch res.Sign {
		case '<':
			s.line(pen{blue, 1, dashMark}, xy{a.mid(i), v}, xy{a.mid(i), b.y1})
			s.marker(MarkDown, a.mid(i), v, r, blue, true)
		case '>':
			s.marker(MarkTriangle, a.mid(i), v, r, shortInk, true)
		default:
			s.marker(MarkCircle, a.mid(i), v, r, blue, false)
		}
	}
}
