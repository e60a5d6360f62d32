package draft

import (
	"fmt"
	"math"

	"weirbook/analysis/export"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// unit settles the unit column: the export's own where it can be believed.
func (g *Guess) unit(t export.TagInfo, c candidate, u quantity.Unit, known bool) {
	l := g.looks
	if known {
		if _, err := quantity.Accept(c.kind, u); err == nil {
			g.Unit, g.stated = u.Symbol, true
			return
		}
		g.Unit = c.unit
		g.choose(fmt.Sprintf("the export says %s, but the values behave like %s; is the unit column wrong?", t.Unit, c.title), "")
		return
	}
	if t.Unit != "" {
		g.Why = append(g.Why, fmt.Sprintf("the export's unit %q is not known", t.Unit))
	}
	g.Unit = c.unit
	switch c.kind {
	case quantity.Flow:
		g.Unit, g.unitOpen = "MGD", true
	case quantity.Temp:
		g.Unit = "°C"
		if l.p50 > 40 {
			g.Unit = "°F"
		}
	case quantity.FlowTotal:
		g.Unit = "gal"
		g.choose("In which unit does it count?", "unit", "gal", "kgal", "m³")
	case quantity.Level:
		g.Unit = "ft"
		g.choose("In which unit is the level?", "unit", "ft", "in", "m", "%")
	case quantity.HypochloriteFeed, quantity.BisulfiteFeed:
		g.Unit, g.unitOpen = "gal/h", true
	}
}

// span states the instrument's span, generously: the readings must fit in it.
func (g *Guess) span(c candidate) {
	l := g.looks
	if l.n == 0 || g.Reading == series.Grab || g.Reading == series.Composite || g.Reading == series.Counter || g.Reading == series.State {
		return
	}
	switch c.kind {
	case quantity.PH:
		g.Low, g.High = 0, 14
	case quantity.ORP:
		g.Low, g.High = -200, 1000
		if l.p1 < -200 {
			g.Low = -1000
		}
		if l.p999 > 1000 {
			g.High = 1500
		}
	case quantity.Temp:
		g.Low, g.High = 0, 50
		if g.Unit == "°F" {
			g.Low, g.High = 32, 122
		}
		if l.p1 < g.Low || l.p999 > g.High {
			g.Low, g.High = math.NaN(), math.NaN()
		}
	default:
		if l.p1 < 0 {
			return
		}
		g.Low, g.High = 0, roundUp(3*l.p999)
		for _, top := range spans[c.kind] {
			info, _ := quantity.Of(c.kind)
			u, err := quantity.ParseUnit(g.Unit)
			if err != nil {
				break
			}
			if x, err := quantity.Convert(top, info.Working, u); err == nil && x >= 1.2*l.p999 {
				g.High = x
				break
			}
		}
		if l.max > g.High && l.max < 5*g.High {
			g.High = roundUp(l.max)
		}
	}
	if !math.IsNaN(g.Low) {
		g.spanned = true
	}
}

// roundUp gives the next of 1, 2, 2.5, 5 times a power of ten.
func roundUp(v float64) float64 {
	if !(v > 0) {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{1, 2, 2.5, 5, 10} {
		if k*p >= v*(1-1e-9) {
			return k * p
		}
	}
	return 10 * p
}
