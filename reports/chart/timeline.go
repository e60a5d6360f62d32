package chart

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"time"
)

// Timeline is a stack of panels on one clock: what happened, when, everywhere.
// It serves for an upset, a day, a week, a month or a year, and for hourly
// loadings (Step or Bars).
type Timeline struct {
	Title   string
	Message string         // alternative text; empty: one is made from Title and the panels' names
	Zone    *time.Location // the plant's clock
	Start   int64          // Unix ms
	End     int64          // Unix ms, after Start
	Panels  []Panel
	Spans   []Span // shaded through every panel and named above them: episodes
	Marks   []Mark // upright lines through every panel, named above them: what moved, when
	Note    string // small text at the foot; empty: none
}

// Panel is one quantity of a Timeline with its own value axis.
type Panel struct {
	Name   string // "Residual at basin outlet"
	Unit   string // as printed beside the axis: "mg/L"; "" only for a number without unit
	Series []Series
	Bands  []Band
	Limits []Limit
	Points []Points
	Marked []Span // hatched in this panel only and named in its legend: readings in doubt
	Log    bool   // logarithmic value axis

	Include []float64 // values that the axis must reach, such as 0
	// Keep fixes the axis to these ends (Keep[0] < Keep[1]). Readings beyond
	// them are cut off, and the panel says how many. Both zero: the axis
	// reaches all that is drawn.
	Keep   [2]float64
	Height float64 // px; 0: 92
}

// Form is how a series is drawn.
type Form int

const (
	Line Form = iota // straight from reading to reading
	Step             // each value holds until the next, as for hourly means
	Bars             // a bar from zero for each value, as for hourly loads
)

// Series is one tag's or quantity's values. Times are Unix ms, ascending; a
// value that is not a number is a gap and is drawn as one.
type Series struct {
	Name   string
	T      []int64
	Y      []float64
	Form   Form
	MaxGap int64 // ms; readings further apart are not joined; 0: no such rule
	Width  int64 // ms that one value stands for, for Step and Bars; 0: until the next
	Faint  bool  // thin and pale: background to another series
	Colour Colour
	// Key is what the series measures, the same in every chart of a page: where a
	// chart of hours is looked at closely, the minutes of another chart serve.
	Key string

	lo, hi []float64 // of the stretch that a value stands for, where it is condensed
}

// Band is a range of values in time, such as what a probe should read.
type Band struct {
	Name   string
	T      []int64
	Lo, Hi []float64 // not a number: a gap
	MaxGap int64     // ms, as in Series
}

// Limit is a value to hold results against, drawn as a dashed line across and
// named at its end together with its value.
type Limit struct {
	Name  string // "minimum", "required", "outfall limit"
	Value float64
	Level bool // a level of the data themselves, drawn in grey: no limit; scatters only
	// T and Y, when given, make a limit that moves in time (Value is not used):
	// each Y holds until the next.
	T []int64
	Y []float64
}

// Points are single measurements, such as grab samples.
type Points struct {
	Name   string
	T      []int64
	Y      []float64
	Marker Marker
}

// Span is a stretch of time. From and to are Unix ms.
type Span struct {
	From, To int64
	Name     string
}

// Mark is a moment worth a line: "first mover: ammonia".
type Mark struct {
	At    int64
	Name  string
	First bool // drawn stronger: the first mover
}

// Times makes evenly spaced times: n of them from start, both Unix ms.
func Times(start, step int64, n int) []int64 {
	t := make([]int64, n)
	for i := range t {
		t[i] = start + int64(i)*step
	}
	return t
}

// Alt is the chart's message.
func (c *Timeline) Alt() string {
	if c.Message != "" {
		return c.Message
	}
	names := make([]string, len(c.Panels))
	for i, p := range c.Panels {
		names[i] = p.Name
	}
	span := ""
	if c.Zone != nil {
		f := func(ms int64) string { return time.UnixMilli(ms).In(c.Zone).Format("2 Jan 2006 15:04") }
		span = " from " + f(c.Start) + " to " + f(c.End)
	}
	return fmt.Sprintf("%s: %s%s.", c.Title, list(names), span)
}

// list joins words as a person would.
func list(words []string) string {
	switch len(words) {
	case 0:
		return "nothing"
	case 1:
		return words[0]
	}
	out := words[0]
	for _, w := range words[1 : len(words)-1] {
		out += ", " + w
	}
	return out + " and " + words[len(words)-1]
}

func (c *Timeline) check() error {
	if c.Zone == nil {
		return errors.New("chart: the timeline has no clock (Zone)")
	}
	if c.End <= c.Start {
		return errors.New("chart: the timeline ends before it starts")
	}
	if len(c.Panels) == 0 {
		return errors.New("chart: the timeline has no panel")
	}
	for _, p := range c.Panels {
		if err := p.check(); err != nil {
			return fmt.Errorf("chart: panel %q: %w", p.Name, err)
		}
	}
	return nil
}

func (p *Panel) check() error {
	for _, s := range p.Series {
		if err := checkTimes(s.Name, s.T, len(s.Y)); err != nil {
			return err
		}
	}
	for _, b := range p.Bands {
		if err := checkTimes(b.Name, b.T, len(b.Lo), len(b.Hi)); err != nil {
			return err
		}
	}
	for _, l := range p.Limits {
		if err := checkTimes(l.Name, l.T, len(l.Y)); err != nil {
			return err
		}
		if len(l.T) == 0 && (math.IsNaN(l.Value) || math.IsInf(l.Value, 0)) {
			return fmt.Errorf("limit %q has no value", l.Name)
		}
	}
	for _, g := range p.Points {
		if err := checkTimes(g.Name, g.T, len(g.Y)); err != nil {
			return err
		}
	}
	if p.Keep[0] > p.Keep[1] {
		return errors.New("the ends of the value axis are the wrong way round")
	}
	return nil
}

func checkTimes(name string, t []int64, ns ...int) error {
	for _, n := range ns {
		if n != len(t) {
			return fmt.Errorf("%q has %d times and %d values", name, len(t), n)
		}
	}
	if !sort.SliceIsSorted(t, func(i, j int) bool { return t[i] < t[j] }) {
		return fmt.Errorf("the times of %q are not in order", name)
	}
	return nil
}
