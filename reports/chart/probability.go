package chart

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"
)

// Probability is a probability plot: values against the share of values that
// do not exceed them, on a normal quantile axis, so that normal data (or, with
// Log, log-normal data) lie on a straight line.
//
// Plotting positions are Blom's, (i − 3/8) / (n + 1/4) (G. Blom, "Statistical
// Estimates and Transformed Beta-Variables", 1958; from memory).
type Probability struct {
	Title   string
	Message string
	Y       Axis
	Sets    []ProbabilitySet
	Limits  []Limit // Value only
	Note    string
}

// ProbabilitySet is one set of values with its fitted line.
type ProbabilitySet struct {
	Name   string
	Values []float64 // any order; values that are not numbers are left out
	// Mean and SD of the fitted normal distribution, of the base-10 logarithms
	// when the axis is logarithmic. SD not positive: no line.
	Mean, SD float64
}

// Alt is the chart's message.
func (c *Probability) Alt() string {
	if c.Message != "" {
		return c.Message
	}
	var parts []string
	for _, set := range c.Sets {
		v := sorted(set.Values, c.Y.Log)
		if len(v) == 0 {
			continue
		}
		parts = append(parts, fmt.Sprintf("%s, %d values from %s to %s %s, half of them up to %s", set.Name, len(v),
			short(v[0]), short(v[len(v)-1]), c.Y.Unit, short(v[(len(v)-1)/2])))
	}
	return c.Title + ": " + list(parts) + "."
}

func sorted(vs []float64, positive bool) []float64 {
	var out []float64
	for _, v := range vs {
		if !math.IsNaN(v) && !math.IsInf(v, 0) && (!positive || v > 0) {
			out = append(out, v)
		}
	}
	sort.Float64s(out)
	return out
}

func (c *Probability) check() error {
	for _, set := range c.Sets {
		if len(sorted(set.Values, c.Y.Log)) > 0 {
			return nil
		}
	}
	return errors.New("chart: the probability plot has no values")
}

func (c *Probability) scatter() *Scatter {
	sc := &Scatter{Title: c.Title, Y: c.Y, Limits: c.Limits, Note: c.Note,
		X: Axis{Name: "share of values at or below, %", Include: []float64{probit(0.01), probit(0.99)}}}
	for i, set := range c.Sets {
		v := sorted(set.Values, c.Y.Log)
		x := make([]float64, len(v))
		for k := range v {
			x[k] = probit((float64(k+1) - 0.375) / (float64(len(v)) + 0.25))
		}
		sc.Groups = append(sc.Groups, Group{Name: set.Name, X: x, Y: v, Marker: []Marker{MarkCircle, MarkTriangle, MarkSquare, MarkDiamond}[i%4]})
		if set.SD > 0 && len(v) > 1 {
			x := []float64{probit(0.005), probit(0.995)}
			y := make([]float64, 2)
			for k := range x {
				y[k] = set.Mean + set.SD*x[k]
				if c.Y.Log {
					y[k] = math.Pow(10, y[k])
				}
			}
			name := "fitted normal"
			if c.Y.Log {
				name = "fitted log-normal"
			}
			if len(c.Sets) > 1 {
				name += ", " + set.Name
			}
			sc.Curves = append(sc.Curves, Curve{Name: name, X: x, Y: y})
		}
	}
	return sc
}

// probit is the standard normal quantile of a share.
func probit(p float64) float64 { return distuv.UnitNormal.Quantile(p) }

// probitTicks are the shares, %, that the quantile axis names.
var probitTicks = []float64{0.1, 0.5, 1, 2, 5, 10, 20, 30, 50, 70, 80, 90, 95, 98, 99, 99.5, 99.9}

func (c *Probability) height() float64 { return c.scatter().height() }

func (c *Probability) draw(s *sheet) {
	sc := c.scatter()
	sc.probit = true
	sc.draw(s)
}
