package chart

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// Coverage shows, for each tag and each calendar day, how much of the day good
// readings cover: a cell filled from its foot to that height. A full day is a
// full cell; a day with nothing is struck through; a day on which nothing was
// expected is blank.
type Coverage struct {
	Title   string
	Message string
	First   time.Time // the first day: only the calendar date counts
	Rows    []CoverageRow
}

// CoverageRow is one tag.
type CoverageRow struct {
	Name  string
	Share []float64 // one per day, 0…1; not a number: nothing was expected
}

// fullShare is the share from which a cell counts as full, for the picture only.
const fullShare = 0.995

// Alt is the chart's message; without one, each tag's mean coverage.
func (c *Coverage) Alt() string {
	if c.Message != "" {
		return c.Message
	}
	var parts []string
	for _, r := range c.Rows {
		sum, n := 0.0, 0
		for _, v := range r.Share {
			if !math.IsNaN(v) {
				sum += v
				n++
			}
		}
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%s %.0f %%", r.Name, 100*sum/float64(n)))
		}
	}
	return fmt.Sprintf("%s: time covered by good readings: %s.", c.Title, list(parts))
}

func (c *Coverage) check() error {
	if len(c.Rows) == 0 {
		return errors.New("chart: the coverage chart has no tags")
	}
	n := len(c.Rows[0].Share)
	for _, r := range c.Rows {
		if len(r.Share) != n {
			return fmt.Errorf("chart: coverage of %q has %d days, of %q %d", c.Rows[0].Name, n, r.Name, len(r.Share))
		}
		for _, v := range r.Share {
			if v < 0 || v > 1.0001 {
				return fmt.Errorf("chart: coverage of %q is %g: it must lie between 0 and 1", r.Name, v)
			}
		}
	}
	return checkDays(n)
}

const coverRow = 22.0

func (c *Coverage) names() (left float64) {
	for _, r := range c.Rows {
		left = math.Max(left, bodyText.width(r.Name))
	}
	return math.Min(left, 190) + edge + 10
}

func (c *Coverage) height() float64 {
	return headHeight(c.Title) + headLine + 6 + coverRow*float64(len(c.Rows)) + dayAxisRoom + 8
}

func (c *Coverage) draw(s *sheet) {
	y := s.head(c.Title)
	left := c.names()
	a := dayAxis{first: civil(c.First), n: len(c.Rows[0].Share), x0: left, x1: Width - edge - 52}
	c.drawKey(s, a.x0, y+headLine/2)
	s.text(noteText, Width-edge, y+headLine/2, atRight, "mean")
	y += headLine + 6
	top := y
	for _, r := range c.Rows {
		s.text(bodyText, left-8, y+coverRow/2, atRight, bodyText.fit(r.Name, left-edge-8))
		sum, n := 0.0, 0
		for i, v := range r.Share {
			if !math.IsNaN(v) {
				sum += v
				n++
			}
			s.coverCell(v, box{a.left(i), y + 2, a.left(i + 1), y + coverRow - 2}, a.cell() >= 5)
		}
		mean := "–"
		if n > 0 {
			mean = percent(sum / float64(n))
		}
		s.text(bodyText, Width-edge, y+coverRow/2, atRight, mean)
		y += coverRow
	}
	a.monthLines(s, top, y)
	s.line(pen{softInk, 1, nil}, xy{a.x0, y}, xy{a.x1, y})
	a.draw(s, y)
}

// percent writes a share so that only a whole is 100 % and only nothing is 0 %.
func percent(v float64) string {
	p := 100 * v
	switch {
	case p > 99 && p < 100:
		return fmt.Sprintf("%.1f %%", math.Floor(p*10)/10)
	case p > 0 && p < 1:
		return fmt.Sprintf("%.1f %%", math.Ceil(p*10)/10)
	}
	return fmt.Sprintf("%.0f %%", p)
}

func (s *sheet) coverCell(v float64, b box, apart bool) {
	if apart {
		b.x0 += 0.7
		b.x1 -= 0.7
	}
	switch {
	case math.IsNaN(v):
	case v <= 0:
		s.rect(white, b)
		s.frame(pen{red, 1, nil}, b)
		s.line(pen{red, 1.2, nil}, xy{b.x0, b.y1}, xy{b.x1, b.y0})
	case v >= fullShare:
		s.rect(blue, b)
	default:
		s.rect(withAlpha(sky, 0.25), b)
		s.rect(blue, box{b.x0, b.y1 - b.h()*v, b.x1, b.y1})
		s.line(pen{withAlpha(blue, 0.5), 0.6, nil}, xy{b.x0, b.y0}, xy{b.x1, b.y0})
	}
}

func (c *Coverage) drawKey(s *sheet, x, y float64) {
	for _, k := range []struct {
		v    float64
		text string
	}{{1, "whole day covered"}, {0.4, "part of it"}, {0, "none"}, {math.NaN(), "blank: none expected"}} {
		if !math.IsNaN(k.v) {
			s.coverCell(k.v, box{x, y - 7, x + 16, y + 7}, true)
			x += 21
		}
		s.text(bodyText, x, y, atLeft, k.text)
		x += bodyText.width(k.text) + 16
	}
}
