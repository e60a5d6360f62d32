package chart

import (
	"math"
	"sort"
	"strings"
)

// The room around the panels, px.
const (
	leftRoom   = 86.0 // value ticks and unit
	edge       = 14.0
	laneHeight = 19.0
	panelGap   = 11.0
)

// timelinePlan is where everything of a Timeline goes, worked out before a
// line is drawn, because the height of the sheet depends on it.
type timelinePlan struct {
	title  []string
	marks  []Mark
	x0, x1 float64 // the data area from left to right
	lanes  []laneItem
	nLanes int
	top    float64 // where the lanes start
	panels []panelPlan
	axis   *clockAxis
	foot   float64 // the lower edge of the last panel
	note   []string
	cuts   []int64 // of the days or months that a long timeline is drawn by
	height float64
}

// laneItem is a name above the panels: a bar for a span, a flag for a mark.
type laneItem struct {
	lane   int
	x0, x1 float64 // the bar; equal for a mark
	tx     float64 // the text's left end
	text   string
	strong bool
}

func (c *Timeline) plan() *timelinePlan {
	p := &timelinePlan{marks: c.Marks, x0: leftRoom, title: titleText.wrap(c.Title, Width-2*edge)}
	right := edge
	for i := range c.Panels {
		for _, l := range c.Panels[i].Limits {
			for _, t := range limitLabel(l, c.Panels[i].Unit) {
				right = math.Max(right, boldText.width(t)+18)
			}
		}
	}
	p.x1 = Width - right
	p.axis = newClockAxis(c.Start, c.End, c.Zone, p.x1-p.x0)
	p.top = edge + float64(len(p.title))*titleText.line() + 4
	p.lay(c)
	y := p.top + float64(p.nLanes)*laneHeight
	for i := range c.Panels {
		pp := c.Panels[i].plan(y, p.x0, p.x1, c.Start, c.End, len(c.Panels))
		p.panels = append(p.panels, pp)
		y = pp.data.y1 + panelGap
	}
	p.foot = y - panelGap
	y = p.foot + 24 + tickText.line()*2 + 4
	note := c.Note
	if p.cuts = c.cuts(); p.cuts != nil {
		by := "day"
		if c.End-c.Start > monthsFrom {
			by = "month"
		}
		note = strings.TrimSpace(note + " Each " + by + "'s mean, and pale its lowest to highest.")
	}
	if note != "" {
		p.note = noteText.wrap(note, Width-2*edge)
		y += float64(len(p.note))*noteText.line() + 4
	}
	p.height = math.Ceil(y + 6)
	return p
}

// at is where a moment lies.
func (p *timelinePlan) at(ms int64) float64 {
	return p.x0 + (p.x1-p.x0)*float64(ms-p.axis.start)/float64(p.axis.end-p.axis.start)
}

func (p *timelinePlan) within(ms int64) int64 {
	return min(max(ms, p.axis.start), p.axis.end)
}

// lay gives every span and mark a lane of its own where names would meet.
func (p *timelinePlan) lay(c *Timeline) {
	for _, sp := range c.Spans {
		if sp.To < c.Start || sp.From > c.End || sp.Name == "" {
			continue
		}
		p.lanes = append(p.lanes, laneItem{x0: p.at(p.within(sp.From)), x1: p.at(p.within(sp.To)), text: sp.Name})
	}
	for _, m := range c.Marks {
		if m.At < c.Start || m.At > c.End || m.Name == "" {
			continue
		}
		x := p.at(m.At)
		p.lanes = append(p.lanes, laneItem{x0: x, x1: x, text: m.Name, strong: m.First})
	}
	sort.SliceStable(p.lanes, func(i, j int) bool { return p.lanes[i].x0 < p.lanes[j].x0 })
	var taken [][]extent // per lane
	for i := range p.lanes {
		it := &p.lanes[i]
		let := it.lettering()
		it.text = let.fit(it.text, p.x1-p.x0-12)
		w := let.width(it.text)
		it.tx = it.x0 + 6
		if it.x1-it.x0 >= w+12 { // inside of the bar
			it.tx = (it.x0+it.x1)/2 - w/2
		} else if it.x1 > it.x0 { // after the bar
			it.tx = it.x1 + 5
		}
		if it.tx+w > Width-4 {
			it.tx = it.x0 - 6 - w
		}
		if it.tx < 4 {
			it.tx = math.Max(4, Width-4-w)
			it.tx = math.Min(it.tx, math.Max(4, it.x0-w/2))
		}
		lo, hi := math.Min(it.x0, it.tx)-4, math.Max(it.x1, it.tx+w)+6
		it.lane = 0
		for ; it.lane < len(taken); it.lane++ {
			free := true
			for _, e := range taken[it.lane] {
				if lo < e.hi && hi > e.lo {
					free = false
					break
				}
			}
			if free {
				break
			}
		}
		if it.lane == len(taken) {
			taken = append(taken, nil)
		}
		taken[it.lane] = append(taken[it.lane], extent{lo, hi})
	}
	p.nLanes = len(taken)
}

