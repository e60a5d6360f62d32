package draft

import (
	"fmt"
	"math"

	"weirbook/analysis/quantity"
)

// unitSet is a way in which a plant writes its flows and its feeds.
type unitSet struct {
	flow, feed string
	metric     bool
}

var unitSets = []unitSet{
	{"MGD", "gal/h", false}, {"gpm", "gal/h", false},
	{"ML/d", "L/h", true}, {"m³/h", "L/h", true}, {"L/s", "L/h", true}, {"m³/d", "L/h", true},
}

// plantFlow in MGD: what a plant's flow may be. Common practice, no source.
var plantFlow = [2]float64{0.03, 400}

// usualFlow in MGD stands in the middle of plants that disinfect with chlorine.
const usualFlow = 3.0

// units settles the units that the export does not state: as a sister's that reads
// alike, and else by one question for all of them.
func units(gs []Guess) {
	metric, us := systems(gs)
	home := abroad(gs)
	var open []*Guess
	biggest := 0.0
	for i := range gs {
		g := &gs[i]
		if !g.unitOpen || g.Measures != quantity.Flow && !isFeed(*g) {
			continue
		}
		if s := g.sister(gs); s != nil {
			g.Unit = s.Unit
			g.Why = append(g.Why, "unit as of "+s.Tag+", which reads alike")
			g.unitOpen = false
			g.respan()
			continue
		}
		open = append(open, g)
		if g.Measures == quantity.Flow {
			biggest = math.Max(biggest, g.looks.p50)
		}
	}
	if len(open) == 0 {
		return
	}
	var sets []unitSet
	for _, s := range unitSets {
		if metric && !us && !s.metric || us && !metric && s.metric {
			continue
		}
		if v := mgd(biggest, s.flow); biggest == 0 || v >= plantFlow[0] && v <= plantFlow[1] {
			sets = append(sets, s)
		}
	}
	if len(sets) == 0 {
		sets = unitSets
	}
	for k := range sets { // the likeliest first, the rest as they stand
		if far(biggest, sets[k], home) < far(biggest, sets[0], home) {
			s := sets[k]
			copy(sets[1:k+1], sets[:k])
			sets[0] = s
		}
	}
	for _, g := range open {
		var choices []string
		for _, s := range sets {
			if g.Measures == quantity.Flow {
				choices = append(choices, s.flow)
			} else {
				choices = append(choices, s.feed)
			}
		}
		if biggest == 0 { // feeds only
			choices = []string{sets[0].feed, "L/h", "mL/min", "%"}
			if choices[0] == "L/h" {
				choices[1] = "gal/h"
			}
		}
		g.Unit = choices[0]
		g.respan()
		g.Why = append(g.Why, fmt.Sprintf("%s is guessed from the middle value %.4g", g.Unit, g.looks.p50))
		g.choose("In which units are flows and feeds exported? The export does not say.", "unit", choices...)
	}
}

// foreignWords are of languages whose plants measure in metric units.
var foreignWords = list("*durchfl* zulauf ablauf *caudal* entrada salida vertido *debit* entree sortie rejet *vazao* *cloro* *chlore kontakt* decant* clarif labor labo")

// abroad says whether tags' names speak a language of metric plants.
func abroad(gs []Guess) bool {
	for _, g := range gs {
		if foreignWords.in(tokens(g.Tag)) != "" {
			return true
		}
	}
	return false
}

// far is how far a flow in a set's unit is from a usual plant's, in decades; a
// unit of the other system is a decade further.
func far(flow float64, s unitSet, metric bool) float64 {
	d := 0.0
	if flow > 0 {
		d = math.Abs(math.Log10(mgd(flow, s.flow) / usualFlow))
	}
	if s.metric != metric {
		d++
	}
	return d
}

func mgd(v float64, unit string) float64 {
	u, err := quantity.ParseUnit(unit)
	if err != nil {
		return math.NaN()
	}
	x, err := quantity.Convert(v, u, quantity.MustUnit("MGD"))
	if err != nil {
		return math.NaN()
	}
	return x
}

// systems says which systems of units the exports state.
func systems(gs []Guess) (metric, us bool) {
	for _, g := range gs {
		if g.unitOpen {
			continue
		}
		switch g.Unit {
		case "MGD", "gpm", "gpd", "gal/h", "gal/d", "°F", "ft", "in", "lb/d", "gal", "cfs":
			us = us || g.stated
		case "m³/d", "m³/h", "ML/d", "L/s", "L/h", "m", "cm", "kg/d", "m³", "mL/min":
			metric = metric || g.stated
		}
	}
	return metric, us
}

// sister is a tag of the same kind whose unit is stated and that reads about alike.
func (g *Guess) sister(gs []Guess) *Guess {
	for i := range gs {
		h := &gs[i]
		if h.stated && (h.Measures == g.Measures || isFeed(*h) && isFeed(*g)) && h.Unit != "%" {
			ratio := g.looks.p50 / h.looks.p50
			if ratio > 0.6 && ratio < 1.7 || isFeed(*g) && ratio > 0.1 && ratio < 10 {
				return h
			}
		}
	}
	return nil
}

// respan gives the span anew, for a unit that changed.
func (g *Guess) respan() {
	for _, c := range candidates {
		if c.kind == g.Measures && !math.IsNaN(g.High) {
			g.span(c)
		}
	}
}
