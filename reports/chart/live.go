package chart

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"time"
)

// Live is the timeline's data as JSON, for a page that draws it so that values
// can be read off it: minutes for days, hours with least and most for months,
// days for years. reports/page/timeline.js tells what each name means.
func (c *Timeline) Live() ([]byte, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	step := liveStep(c.End - c.Start)
	out := liveChart{Title: c.Title, Start: c.Start, End: c.End, Note: c.Note, Clock: clockChanges(c.Start, c.End, c.Zone)}
	for i := range c.Panels {
		out.Panels = append(out.Panels, c.Panels[i].live(c.Start, c.End, step))
	}
	for _, s := range c.Spans {
		out.Spans = append(out.Spans, liveSpan(s))
	}
	for _, m := range c.Marks {
		out.Marks = append(out.Marks, liveMark(m))
	}
	return json.Marshal(out)
}

// liveStep is what one drawn value stands for: enough for what a screen shows,
// and small enough for a file that is mailed.
func liveStep(span int64) int64 {
	switch {
	case span <= 3*dayMs:
		return minuteMs
	case span <= 14*dayMs:
		return 5 * minuteMs
	case span <= 400*dayMs:
		return hourMs
	}
	return dayMs
}

// liveParts is into how many parts the highest value of a series is told apart at
// the least.
const liveParts = 200

type liveChart struct {
	Title  string      `json:"title"`
	Start  int64       `json:"start"`
	End    int64       `json:"end"`
	Clock  []liveClock `json:"clock"`
	Panels []livePanel `json:"panels"`
	Spans  []liveSpan  `json:"spans,omitempty"`
	Marks  []liveMark  `json:"marks,omitempty"`
	Note   string      `json:"note,omitempty"`
}

// liveClock says which offset the plant's clock has from a moment on.
type liveClock struct {
	From   int64  `json:"from"`
	Offset int64  `json:"offset"` // ms to add to UTC
	Name   string `json:"name"`
}

type liveSpan struct {
	From int64  `json:"from"`
	To   int64  `json:"to"`
	Name string `json:"name"`
}

type liveMark struct {
	At    int64  `json:"at"`
	Name  string `json:"name"`
	First bool   `json:"first,omitempty"`
}

type livePanel struct {
	Name   string       `json:"name"`
	Unit   string       `json:"unit"`
	Log    bool         `json:"log,omitempty"`
	Keep   *[2]float64  `json:"keep,omitempty"`
	Whole  *[2]float64  `json:"whole,omitempty"` // the axis while all of the time is shown: outliers would squeeze the rest
	Reach  []float64    `json:"reach,omitempty"` // values that the axis must reach
	Series []liveSeries `json:"series,omitempty"`
	Bands  []liveSeries `json:"bands,omitempty"`
	Limits []liveLimit  `json:"limits,omitempty"`
	Points []livePoints `json:"points,omitempty"`
	Marked []liveSpan   `json:"marked,omitempty"`
}

// liveSeries is evenly spaced values: whole numbers to be divided by ten to the
// power of Tens, each written as the difference from the one before; nothing
// between two commas is a gap.
type liveSeries struct {
	Name   string `json:"name"`
	Key    string `json:"key,omitempty"`
	Colour int    `json:"colour"`
	Steps  bool   `json:"steps,omitempty"`
	Bars   bool   `json:"bars,omitempty"`
	Faint  bool   `json:"faint,omitempty"`
	At     int64  `json:"at"`
	Step   int64  `json:"step"`
	Tens   int    `json:"tens"`
	Mean   string `json:"mean,omitempty"`
	Low    string `json:"low,omitempty"` // of the step; absent where a step is one reading
	High   string `json:"high,omitempty"`
}

type liveLimit struct {
	Name  string    `json:"name"`
	Value float64   `json:"value"`
	T     []int64   `json:"t,omitempty"`
	Y     []float64 `json:"y,omitempty"`
}

type livePoints struct {
	Name string    `json:"name"`
	T    []int64   `json:"t"`
	Y    []float64 `json:"y"`
}

