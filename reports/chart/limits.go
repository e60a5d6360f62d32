package chart

import (
	"image/color"
	"math"
	"sort"
)

// limitInk is the colour of limits, and of nothing else.
var limitInk = color.NRGBA{0xa0, 0x00, 0x3c, 0xff}

var limitPen = pen{limitInk, 1.6, dashLimit}

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

// How far the names of limits may pass the data area's upper and lower edge, px.
const (
	labelAbove = 4.0
	labelBelow = 8.0
)

// labelHeight is the height that a data area needs for the names of its limits
// to stand beside it.
func labelHeight(limits []Limit, unit string) float64 {
	h := 0.0
	for _, l := range limits {
		h += float64(len(limitLabel(l, unit)))*boldText.line() + 1
	}
	return h - labelAbove - labelBelow
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
	spread(ls, b.y0-labelAbove, b.y1+labelBelow)
	for _, l := range ls {
		s.line(pen{limitInk, 1, nil}, xy{b.x1, l.y}, xy{b.x1 + 8, l.at})
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

// uprightLimits draws limits on a horizontal value axis: each name has a row of
// its own from top down, above the data area, and its line hangs from it unless
// a lower name stands in the way.
func (s *sheet) uprightLimits(limits []Limit, unit string, top float64, b box, fx func(float64) float64) {
	type place struct {
		text      string
		x, y      float64
		left, end float64 // of the text
	}
	var ps []place
	for i, l := range limits {
		value := short(l.Value)
		if unit != "" {
			value += " " + unit
		}
		p := place{x: b.hold(xy{fx(l.Value), b.y0}).x, y: top + headLine*(float64(i)+0.5)}
		p.text = boldText.fit(l.Name, Width-2*edge-boldText.width(" "+value)) + " " + value
		w := boldText.width(p.text)
		p.left = math.Min(math.Max(p.x-w/2, edge), Width-edge-w)
		p.end = p.left + w
		ps = append(ps, p)
	}
	for i, p := range ps {
		from := p.y + 8
		for _, q := range ps[i+1:] {
			if p.x > q.left-4 && p.x < q.end+4 {
				from = b.y0
			}
		}
		s.line(limitPen, xy{p.x, from}, xy{p.x, b.y1})
		s.text(boldText, p.left, p.y, atLeft, p.text)
	}
}