func (it *laneItem) lettering() lettering {
	if it.strong {
		return boldText
	}
	return bodyText
}

func (c *Timeline) height() float64 { return c.plan().height }

func (c *Timeline) draw(s *sheet) {
	p := c.plan()
	for i, t := range p.title {
		s.text(titleText, edge, edge+titleText.line()*(float64(i)+0.5), atLeft, t)
	}
	for i := range c.Panels {
		pp := &p.panels[i]
		for _, e := range p.shaded(c.Spans) {
			s.rect(withAlpha(orange, 0.22), box{e.lo, pp.data.y0, e.hi, pp.data.y1})
		}
		c.Panels[i].condensed(c.Start, p.cuts).draw(s, p, pp)
	}
	c.drawLanes(s, p)
	p.drawClock(s)
	for i, t := range p.note {
		s.text(noteText, edge, p.height-6-noteText.line()*(float64(len(p.note)-i)-0.5), atLeft, t)
	}
}

// shaded is where spans lie, each place once, so that overlapping episodes look
// no graver than one.
func (p *timelinePlan) shaded(spans []Span) []extent {
	var out []extent
	for _, sp := range spans {
		if sp.To >= p.axis.start && sp.From <= p.axis.end {
			x := p.at(p.within(sp.From))
			out = append(out, extent{x, math.Max(p.at(p.within(sp.To)), x+1.5)})
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].lo < out[j].lo })
	n := 0
	for _, e := range out {
		if n > 0 && e.lo <= out[n-1].hi {
			out[n-1].hi = math.Max(out[n-1].hi, e.hi)
			continue
		}
		out[n] = e
		n++
	}
	return out[:n]
}

func markPen(first bool) pen {
	if first {
		return pen{ink, 1.8, nil}
	}
	return pen{ink, 1.2, dashMark}
}

func (c *Timeline) drawLanes(s *sheet, p *timelinePlan) {
	bottom := p.top + float64(p.nLanes)*laneHeight
	for _, it := range p.lanes {
		y := p.top + (float64(it.lane)+0.5)*laneHeight - 1
		if it.x1 > it.x0 {
			b := box{it.x0, y - 8, math.Max(it.x1, it.x0+2), y + 8}
			s.rect(withAlpha(orange, 0.30), b)
			s.frame(pen{withAlpha(orange, 1), 1, nil}, b)
		} else {
			s.marker(MarkDown, it.x0, y, 4, ink, false)
			if it.lane < p.nLanes-1 {
				s.line(pen{softInk, 0.7, nil}, xy{it.x0, y + 5}, xy{it.x0, bottom})
			}
		}
	}
	for _, it := range p.lanes {
		y := p.top + (float64(it.lane)+0.5)*laneHeight - 1
		s.text(it.lettering(), it.tx, y, atLeft, it.text)
	}
}

// drawClock draws the time axis under the last panel.
func (p *timelinePlan) drawClock(s *sheet) {
	y := p.foot
	for _, t := range p.axis.minor {
		s.line(pen{softInk, 1, nil}, xy{p.at(t), y}, xy{p.at(t), y + 4})
	}
	y += 5 + tickText.line()/2
	last := math.Inf(-1)
	for _, l := range p.axis.labels {
		w := tickText.width(l.text)
		x := (p.at(l.from) + p.at(l.to)) / 2
		if l.text == "" || x-w/2 < last+3 || x+w/2 > Width-1 {
			continue
		}
		s.text(tickText, x, y, atCentre, l.text)
		last = x + w/2
	}
	y += tickText.line() + 1
	for i, l := range p.axis.below {
		if i > 0 {
			s.line(pen{softInk, 1, nil}, xy{p.at(l.from), y - tickText.line()/2}, xy{p.at(l.from), y + tickText.line()/2})
		}
		s.text(boldText, (p.at(l.from)+p.at(l.to))/2, y, atCentre, l.text)
	}
	if len(p.axis.below) > 0 {
		y += tickText.line() + 1
	}
	s.text(noteText, (p.x0+p.x1)/2, y, atCentre, p.axis.title)
}
