package chart

import (
	"math"
	"sort"
)

// panelPlan is where a panel's parts go.
type panelPlan struct {
	head   box // name and legend
	data   box
	legend []legendItem
	y      axis1
	cut    int // readings beyond the axis
	empty  bool
}

const (
	panelHeight = 92.0
	headLine    = 18.0
)

// stackHeight is what the data areas of all panels share, so that a stack of many
// still prints on one page at a size that can be read; none is below leastHeight.
const (
	stackHeight = 450.0
	leastHeight = 46.0
)

func (p *Panel) plan(top, x0, x1 float64, from, to int64, panels int) panelPlan {
	pp := panelPlan{}
	h := p.Height
	if h == 0 {
		h = panelHeight
	}
	h = math.Min(h, math.Max(stackHeight/float64(panels), leastHeight))
	h = math.Max(h, labelHeight(p.Limits, p.Unit))
	pp.y, pp.cut = p.axis(h, from, to)
	pp.empty = p.nothing(from, to)
	items := p.legend()
	if pp.cut > 0 {
		items = append(items, legendItem{text: number(float64(pp.cut), 0) + " readings off the scale"})
	}
	name := panelText.fit(p.Name, Width-edge-x0)
	var lines int
	pp.legend, lines = layLegend(items, x0+panelText.width(name)+18, x0, Width-edge)
	pp.head = box{x0, top, x1, top + float64(lines)*headLine + 2}
	pp.data = box{x0, pp.head.y1, x1, pp.head.y1 + h}
	return pp
}

// axis finds the value axis for what lies between two moments, and how many
// readings a fixed one cuts off.
func (p *Panel) axis(h float64, from, to int64) (axis1, int) {
	want := int(math.Max(2, h/30))
	if p.Keep != [2]float64{} {
		n := 0
		for _, vs := range p.readings(from, to) {
			for _, v := range vs {
				if v < p.Keep[0] || v > p.Keep[1] {
					n++
				}
			}
		}
		e := extent{p.Keep[0], p.Keep[1]}
		if p.Log {
			return logarithmic(e), n
		}
		return linear(e, want, true), n
	}
	all := append(p.readings(from, to), p.Include)
	for _, b := range p.Bands {
		i, j := window(b.T, from, to)
		all = append(all, b.Lo[i:j], b.Hi[i:j])
	}
	for _, l := range p.Limits {
		if len(l.T) > 0 {
			i, j := window(l.T, from, to)
			all = append(all, l.Y[max(i-1, 0):j]) // the one before still holds at the start
		} else {
			all = append(all, []float64{l.Value})
		}
	}
	e := noExtent()
	cut := 0
	if span, ok := unsqueezed(p.readings(from, to), squeezeShare, squeezeTimes, squeezeLeast); ok && !p.Log {
		for i, vs := range all {
			for _, v := range vs {
				if i < len(p.Series) && (v < span.lo || v > span.hi) {
					cut++
					continue
				}
				e.add(v)
			}
		}
	} else {
		for _, vs := range all {
			for _, v := range vs {
				if !p.Log || v > 0 {
					e.add(v)
				}
			}
		}
	}
	if p.Log {
		return logarithmic(e), 0
	}
	for _, s := range p.Series {
		if s.Form == Bars {
			e.add(0)
		}
	}
	return linear(e, want, false), cut
}

// nothing says that no reading lies between two moments.
func (p *Panel) nothing(from, to int64) bool {
	for _, vs := range p.readings(from, to) {
		for _, v := range vs {
			if !math.IsNaN(v) && !math.IsInf(v, 0) {
				return false
			}
		}
	}
	return true
}

// readings are the values of all series and points between two moments.
func (p *Panel) readings(from, to int64) [][]float64 {
	var out [][]float64
	for _, s := range p.Series {
		i, j := window(s.T, from, to)
		out = append(out, s.Y[i:j])
	}
	for _, g := range p.Points {
		i, j := window(g.T, from, to)
		out = append(out, g.Y[i:j])
	}
	return out
}

// window finds the times t[i:j] that lie from one moment to another, both ends
// included.
func window(t []int64, from, to int64) (i, j int) {
	i = sort.Search(len(t), func(k int) bool { return t[k] >= from })
	j = sort.Search(len(t), func(k int) bool { return t[k] > to })
	return i, max(i, j)
}

// around widens a window by a reading on each side, so that a line reaches the
// edge of the picture.
func around(t []int64, from, to int64) (i, j int) {
	i, j = window(t, from, to)
	return max(i-1, 0), min(j+1, len(t))
}

