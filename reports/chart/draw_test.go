package chart

import (
	"bytes"
	"fmt"
	"image/color"
	"image/png"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestTidySeesTextOverText(t *testing.T) {
	// The check itself must be able to fail.
	d := &drawn{h: 100, texts: []drawnText{{"a", box{10, 10, 30, 20}}, {"b", box{29, 12, 50, 22}}}}
	a, b := d.texts[0].at, d.texts[1].at
	require.True(t, a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1)
	d = record(t, waterfall())
	require.NotEmpty(t, d.texts)
	for _, k := range d.texts {
		require.Positive(t, k.at.w(), k.text)
		require.Positive(t, k.at.h(), k.text)
	}
}

func TestNoTextRunsOverAnother(t *testing.T) {
	for name, c := range samples() {
		record(t, c).requireTidy(t, name)
	}
}

// crowded is everything that could collide, at once.
func crowded() map[string]Chart {
	start, end := at("2026-03-01 00:00"), at("2026-03-03 07:00")
	long := "a name that somebody wrote out in full because the plant has four of them in a row"
	tl := &Timeline{Title: strings.Repeat("A very long title that goes on ", 6), Zone: zone(), Start: start, End: end, Note: strings.Repeat("And a note. ", 40)}
	p := Panel{Name: long, Unit: "mg/L as Cl₂ at 20 °C"}
	for i := range 9 {
		p.Series = append(p.Series, Series{Name: fmt.Sprintf("series %d at sampling point %d", i, i), T: []int64{start, end}, Y: []float64{float64(i), float64(2 * i)}})
		p.Limits = append(p.Limits, Limit{Name: fmt.Sprintf("limit %d of the permit", i), Value: 3 + 0.01*float64(i)})
		tl.Marks = append(tl.Marks, Mark{At: start + int64(i)*7*minuteMs, Name: "mark " + long, First: i == 0}, Mark{At: end - int64(i)*minuteMs, Name: "late mark"})
		tl.Spans = append(tl.Spans, Span{start + int64(i)*hourMs, start + int64(i+3)*hourMs, "episode"}, Span{end - hourMs, end + hourMs, "runs over the end"})
	}
	p.Height = 330
	tl.Panels = []Panel{p, {Name: "tiny", Unit: "mV", Height: 50, Series: []Series{{T: []int64{start}, Y: []float64{123456.789}}}}, {Name: "empty", Unit: "MGD"}, p}
	m := monthly()
	m.Results = nil
	m.Name = long
	for i := range 7 {
		m.Limits = append(m.Limits, Limit{Name: long, Value: 100 + float64(i)})
	}
	one := &Monthly{Title: "one day", Name: "pH", Unit: "", First: day("2026-03-31"), Days: 1, Results: []Result{{Day: day("2026-03-31"), Value: 7.1}}}
	capacity := &Scatter{Title: "capacity", X: Axis{Name: "Flow", Unit: "MGD"}, Y: Axis{Name: "CT", Unit: "mg·min/L"}, Curves: []Curve{{Name: "at 1.5 mg/L", X: []float64{2, 4, 8}, Y: []float64{40, 20, 10}}},
		XLimits: []Limit{{Name: "CT stops", Value: 5.3}, {Name: "peak hour", Value: 5.6}, {Name: long, Value: 7.9}}, Limits: []Limit{{Name: "required", Value: 15}}, Note: long}
	year := dayHour("2025-11-20", "2026-11-10")
	cover := coverage(1)
	cover.Rows[0].Name = long
	w := waterfall()
	w.From.Name, w.Parts[0].Name, w.Parts[0].Note = long, long, long
	w.Limits = append(w.Limits, Limit{Name: "another one " + long, Value: 29})
	neg := &Waterfall{Title: "below nothing", Name: "change", Unit: "lb/d", From: Part{Name: "a", Value: -5}, To: Part{Name: "b", Value: -12000}, Parts: []Part{{Name: "x", Value: -11995}}}
	out := map[string]Chart{"timeline": tl, "monthly": m, "capacity": capacity, "one day": one, "year": year, "cover": cover, "waterfall": w, "negative": neg}
	for _, months := range []int{2, 3, 5, 8, 14, 30} {
		c := coverage(months * 30)
		out[fmt.Sprintf("coverage %d", months)] = c
	}
	for _, h := range []int64{1, 2, 3, 5, 8, 12, 18, 24, 36, 48, 72, 96, 150, 168, 240, 400, 744, 1000, 2000, 4000, 8784, 20000} {
		out[fmt.Sprintf("clock %d h", h)] = &Timeline{Title: "clock", Zone: zone(), Start: at("2026-03-06 21:47"), End: at("2026-03-06 21:47") + h*hourMs, Panels: []Panel{{Name: "x", Unit: "y"}}}
	}
	return out
}

func TestCrowdedChartsStayTidy(t *testing.T) {
	for name, c := range crowded() {
		record(t, c).requireTidy(t, name)
	}
}

// linesOf are the strokes of a colour and width.
func (d *drawn) linesOf(col color.NRGBA, width float64) []drawnLine {
	var out []drawnLine
	for _, l := range d.strokes {
		if l.col == color.Color(col) && l.width == width {
			out = append(out, l)
		}
	}
	return out
}

func TestGapIsDrawnAsGap(t *testing.T) {
	start := at("2026-03-02 00:00")
	nan := math.NaN()
	c := &Timeline{Title: "t", Zone: zone(), Start: start, End: start + 10*hourMs, Panels: []Panel{{Name: "p", Unit: "mV",
		Series: []Series{{T: Times(start, hourMs, 11), Y: []float64{1, 2, 3, nan, nan, 4, 5, 4, 3, 2, 1}}}}}}
	lines := record(t, c).linesOf(blue, 1.5)
	require.Len(t, lines, 2, "a value that is no number parts the line")
	require.Len(t, lines[0].pts, 3)
	require.Len(t, lines[1].pts, 6)
	gap := lines[1].pts[0].x - lines[0].pts[2].x
	require.InDelta(t, 3*(lines[0].pts[1].x-lines[0].pts[0].x), gap, 1e-6)

	s := &c.Panels[0].Series[0]
	s.Y = []float64{1, 2, 3, 4, 5, 6}
	s.T = []int64{start, start + hourMs, start + 2*hourMs, start + 6*hourMs, start + 7*hourMs, start + 8*hourMs}
	require.Len(t, record(t, c).linesOf(blue, 1.5), 1)
	s.MaxGap = 2 * hourMs
	require.Len(t, record(t, c).linesOf(blue, 1.5), 2, "readings too far apart are not joined")
}

func TestLonelyReadingIsSeen(t *testing.T) {
	start := at("2026-03-02 00:00")
	nan := math.NaN()
	c := &Timeline{Title: "t", Zone: zone(), Start: start, End: start + 4*hourMs, Panels: []Panel{{Name: "p", Unit: "mV",
		Series: []Series{{T: Times(start, hourMs, 5), Y: []float64{nan, nan, 7, nan, nan}}}}}}
	n := 0
	for _, f := range record(t, c).fills {
		if f.col == color.Color(blue) {
			n++
		}
	}
	require.Equal(t, 1, n)
}

func TestLimitIsDrawnAndNamedWithItsValueAndUnit(t *testing.T) {
	d := record(t, timeline("t", at("2026-03-18 00:00"), at("2026-03-20 00:00"), at("2026-03-19 04:10")))
	require.True(t, d.has("minimum"))
	require.True(t, d.has("0.5 mg/L"))
	require.True(t, d.has("required"))
	require.True(t, d.has("15 mg·min/L"))
	dashed := 0
	for _, l := range d.linesOf(limitInk, limitPen.width) {
		if l.dash > 0 {
			dashed++
		}
	}
	require.Equal(t, 2, dashed)
}

func TestEveryAxisHasItsUnit(t *testing.T) {
	d := record(t, timeline("t", at("2026-03-18 00:00"), at("2026-03-20 00:00"), at("2026-03-19 04:10")))
	for _, unit := range []string{"MGD", "lb/d as Cl₂", "mg/L", "mV", "mg·min/L", "Plant clock, CDT (UTC−5)"} {
		require.Contains(t, d.words(), unit)
	}
	d = record(t, scatter())
	require.Contains(t, d.words(), "Total residual, mg/L")
	require.Contains(t, d.words(), "ORP, mV")
}

func TestReadingsBeyondAFixedAxisAreCounted(t *testing.T) {
	start := at("2026-03-02 00:00")
	c := &Timeline{Title: "t", Zone: zone(), Start: start, End: start + 4*hourMs, Panels: []Panel{{Name: "p", Unit: "mV", Keep: [2]float64{0, 10},
		Series: []Series{{T: Times(start, hourMs, 5), Y: []float64{1, 2, 9999, 3, -50}}}}}}
	d := record(t, c)
	require.True(t, d.has("2 readings off the scale"))
	for _, l := range d.linesOf(blue, 1.5) {
		for _, p := range l.pts {
			require.GreaterOrEqual(t, p.y, 30.0)
			require.LessOrEqual(t, p.y, d.h)
		}
	}
}

func TestSeriesAreToldApartByShapeToo(t *testing.T) {
	seen := map[Marker]bool{}
	for _, l := range looks {
		require.False(t, seen[l.mark])
		seen[l.mark] = true
	}
}

// TestStatesDifferInGrey renders each state and compares mean lightness; what
// is close there must differ in its sign.
func TestStatesDifferInGrey(t *testing.T) {
	start := at("2026-03-02 00:00")
	c := &DayHour{Title: "t", Zone: zone()}
	for i, st := range []State{Met, Near, Short, NotDetermined} {
		for k := range 6 {
			c.Hours = append(c.Hours, HourState{start + int64(6*i+k)*hourMs, st})
		}
	}
	data, err := PNG(c)
	require.NoError(t, err)
	img, err := png.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	y0 := headHeight(c.Title) + headLine + 6
	var grey []float64
	for i := range 4 {
		sum, n := 0.0, 0
		for y := int(scale * (y0 + hourRow*float64(6*i) + 3)); y < int(scale*(y0+hourRow*float64(6*i+6)-3)); y++ {
			for x := 250 * scale; x < 550*scale; x++ {
				sum += float64(color.GrayModel.Convert(img.At(int(x), y)).(color.Gray).Y) / 255
				n++
			}
		}
		grey = append(grey, sum/float64(n))
	}
	met, near, short, nd := grey[0], grey[1], grey[2], grey[3]
	require.Greater(t, met-near, 0.12, "met is lighter than near: %v", grey)
	require.Greater(t, near-short, 0.2, "near is lighter than short: %v", grey)
	require.Greater(t, nd-short, 0.2)
	require.Less(t, short, 0.5)
}

func TestClockChangeInTheGrid(t *testing.T) {
	count := func(c *DayHour) (n int, narrow int) {
		for _, f := range record(t, c).fills {
			b := f.pts
			if len(b) == 4 && f.col == color.Color(withAlpha(sky, 0.40)) && b[0].y > headHeight(c.Title)+headLine+6 {
				n++
				if b[1].x-b[0].x < 400 {
					narrow++
				}
			}
		}
		return n, narrow
	}
	grid := func(s string) *DayHour {
		c := &DayHour{Title: "t", Zone: zone()}
		from := at(s + " 00:00")
		l := time.UnixMilli(from).In(zone())
		for m := from; m < nextDay(l, 1).UnixMilli(); m += hourMs {
			c.Hours = append(c.Hours, HourState{m, Met})
		}
		return c
	}
	n, narrow := count(grid("2026-03-08"))
	require.Equal(t, 23, n)
	require.Zero(t, narrow)
	n, narrow = count(grid("2026-11-01"))
	require.Equal(t, 25, n)
	require.Equal(t, 2, narrow, "01:00 comes twice and shares its place")
}

func TestWaterfallMustAddUp(t *testing.T) {
	c := waterfall()
	c.Parts[0].Value += 0.1
	_, err := PNG(c)
	require.ErrorContains(t, err, "the parts lead from 29.4 to 9.1, not to 9")
}

func TestUnequalColumnsAreRefused(t *testing.T) {
	c := timeline("t", at("2026-03-18 00:00"), at("2026-03-20 00:00"), at("2026-03-19 04:10"))
	c.Panels[0].Series[0].Y = c.Panels[0].Series[0].Y[1:]
	_, err := PNG(c)
	require.EqualError(t, err, `chart: panel "Flow": "effluent" has 2880 times and 2879 values`)
	for _, bad := range []Chart{&Timeline{}, &Timeline{Zone: time.UTC, End: 1}, &Scatter{}, &DailyRange{}, &DayHour{Zone: time.UTC}, &Coverage{}, &Waterfall{}, &Probability{}, &Monthly{}} {
		_, err := PNG(bad)
		require.Error(t, err, "%T", bad)
	}
}

func TestSameChartSameBytes(t *testing.T) {
	for _, c := range []Chart{daily(), timeline("t", at("2026-03-18 00:00"), at("2026-03-19 00:00"), at("2026-03-18 04:10"))} {
		a, err := PNG(c)
		require.NoError(t, err)
		b, err := PNG(c)
		require.NoError(t, err)
		require.True(t, bytes.Equal(a, b))
	}
}

func TestAltStatesTheMessage(t *testing.T) {
	require.Equal(t, "CT per day, March 2026: of 31 days, 27 met, 1 near, 2 short and 1 not determined; lowest 3.1 mg·min/L on 9 March.", daily().Alt())
	require.Equal(t, "Where the CT went, 19 March 04:10 to 10:10: from same hours of clean days (29.4 mg·min/L) to this episode (9 mg·min/L): flow up −9.2, feed down −12.6, demand down +1.9 and hypochlorite weaker −0.5.", waterfall().Alt())
	require.Equal(t, "Ammonia load kept its daily swing all week.", loadings().Alt())
}

func TestOnlyWhatIsShownSetsTheAxis(t *testing.T) {
	start := at("2026-03-02 00:00")
	c := &Timeline{Title: "t", Zone: zone(), Start: start, End: start + 4*hourMs, Panels: []Panel{{Name: "p", Unit: "mV",
		Series: []Series{{T: Times(start-10*hourMs, hourMs, 24), Y: make([]float64, 24)}}}}}
	for i := range c.Panels[0].Series[0].Y {
		c.Panels[0].Series[0].Y[i] = float64(i % 3)
	}
	c.Panels[0].Series[0].Y[0] = 1e6 // long before
	d := record(t, c)
	require.True(t, d.has("2"))
	require.False(t, d.has("1,000,000"))
	lines := d.linesOf(blue, 1.5)
	require.Len(t, lines, 1)
	require.InDelta(t, leftRoom, lines[0].pts[0].x, 0.01, "the line reaches the edges")
	require.InDelta(t, Width-edge, lines[0].pts[len(lines[0].pts)-1].x, 0.01)
}
