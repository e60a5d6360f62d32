package chart

import (
	"errors"
	"fmt"
	"math"
)

// Waterfall splits the way from one total to another into parts that add up:
// where the CT went. Parts are drawn in order, one row each.
type Waterfall struct {
	Title    string
	Message  string
	Name     string // of the value axis: "CT"
	Unit     string
	From, To Part // the totals
	Parts    []Part
	Limits   []Limit // upright lines, such as the required CT
}

// Part is a named amount; of a total, its value, of a part, its change.
type Part struct {
	Name  string
	Value float64
	Note  string // small, under the name: "4.1 → 7.9 MGD"; empty: none
}

// Alt is the chart's message.
func (c *Waterfall) Alt() string {
	if c.Message != "" {
		return c.Message
	}
	var parts []string
	for _, p := range c.Parts {
		parts = append(parts, fmt.Sprintf("%s %s", p.Name, signed(p.Value, c.decimals())))
	}
	return fmt.Sprintf("%s: from %s (%s %s) to %s (%s %s): %s.", c.Title, c.From.Name, short(c.From.Value), c.Unit,
		c.To.Name, short(c.To.Value), c.Unit, list(parts))
}

// signed writes a change with its sign.
func signed(v float64, decimals int) string {
	t := number(v, decimals)
	if v > 0 {
		t = "+" + t
	}
	return t
}

// decimals is how many digits after the point all values of the chart show:
// three significant ones of the larger total.
func (c *Waterfall) decimals() int {
	top := math.Max(math.Abs(c.From.Value), math.Abs(c.To.Value))
	if top == 0 {
		return 1
	}
	return min(max(2-int(math.Floor(math.Log10(top))), 0), 6)
}

func (c *Waterfall) check() error {
	if len(c.Parts) == 0 {
		return errors.New("chart: the split has no parts")
	}
	sum, size := c.From.Value, math.Abs(c.From.Value)
	for _, p := range c.Parts {
		sum += p.Value
		size += math.Abs(p.Value)
	}
	if d := math.Abs(sum - c.To.Value); math.IsNaN(d) || d > 1e-6*size {
		return fmt.Errorf("chart: the parts lead from %.6g to %.6g, not to %.6g", c.From.Value, sum, c.To.Value)
	}
	return nil
}

const fallRow = 36.0

func (c *Waterfall) height() float64 {
	return headHeight(c.Title) + c.limitRoom() + fallRow*float64(len(c.Parts)+2) + 6 + 46 + 8
}

func (c *Waterfall) limitRoom() float64 {
	if len(c.Limits) == 0 {
		return 0
	}
	return headLine * float64(len(c.Limits))
}

func (c *Waterfall) draw(s *sheet) {
	y := s.head(c.Title)
	left := 0.0
	rows := append(append([]Part{c.From}, c.Parts...), c.To)
	for _, p := range rows {
		left = math.Max(left, math.Max(boldText.width(p.Name), noteText.width(p.Note)))
	}
	left = math.Min(left, 250) + edge + 12
	e := noExtent()
	e.add(0, c.From.Value, c.To.Value)
	level := c.From.Value
	for _, p := range c.Parts {
		level += p.Value
		e.add(level)
	}
	for _, l := range c.Limits {
		e.add(l.Value)
	}
	// The values stand right of their bars and must not meet the frame.
	dec := c.decimals()
	room := 0.0
	for _, p := range rows {
		room = math.Max(room, boldText.width(signed(p.Value, dec))+16)
	}
	e.hi += (e.hi - e.lo) * room / (Width - edge - left - room)
	ax := linear(e, 7, true)
	b := box{left, y + c.limitRoom(), Width - edge, y + c.limitRoom() + fallRow*float64(len(rows)) + 6}
	fx := func(v float64) float64 { return b.x0 + b.w()*ax.at(v) }
	for _, t := range ax.ticks {
		s.line(pen{gridInk, 1, nil}, xy{fx(t.v), b.y0}, xy{fx(t.v), b.y1})
	}
	level = 0
	for i, p := range rows {
		my := b.y0 + 3 + fallRow*(float64(i)+0.5)
		total := i == 0 || i == len(rows)-1
		from, to := level, level+p.Value
		if total {
			from, to = 0, p.Value
		}
		bar := box{math.Min(fx(from), fx(to)), my - 11, math.Max(fx(from), fx(to)), my + 11}
		value := signed(p.Value, dec)
		switch {
		case total:
			s.rect(softInk, bar)
			value = number(p.Value, dec)
		case p.Value < 0:
			s.rect(withAlpha(red, 0.75), bar)
			s.hatch(pen{white, 1.2, nil}, bar, 7, -1)
			s.frame(pen{red, 1, nil}, bar)
		default:
			s.rect(withAlpha(sky, 0.8), bar)
			s.frame(pen{blue, 1, nil}, bar)
		}
		let := bodyText
		if total {
			let = boldText
		}
		s.text(let, math.Max(bar.x1, b.x0)+6, my, atLeft, value)
		name, ny := let.fit(p.Name, left-edge-10), my
		if p.Note != "" {
			ny -= 7
			s.text(noteText, left-8, my+8, atRight, noteText.fit(p.Note, left-edge-10))
		}
		s.text(let, left-8, ny, atRight, name)
		level = to
		if i < len(rows)-1 {
			s.line(pen{softInk, 0.9, dashMark}, xy{fx(level), my + 11}, xy{fx(level), my + fallRow - 11})
		}
	}
	s.uprightLimits(c.Limits, c.Unit, y, b, fx)
	s.line(pen{softInk, 1, nil}, xy{fx(0), b.y0}, xy{fx(0), b.y1})
	s.frame(pen{softInk, 1, nil}, b)
	s.xAxis(ax, b, fx, named(Axis{Name: c.Name, Unit: c.Unit}, b.w()))
}
