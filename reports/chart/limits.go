package chart

import (
	"math"
	"sort"
)

var limitPen = pen{red, 1.6, dashLimit}

// limitLabel is what stands at the end of a limit's line: its name, and its
// value with the unit.
func limitLabel(l Limit, unit string) []string {
	lines := boldText.wrap(l.Name, 112)
	if len(l.T) == 0 {
		v := short(l.Value)
		if unit != "" {
			v += " " + unit
		}
		lines = append(lines, v)
	}
	return lines
}

// label is a text of some lines that belongs to a height on the right edge.
type label struct {
	lines []string
	y     float64 // where it belongs
	at    float64 // where it went
}

func (l *label) h() float64 { return float64(len(l.lines)) * boldText.line() }

// spread moves labels apart so that none covers another, as near to where they
// belong as it can, keeping between top and bottom while there is room.
func spread(ls []label, top, bottom float64) {
	sort.SliceStable(ls, func(i, j int) bool { return ls[i].y < ls[j].y })
	for i := range ls {
		ls[i].at = math.Min(math.Max(ls[i].y, top+ls[i].h()/2), bottom-ls[i].h()/2)
	}
	for round := 0; round < 50; round++ {
		moved := false
		for i := 1; i < len(ls); i++ {
			need := (ls[i-1].h()+ls[i].h())/2 + 1
			if d := need - (ls[i].at - ls[i-1].at); d > 0.01 {
				ls[i-1].at -= d / 2
				ls[i].at += d / 2
				moved = true
			}
		}
		if n := len(ls); n > 0 {
			if d := top + ls[0].h()/2 - ls[0].at; d > 0.01 {
				ls[0].at += d
				moved = true
			}
			if d := ls[n-1].at + ls[n-1].h()/2 - bottom; d > 0.01 {
				ls[n-1].at -= d
				moved = true
			}
		}
		if !moved {
			return
		}
	}
	// No room for all: hang them one under the other, from the top.
	y := top
	for i := range ls {
		ls[i].at = y + ls[i].h()/2
		y += ls[i].h() + 1
	}
}

// rightLabels writes labels right of a data area, with a lead to the height
// that each belongs to.
func (s *sheet) rightLabels(ls []label, b box) {
	spread(ls, b.y0-8, b.y1+8)
	for _, l := range ls {
		s.line(pen{red, 1, nil}, xy{b.x1, l.y}, xy{b.x1 + 8, l.at})
		for i, t := range l.lines {
			s.text(boldText, b.x1+11, l.at-l.h()/2+boldText.line()*(float64(i)+0.5), atLeft, t)
		}
	}
}

func (p *Panel) drawLimits(s *sheet, tp *timelinePlan, b box, fy func(float64) float64) {
	var ls []label
	for _, l := range p.Limits {
		y := fy(l.Value)
		if len(l.T) > 0 {
			y = b.y1
			for _, run := range runs(l.T, l.Y, 0, tp.at, fy) {
				run = steps(run, math.Max(0, b.x1-run[len(run)-1].x))
				s.clipped(limitPen, thin(run, 0.5), b)
				y = run[len(run)-1].y
			}
		} else {
			s.clipped(limitPen, []xy{{b.x0, y}, {b.x1, y}}, b)
		}
		if math.IsNaN(y) {
			continue
		}
		ls = append(ls, label{lines: limitLabel(l, p.Unit), y: math.Min(math.Max(y, b.y0), b.y1)})
	}
	s.rightLabels(ls, b)
}
