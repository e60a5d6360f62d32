package chart

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// DailyRange shows for each calendar day the lowest and the mean of a quantity
// against what was required of it, such as CT per day.
type DailyRange struct {
	Title       string
	Message     string
	Name, Unit  string // "CT", "mg·min/L"
	Requirement string // name of the required line; empty: "required"
	Log         bool
	Days        []DayRange // ascending, days may be missing
	Meaning     map[State]string
}

// DayRange is one calendar day.
type DayRange struct {
	Day      time.Time // only the calendar date counts
	Low      float64   // not a number: not determined
	Mean     float64   // not a number: not determined
	Required float64   // not a number: nothing required
	State    State
}

// Alt is the chart's message; without one, days by state and the worst day.
func (c *DailyRange) Alt() string {
	if c.Message != "" {
		return c.Message
	}
	n := map[State]int{}
	worst := -1
	for i, d := range c.Days {
		n[d.State]++
		if !math.IsNaN(d.Low) && (worst < 0 || d.Low < c.Days[worst].Low) {
			worst = i
		}
	}
	text := fmt.Sprintf("%s: of %d days, %s", c.Title, len(c.Days), counts(n))
	if worst >= 0 {
		text += fmt.Sprintf("; lowest %s %s on %s", short(c.Days[worst].Low), c.Unit, c.Days[worst].Day.Format("2 January"))
	}
	return text + "."
}

func (c *DailyRange) check() error {
	if len(c.Days) == 0 {
		return errors.New("chart: no days to show")
	}
	for i := 1; i < len(c.Days); i++ {
		if daysBetween(c.Days[i-1].Day, c.Days[i].Day) <= 0 {
			return errors.New("chart: the days are not in order")
		}
	}
	return checkDays(c.axis().n)
}

func (c *DailyRange) axis() dayAxis {
	first, last := c.Days[0].Day, c.Days[len(c.Days)-1].Day
	right := edge
	for _, t := range c.label(0).lines {
		right = math.Max(right, boldText.width(t)+18)
	}
	return dayAxis{first: civil(first), n: daysBetween(first, last) + 1, x0: leftRoom, x1: Width - right}
}

// label is the name at the end of the requirement's line.
func (c *DailyRange) label(y float64) label {
	name := c.Requirement
	if name == "" {
		name = "required"
	}
	lines := boldText.wrap(name, 100)
	if last := c.Days[len(c.Days)-1].Required; !math.IsNaN(last) {
		lines = append(lines, short(last)+" "+c.Unit)
	} else {
		for _, d := range c.Days {
			if !math.IsNaN(d.Required) {
				return label{lines: lines, y: y}
			}
		}
		lines = nil
	}
	return label{lines: lines, y: y}
}

func (c *DailyRange) legend() []legendItem {
	items := []legendItem{
		{kind: swatchPoint, look: look{col: blue, mark: MarkCircle}, text: "lowest of the day"},
		{kind: swatchCurve, look: look{col: softInk}, text: "mean of the day"},
	}
	seen := map[State]bool{}
	for _, d := range c.Days {
		seen[d.State] = true
	}
	return append(items, stateLegend(seen, c.Meaning)...)
}

const dailyHeight = 210.0

func (c *DailyRange) height() float64 {
	return headHeight(c.Title) + float64(legendRows(c.legend(), leftRoom))*headLine + 8 + dailyHeight + 22 + dayAxisRoom + 8
}

func (c *DailyRange) draw(s *sheet) {
	y := s.head(c.Title)
	a := c.axis()
	items, rows := layLegend(c.legend(), a.x0, a.x0, Width-edge)
	s.legend(items, y)
	y += float64(rows)*headLine + 8
	b := box{a.x0, y, a.x1, y + dailyHeight}
	e := noExtent()
	if !c.Log {
		e.add(0)
	}
	for _, d := range c.Days {
		for _, v := range []float64{d.Low, d.Mean, d.Required} {
			if !c.Log || v > 0 {
				e.add(v)
			}
		}
	}
	ax := linear(e, 6, false)
	if c.Log {
		ax = logarithmic(e)
	}
	fy := func(v float64) float64 {
		y := b.y1 - b.h()*ax.at(v)
		if y > b.y1 {
			return b.y1 // zero has no place on a logarithmic axis but its foot
		}
		return y
	}
	s.grid(ax, b, fy)
	a.monthLines(s, b.y0, b.y1)
	strip := box{b.x0, b.y1 + 4, b.x1, b.y1 + 20}
	for _, d := range c.Days {
		c.drawDay(s, a, a.index(d.Day), d, b, strip, fy)
	}
	c.drawRequired(s, a, b, fy)
	s.frame(pen{softInk, 1, nil}, b)
	s.valueAxis(ax, b, fy, Axis{Name: c.Name, Unit: c.Unit})
	s.text(noteText, b.x0-7, (strip.y0+strip.y1)/2, atRight, "state")
	a.draw(s, strip.y1)
}

func (c *DailyRange) drawDay(s *sheet, a dayAxis, i int, d DayRange, b, strip box, fy func(float64) float64) {
	cell := box{a.left(i), strip.y0, a.left(i + 1), strip.y1}
	if a.cell() >= 6 {
		cell.x0, cell.x1 = cell.x0+0.7, cell.x1-0.7
	}
	s.stateCell(d.State, cell)
	if d.State == NotDetermined && math.IsNaN(d.Low) {
		s.hatch(pen{hatchInk, 0.7, nil}, box{cell.x0, b.y0, cell.x1, b.y1}, 6, 1)
		return
	}
	x, w := a.mid(i), math.Min(a.cell()*0.34, 6)
	low, mean := fy(d.Low), fy(d.Mean)
	s.clipped(pen{withAlpha(blue, 0.55), math.Max(1, w*0.5), nil}, []xy{{x, low}, {x, mean}}, b)
	s.clipped(pen{softInk, 2, nil}, []xy{{x - w, mean}, {x + w, mean}}, b)
	if !b.holds(xy{x, low}) {
		return
	}
	r := math.Min(4.2, math.Max(1.6, a.cell()*0.22))
	if d.State == Short {
		s.marker(MarkDown, x, low, r*1.2, shortInk, false)
		return
	}
	s.marker(MarkCircle, x, low, r, blue, false)
}

func (c *DailyRange) drawRequired(s *sheet, a dayAxis, b box, fy func(float64) float64) {
	var run []xy
	y := math.NaN()
	for _, d := range c.Days {
		if math.IsNaN(d.Required) || math.IsInf(d.Required, 0) {
			s.clipped(limitPen, run, b)
			run = nil
			continue
		}
		i := a.index(d.Day)
		y = fy(d.Required)
		run = append(run, xy{a.left(i), y}, xy{a.left(i + 1), y})
	}
	s.clipped(limitPen, run, b)
	if !math.IsNaN(y) {
		s.rightLabels([]label{c.label(y)}, b)
	}
}
