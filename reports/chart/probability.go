package chart

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Probability is a probability plot of values whose plotting positions are given: the
// value against the share of values that do not exceed it, on a normal quantile
// axis. Values known only to lie below a number are drawn hollow at it. Limits
// and percentiles are drawn across.
type Probability struct {
	Title   string
	Message string
	Y       Axis
	Values  []float64
	Share   []float64 // plotting position of each value, within 0 and 1
	Below   []bool
	Limits  []Limit // Value only: limits, and percentiles
	// LineX and LineY are two points, share and value, of a straight line through
	// what is measured; empty: none.
	LineX, LineY []float64
	Note         string
}

// Alt is the chart's message.
func (c *Probability) Alt() string {
	if c.Message != "" {
		return c.Message
	}
	return fmt.Sprintf("%s: %d values.", c.Title, len(c.Values))
}

func (c *Probability) check() error {
	if len(c.Values) != len(c.Share) || len(c.Values) != len(c.Below) {
		return fmt.Errorf("chart: %d values with %d shares and %d marks", len(c.Values), len(c.Share), len(c.Below))
	}
	for _, p := range c.Share {
		if !(p > 0 && p < 1) {
			return fmt.Errorf("chart: a plotting position of %g", p)
		}
	}
	if len(c.Values) == 0 {
		return errors.New("chart: the probability plot has no values")
	}
	return nil
}

func (c *Probability) scatter() *Scatter {
	sc := &Scatter{Title: c.Title, Y: c.Y, Limits: c.Limits, Note: c.Note, probit: true,
		X: Axis{Name: "share of values at or below, %", Include: []float64{probit(0.01), probit(0.99)}}}
	full, hollow := Group{Name: "measured", Marker: MarkCircle, Strong: len(c.Values) < 100, Cloud: len(c.Values) > 1500}, Group{Name: "below detection, at its limit"}
	for i, v := range c.Values {
		if math.IsNaN(v) {
			continue
		}
		g := &full
		if c.Below[i] {
			g = &hollow
		}
		g.X, g.Y = append(g.X, probit(c.Share[i])), append(g.Y, v)
	}
	for _, g := range []Group{full, hollow} {
		if len(g.X) > 0 {
			sc.Groups = append(sc.Groups, g)
		}
	}
	if len(c.LineX) == 2 && len(c.LineY) == 2 {
		sc.Curves = []Curve{{Name: "straight line through what is measured", X: []float64{probit(c.LineX[0]), probit(c.LineX[1])}, Y: c.LineY}}
	}
	return sc
}

func (c *Probability) height() float64 { return c.scatter().height() }

func (c *Probability) draw(s *sheet) { c.scatter().draw(s) }

// probit is the standard normal quantile of a share.
func probit(p float64) float64 { return distuv.UnitNormal.Quantile(p) }

// probitTicks are the shares, %, that the quantile axis names.
var probitTicks = []float64{0.1, 0.5, 1, 2, 5, 10, 20, 30, 50, 70, 80, 90, 95, 98, 99, 99.5, 99.9}
