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
			g.Unit = u.Symbol
			return
		}
		g.Unit = c.unit
		g.Ask = fmt.Sprintf("the export says %s, but the values behave like %s; is the unit column wrong?", t.Unit, c.title)
		return
	}
	if t.Unit != "" {
		g.Why = append(g.Why, fmt.Sprintf("the export's unit %q is not known", t.Unit))
	}
	g.Unit = c.unit
	switch c.kind {
	case quantity.Flow:
		switch {
		case l.p95 < 80:
			g.Unit = "MGD"
		default:
			g.Unit = "gpm"
		}
		g.Ask = fmt.Sprintf("in which unit? The export does not say; %s is guessed from the middle value %.4g", g.Unit, l.p50)
	case quantity.Temp:
		g.Unit = "°C"
		if l.p50 > 40 {
			g.Unit = "°F"
		}
	case quantity.FlowTotal:
		g.Unit = "gal"
		g.Ask = "in which unit does it count? Gallons are a guess"
	case quantity.Level:
		g.Unit = "ft"
		g.Ask = "in which unit? Feet are a guess"
	case quantity.HypochloriteFeed, quantity.BisulfiteFeed:
		g.Unit = "gal/h"
		g.Ask = "in which unit? gal/h is a guess; percent of stroke needs full_stroke in plant.toml"
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
		g.Why = append(g.Why, "span is a guess: write the instrument's")
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
