package chart

import (
	"errors"
	"fmt"
	"math"
)

// DayBands shows how quantities run over the hours of the day, two panels in a row:
// the median of each hour as a line within the band of most hours.
type DayBands struct {
	Title   string
	Message string
	Panels  []DayBand
	Note    string
}

// DayBand is one quantity: a value for each hour of the day. Not a number: a gap.
type DayBand struct {
	Name, Unit   string
	Lo, Mid, Hi  []float64
	IncludesZero bool
}

const (
	bandHeight = 118.0
	bandGap    = 58.0
)

// Alt is the chart's message.
func (c *DayBands) Alt() string {
	if c.Message != "" {
		return c.Message
	}
	return fmt.Sprintf("%s: %d quantities.", c.Title, len(c.Panels))
}

func (c *DayBands) check() error {
	if len(c.Panels) == 0 {
		return errors.New("chart: no quantity runs over the day")
	}
	for _, p := range c.Panels {
		if len(p.Lo) != 24 || len(p.Mid) != 24 || len(p.Hi) != 24 {
			return fmt.Errorf("chart: %q has not 24 hours", p.Name)
		}
	}
	return nil
}

func (c *DayBands) rows() int { return (len(c.Panels) + 1) / 2 }

func (c *DayBands) height() float64 {
	h := headHeight(c.Title) + headLine + float64(c.rows())*(bandHeight+bandGap) + 18
	if c.Note != "" {
		h += float64(len(noteText.wrap(c.Note, Width-2*edge))) * noteText.line()
	}
	return h
}

func (c *DayBands) draw(s *sheet) {
	y := s.head(c.Title)
	items, _ := layLegend([]legendItem{{kind: swatchCurve, look: curveLook(0), text: "median"}, {kind: swatchBand, text: "10 to 90 % of the hours"}}, leftRoom, leftRoom, Width-edge)
	s.legend(items, y)
	y += headLine
	half := (Width - edge) / 2.0
	for i, p := range c.Panels {
		x := float64(i%2) * half
		top := y + float64(i/2)*(bandHeight+bandGap) + 24
		p.draw(s, box{x + leftRoom, top, x + half - 6, top + bandHeight})
	}
	if c.Note != "" {
		for i, t := range noteText.wrap(c.Note, Width-2*edge) {
			s.text(noteText, edge, c.height()-10-noteText.line()*(float64(len(noteText.wrap(c.Note, Width-2*edge))-i)-0.5), atLeft, t)
		}
	}
}

func (p DayBand) draw(s *sheet, b box) {
	e := noExtent()
	e.add(p.Lo...)
	e.add(p.Mid...)
	e.add(p.Hi...)
	if p.IncludesZero {
		e.add(0)
	}
	ay := linear(e, 4, false)
	ax := axis1{lo: 0, hi: 24}
	for h := 0; h <= 24; h += 6 {
		ax.ticks = append(ax.ticks, tick{float64(h), fmt.Sprintf("%02d:00", h)})
	}
	fx := func(v float64) float64 { return b.x0 + b.w()*ax.at(v) }
	fy := func(v float64) float64 { return b.y1 - b.h()*ay.at(v) }
	s.rect(white, b)
	s.grid(ay, b, fy)
	var up, down, run []xy
	flush := func() {
		s.band(up, down, b)
		s.clipped(pen{curveLook(0).col, 2, curveLook(0).dash}, run, b)
		up, down, run = nil, nil, nil
	}
	for h := range p.Mid {
		x := fx(float64(h) + 0.5)
		if v := p.Lo[h] + p.Mid[h] + p.Hi[h]; math.IsNaN(v) {
			flush()
			continue
		}
		up, down, run = append(up, xy{x, fy(p.Hi[h])}), append(down, xy{x, fy(p.Lo[h])}), append(run, xy{x, fy(p.Mid[h])})
	}
	flush()
	s.frame(pen{softInk, 1, nil}, b)
	s.text(boldText, b.x0, b.y0-9, atLeft, boldText.fit(p.Name, b.w()))
	s.valueAxis(ay, b, fy, Axis{Unit: p.Unit})
	s.xAxis(ax, b, fx, "")
}
