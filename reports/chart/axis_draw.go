package chart

import "math"

// grid draws the light lines of a value axis.
func (s *sheet) grid(a axis1, b box, fy func(float64) float64) {
	for _, t := range a.ticks {
		s.line(pen{gridInk, 1, nil}, xy{b.x0, fy(t.v)}, xy{b.x1, fy(t.v)})
	}
}

// valueAxis draws ticks, their labels and the axis's name and unit left of a
// data area.
func (s *sheet) valueAxis(a axis1, b box, fy func(float64) float64, what Axis) {
	for _, v := range a.minor {
		s.line(pen{softInk, 0.8, nil}, xy{b.x0 - 2.5, fy(v)}, xy{b.x0, fy(v)})
	}
	last := math.Inf(1)
	wide := 28.0 // at the least, so that the units of stacked panels stand in line
	for _, t := range a.ticks {
		y := fy(t.v)
		s.line(pen{softInk, 1, nil}, xy{b.x0 - 4, y}, xy{b.x0, y})
		if last-y < tickText.size+1 {
			continue
		}
		s.text(tickText, b.x0-7, y, atRight, t.label)
		wide = math.Max(wide, tickText.width(t.label))
		last = y
	}
	s.textUp(tickText, math.Max(b.x0-7-wide-12, 9), (b.y0+b.y1)/2, named(what, b.h()+14))
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