func (p *Panel) legend() []legendItem {
	var out []legendItem
	colours := p.colours()
	for i, s := range p.Series {
		if s.Name == "" {
			continue
		}
		out = append(out, legendItem{text: s.Name, kind: swatchLine, look: lookAt(colours[i]), plain: i == 0, faint: s.Faint, bars: s.Form == Bars})
	}
	for _, b := range p.Bands {
		if b.Name != "" {
			out = append(out, legendItem{text: b.Name, kind: swatchBand})
		}
	}
	for i, g := range p.Points {
		if g.Name != "" {
			kind := swatchPoint
			if i > 0 {
				kind = swatchOpen // as they are drawn
			}
			out = append(out, legendItem{text: g.Name, kind: kind, look: look{col: black, mark: pointMark(g.Marker, i)}})
		}
	}
	seen := map[string]int{}
	for _, sp := range p.Marked {
		if _, ok := seen[sp.Name]; sp.Name != "" && !ok {
			seen[sp.Name] = len(seen)
			out = append(out, legendItem{text: sp.Name, kind: swatchHatch, n: seen[sp.Name]})
		}
	}
	return out
}

func pointMark(m Marker, i int) Marker {
	if m != MarkAuto {
		return m
	}
	return []Marker{MarkDiamond, MarkSquare, MarkTriangle, MarkCircle}[i%4]
}

func (p *Panel) draw(s *sheet, tp *timelinePlan, pp *panelPlan) {
	b := pp.data
	fy := func(v float64) float64 { return b.y1 - b.h()*pp.y.at(v) }
	if pp.empty { // an axis would be made up
		s.text(bodyText, (b.x0+b.x1)/2, (b.y0+b.y1)/2, atCentre, "no readings in this time")
		s.frame(pen{softInk, 1, nil}, b)
		s.text(panelText, b.x0, pp.head.y0+headLine/2, atLeft, panelText.fit(p.Name, Width-edge-b.x0))
		return
	}
	s.grid(pp.y, b, fy)
	for _, t := range tp.axis.grid {
		s.line(pen{gridInk, 1, nil}, xy{tp.at(t), b.y0}, xy{tp.at(t), b.y1})
	}
	for _, m := range tp.marks { // behind the data: the moment they point at must be seen
		if m.At >= tp.axis.start && m.At <= tp.axis.end {
			s.line(markPen(m.First), xy{tp.at(m.At), b.y0}, xy{tp.at(m.At), b.y1})
		}
	}
	for _, band := range p.Bands {
		band.draw(s, tp, b, fy)
	}
	kinds := map[string]int{}
	for _, sp := range p.Marked {
		if _, ok := kinds[sp.Name]; !ok {
			kinds[sp.Name] = len(kinds)
		}
		if sp.To < tp.axis.start || sp.From > tp.axis.end {
			continue
		}
		hb := box{tp.at(tp.within(sp.From)), b.y0, tp.at(tp.within(sp.To)), b.y1}
		hb.x1 = math.Max(hb.x1, hb.x0+2)
		s.hatchKind(kinds[sp.Name], hb)
	}
	colours := p.colours()
	for _, faint := range []bool{true, false} { // what is background goes behind
		for i, sr := range p.Series {
			if sr.Faint == faint {
				sr.draw(s, tp, b, fy, lookAt(colours[i]), i)
			}
		}
	}
	p.drawLimits(s, tp, b, fy)
	for i, g := range p.Points {
		r := math.Min(4, math.Max(2.2, 0.4*b.w()/float64(len(g.Y)+1))) // many grabs must not bury the line
		for k, v := range g.Y {
			if q := (xy{tp.at(g.T[k]), fy(v)}); b.inset(-1).holds(q) {
				s.marker(pointMark(g.Marker, i), q.x, q.y, r, black, i > 0)
			}
		}
	}
	s.frame(pen{softInk, 1, nil}, b)
	s.valueAxis(pp.y, b, fy, Axis{Unit: p.Unit})
	s.text(panelText, b.x0, pp.head.y0+headLine/2, atLeft, panelText.fit(p.Name, Width-edge-b.x0))
	s.legend(pp.legend, pp.head.y0)
}

// hatchKind hatches a box in the n-th way.
func (s *sheet) hatchKind(n int, b box) {
	lean, step := 1.0, 6.0
	if n%2 == 1 {
		lean = -1
	}
	if n >= 2 {
		step = 10
	}
	s.rect(withAlpha(hatchInk, 0.12), b)
	s.hatch(pen{hatchInk, 0.9, nil}, b, step, lean)
	s.line(pen{hatchInk, 1, nil}, xy{b.x0, b.y0}, xy{b.x0, b.y1})
	s.line(pen{hatchInk, 1, nil}, xy{b.x1, b.y0}, xy{b.x1, b.y1})
}
