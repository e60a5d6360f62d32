package chart

import (
	"fmt"
	"math"
)

// panelPlan is where a panel's parts go.
type panelPlan struct {
	head   box // name and legend
	data   box
	legend []legendItem
	y      axis1
	cut    int // readings beyond a fixed axis
}

const (
	panelHeight = 92.0
	headLine    = 18.0
)

func (p *Panel) plan(top, x0, x1 float64) panelPlan {
	pp := panelPlan{}
	h := p.Height
	if h == 0 {
		h = panelHeight
	}
	h = math.Max(h, labelHeight(p.Limits, p.Unit))
	pp.y, pp.cut = p.axis(h)
	items := p.legend()
	if pp.cut > 0 {
		items = append(items, legendItem{text: fmt.Sprintf("%d readings off the scale", pp.cut)})
	}
	name := panelText.fit(p.Name, Width-edge-x0)
	var lines int
	pp.legend, lines = layLegend(items, x0+panelText.width(name)+18, x0, Width-edge)
	pp.head = box{x0, top, x1, top + float64(lines)*headLine + 2}
	pp.data = box{x0, pp.head.y1, x1, pp.head.y1 + h}
	return pp
}

// axis finds the value axis, and how many readings a fixed one cuts off.
func (p *Panel) axis(h float64) (axis1, int) {
	e := noExtent()
	for _, s := range p.Series {
		e.add(s.Y...)
		if s.Form == Bars && !p.Log {
			e.add(0)
		}
	}
	for _, b := range p.Bands {
		e.add(b.Lo...)
		e.add(b.Hi...)
	}
	for _, g := range p.Points {
		e.add(g.Y...)
	}
	for _, l := range p.Limits {
		if len(l.T) > 0 {
			e.add(l.Y...)
		} else {
			e.add(l.Value)
		}
	}
	e.add(p.Include...)
	want := int(math.Max(2, h/30))
	if p.Keep != [2]float64{} {
		n := 0
		out := func(vs []float64) {
			for _, v := range vs {
				if v < p.Keep[0] || v > p.Keep[1] {
					n++
				}
			}
		}
		for _, s := range p.Series {
			out(s.Y)
		}
		for _, g := range p.Points {
			out(g.Y)
		}
		e = extent{p.Keep[0], p.Keep[1]}
		if p.Log {
			return logarithmic(e), n
		}
		return linear(e, want, true), n
	}
	if p.Log {
		pos := noExtent()
		keep := func(vs []float64) {
			for _, v := range vs {
				if v > 0 {
					pos.add(v)
				}
			}
		}
		for _, s := range p.Series {
			keep(s.Y)
		}
		for _, g := range p.Points {
			keep(g.Y)
		}
		for _, b := range p.Bands {
			keep(b.Lo)
			keep(b.Hi)
		}
		for _, l := range p.Limits {
			if len(l.T) > 0 {
				keep(l.Y)
			} else {
				keep([]float64{l.Value})
			}
		}
		keep(p.Include)
		return logarithmic(pos), 0
	}
	return linear(e, want, false), 0
}

func (p *Panel) legend() []legendItem {
	var out []legendItem
	for i, s := range p.Series {
		if s.Name == "" {
			continue
		}
		out = append(out, legendItem{text: s.Name, kind: swatchLine, look: lookAt(i), plain: i == 0, faint: s.Faint, bars: s.Form == Bars})
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
	for _, faint := range []bool{true, false} { // what is background goes behind
		for i, sr := range p.Series {
			if sr.Faint == faint {
				sr.draw(s, tp, b, fy, lookAt(i), i)
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

func (bd *Band) draw(s *sheet, tp *timelinePlan, b box, fy func(float64) float64) {
	// A gap in either edge is a gap in both.
	lo, hi := make([]float64, len(bd.T)), make([]float64, len(bd.T))
	for i := range bd.T {
		lo[i], hi[i] = bd.Lo[i]+0*bd.Hi[i], bd.Hi[i]+0*bd.Lo[i]
	}
	clamp := func(v float64) float64 { return math.Min(math.Max(fy(v), b.y0), b.y1) }
	los, his := runs(bd.T, lo, bd.MaxGap, tp.at, clamp), runs(bd.T, hi, bd.MaxGap, tp.at, clamp)
	for i := range los {
		s.band(thin(his[i], 1), thin(los[i], 1), b)
	}
}

// band draws a range between two lines, cut to a box.
func (s *sheet) band(up, down []xy, b box) {
	var shape []xy
	for _, q := range up {
		shape = append(shape, b.hold(q))
	}
	for i := len(down) - 1; i >= 0; i-- {
		shape = append(shape, b.hold(down[i]))
	}
	s.fill(withAlpha(sky, 0.35), shape)
	s.clipped(pen{withAlpha(blue, 0.55), 0.6, nil}, up, b)
	s.clipped(pen{withAlpha(blue, 0.55), 0.6, nil}, down, b)
}

func (sr *Series) draw(s *sheet, tp *timelinePlan, b box, fy func(float64) float64, lk look, order int) {
	p := pen{lk.col, 1.5, nil}
	if sr.Faint {
		p = pen{withAlpha(lk.col, 0.45), 0.9, nil}
	}
	hold := 0.0
	if sr.Width > 0 {
		hold = float64(sr.Width) / float64(tp.axis.end-tp.axis.start) * (tp.x1 - tp.x0)
	}
	next := 25 + 23*float64(order) + b.x0 // where the next marker on the line goes
	for _, run := range runs(sr.T, sr.Y, sr.MaxGap, tp.at, fy) {
		switch sr.Form {
		case Bars:
			sr.drawBars(s, run, hold, b, fy, lk)
			continue
		case Step:
			run = steps(run, hold)
		}
		s.clipped(p, thin(run, 0.5), b)
		if order == 0 || sr.Faint {
			continue
		}
		for _, q := range run {
			if q.x >= next && b.holds(q) {
				s.marker(lk.mark, q.x, q.y, 3.4, lk.col, true)
				next = q.x + 62
			}
		}
	}
}

func (sr *Series) drawBars(s *sheet, run []xy, hold float64, b box, fy func(float64) float64, lk look) {
	zero := math.Min(math.Max(fy(0), b.y0), b.y1)
	if math.IsNaN(zero) {
		zero = b.y1
	}
	w := hold
	if w == 0 && len(run) > 1 {
		w = run[1].x - run[0].x
	}
	w = math.Max(w, 1)
	for _, q := range run {
		x0, x1 := math.Max(q.x, b.x0), math.Min(q.x+w*0.85, b.x1)
		if x1 <= x0 {
			continue
		}
		y := math.Min(math.Max(q.y, b.y0), b.y1)
		s.rect(withAlpha(lk.col, 0.85), box{x0, math.Min(y, zero), x1, math.Max(y, zero)})
	}
}