func (p *Panel) live(from, to, step int64) livePanel {
	out := livePanel{Name: p.Name, Unit: p.Unit, Log: p.Log, Reach: p.Include}
	if p.Keep != [2]float64{} {
		out.Keep = &p.Keep
	}
	if a, cut := p.axis(panelHeight, from, to); cut > 0 && out.Keep == nil {
		out.Whole = &[2]float64{a.lo, a.hi}
	}
	colours := p.colours()
	for i, s := range p.Series {
		t, y, step := s.T, s.Y, step
		if s.Form != Line {
			if len(t) > 1 && t[1]-t[0] > 2*dayMs {
				step = dayMs // months: a step a pixel shows where they end
			}
			t, y = s.held(from, to, step)
		}
		l := liveValues(t, [][]float64{y}, from, to, step)
		l.Name, l.Key, l.Colour, l.Steps, l.Bars, l.Faint = s.Name, s.Key, colours[i], s.Form == Step, s.Form == Bars, s.Faint
		out.Series = append(out.Series, l)
	}
	for _, b := range p.Bands {
		l := liveValues(b.T, [][]float64{b.Lo, b.Hi}, from, to, step)
		l.Name = b.Name
		out.Bands = append(out.Bands, l)
	}
	for _, l := range p.Limits {
		v := l.Value
		if len(l.T) > 0 {
			v = 0
		}
		out.Limits = append(out.Limits, liveLimit{l.Name, v, l.T, l.Y})
	}
	for _, g := range p.Points {
		i, j := window(g.T, from, to)
		pts := livePoints{Name: g.Name}
		for k := i; k < j; k++ {
			if v := g.Y[k]; !math.IsNaN(v) && !math.IsInf(v, 0) {
				pts.T, pts.Y = append(pts.T, g.T[k]), append(pts.Y, v)
			}
		}
		out.Points = append(out.Points, pts)
	}
	for _, s := range p.Marked {
		out.Marked = append(out.Marked, liveSpan(s))
	}
	return out
}

// held repeats each value of a series for every step that it stands for, since
// months are of several lengths.
func (sr *Series) held(from, to, step int64) (t []int64, y []float64) {
	i, j := around(sr.T, from, to)
	for k := i; k < j; k++ {
		end := to
		if sr.Width > 0 {
			end = sr.T[k] + sr.Width
		}
		if k+1 < len(sr.T) {
			end = min(end, sr.T[k+1])
		}
		for at := sr.T[k]; at < min(end, to); at += step {
			if at >= from {
				t, y = append(t, at), append(y, sr.Y[k])
			}
		}
	}
	return t, y
}

// liveValues condenses one column, or the lower and upper edge of a band, to one
// value a step; a step in which nothing is known is a gap.
func liveValues(t []int64, cols [][]float64, from, to, step int64) liveSeries {
	lo, hi := window(t, from, to)
	l := liveSeries{At: from, Step: step}
	if lo < hi {
		l.At = from + (t[lo]-from)/step*step
	}
	native := step
	for k := lo + 1; k < hi; k++ {
		native = min(native, t[k]-t[k-1])
	}
	n := int((to - l.At + step - 1) / step)
	sum, count := make([]float64, n), make([]float64, n)
	low, high := make([]float64, n), make([]float64, n)
	for i := range low {
		low[i], high[i] = math.Inf(1), math.Inf(-1)
	}
	for k := lo; k < hi; k++ {
		i := int((t[k] - l.At) / step)
		if i < 0 || i >= n {
			continue
		}
		v := cols[0][k]
		if math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		sum[i], count[i] = sum[i]+v, count[i]+1
		low[i] = math.Min(low[i], v)
		high[i] = math.Max(high[i], cols[len(cols)-1][k])
	}
	mean := make([]float64, n)
	top := 0.0
	for i := range mean {
		if count[i] == 0 {
			mean[i], low[i], high[i] = math.NaN(), math.NaN(), math.NaN()
			continue
		}
		mean[i] = sum[i] / count[i]
		top = math.Max(top, math.Max(math.Abs(low[i]), math.Abs(high[i])))
	}
	if top > 0 {
		l.Tens = min(max(int(math.Ceil(math.Log10(liveParts/top))), 0), 6)
	}
	if len(cols) == 1 {
		l.Mean = deltas(mean, l.Tens)
	}
	if len(cols) == 2 || native < step {
		l.Low, l.High = deltas(low, l.Tens), deltas(high, l.Tens)
	}
	return l
}

// deltas writes values as liveSeries says.
func deltas(v []float64, tens int) string {
	var b strings.Builder
	scale := math.Pow(10, float64(tens))
	last := int64(0)
	for i, x := range v {
		if i > 0 {
			b.WriteByte(',')
		}
		if math.IsNaN(x) || math.IsInf(x, 0) {
			continue
		}
		q := int64(math.Round(x * scale))
		b.WriteString(strconv.FormatInt(q-last, 10))
		last = q
	}
	return b.String()
}

// clockChanges lists the offsets of the plant's clock between two moments.
func clockChanges(from, to int64, zone *time.Location) []liveClock {
	var out []liveClock
	for at := time.UnixMilli(from).In(zone); ; {
		name, offset := at.Zone()
		out = append(out, liveClock{at.UnixMilli(), int64(offset) * 1000, name})
		_, end := at.ZoneBounds()
		if end.IsZero() || end.UnixMilli() > to {
			return out
		}
		at = end.In(zone)
	}
}
