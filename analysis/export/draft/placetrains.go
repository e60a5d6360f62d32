package draft

import (
	"math"
	"slices"
	"strings"

	"weirbook/analysis/quantity"
)

func (g Guess) clone() Guess {
	g.Why, g.asks = slices.Clone(g.Why), slices.Clone(g.asks)
	return g
}

// placeTrains places each train's tags anew among themselves; before holds the
// guesses as they stood before any was placed.
func placeTrains(gs, before []Guess, trains []*train, w *world) {
	members := map[*train][]Guess{}
	for _, t := range trains {
		members[t] = t.place(before, w)
	}
	// A meter on the water of all may bear the name of one train only.
	for _, t := range trains {
		var all *Guess
		for _, f := range members[t] {
			if of := together(f, t, trains, members); of != "" {
				if all != nil { // two of them: neither
					all = nil
					break
				}
				g := before[slices.IndexFunc(before, func(g Guess) bool { return g.Tag == f.Tag })].clone()
				g.At, g.Why = outfall, append(g.Why, "about as much as "+of+" together")
				g.choose("It is named for "+t.label+" but reads about as much as "+of+" together. Is it the flow of all trains?", "at", outfall, t.point(basinOutlet))
				all = &g
			}
		}
		if all == nil {
			continue
		}
		delete(t.tags, all.Tag)
		members[t] = t.place(before, w)
		for i := range gs {
			if gs[i].Tag == all.Tag {
				gs[i] = *all
			}
		}
	}
	inTrain := map[string]Guess{}
	flows := true
	for _, t := range trains {
		flow := false
		for _, g := range members[t] {
			inTrain[g.Tag] = g
			flow = flow || g.Measures == quantity.Flow
		}
		flows = flows && (flow || !t.basin)
	}
	var common []Guess
	for i := range gs {
		if g, ok := inTrain[gs[i].Tag]; ok {
			gs[i] = g
			continue
		}
		gs[i].common(flows, w, trains)
		common = append(common, gs[i])
	}
	askTwice(common, w)
	for i := range gs {
		for _, c := range common {
			if gs[i].Tag == c.Tag {
				gs[i] = c
			}
		}
	}
}

// place gives the train's tags, placed at its own points.
func (t *train) place(before []Guess, w *world) []Guess {
	var own []Guess
	flows := 0
	for _, g := range before {
		if why, in := t.tags[g.Tag]; in {
			g = g.clone()
			g.Train, g.Why = t.label, append(g.Why, t.title()+", as "+why)
			own = append(own, g)
			if g.Measures == quantity.Flow {
				flows++
			}
		}
	}
	if flows == 1 {
		// The question about the trains covers it: a train's only flow.
		for i := range own {
			if g := &own[i]; g.Measures == quantity.Flow && !w.placed(*g) {
				g.At = basinOutlet
				g.Why = append(g.Why, "the only flow of the train")
				t.onlyFlow = true
			}
		}
	}
	settle(own, w)
	askTwice(own, w)
	for i := range own {
		g := &own[i]
		g.At = t.point(g.At)
		if t.onlyFlow && flows == 1 && g.Measures == quantity.Flow {
			g.dropAsks("at")
		}
		for k := range g.asks {
			g.asks[k] = g.asks[k].of(t)
		}
	}
	return own
}

// of is the question with the points of a train.
func (a ask) of(t *train) ask {
	k := slices.Index(a.columns, "at")
	if k < 0 {
		return a
	}
	a.choices = slices.Clone(a.choices)
	for i, c := range a.choices {
		words := strings.Fields(c)
		if !strings.HasPrefix(words[k], t.name+"_") {
			words[k] = t.point(words[k])
		}
		a.choices[i] = strings.Join(words, " ")
	}
	return a
}

// point is the train's own point of a kind. What is the outfall of a plant with
// one train is here the train's water after dechlorination.
func (t *train) point(at string) string {
	if at == outfall {
		at = dechlorinated
	}
	if t.isBasin() {
		at = strings.TrimPrefix(at, "basin_")
	}
	return t.name + "_" + at
}

// isBasin says that the name is already a basin's: CCB1, Basin A.
func (t *train) isBasin() bool {
	return slices.ContainsFunc(basinWords, func(w string) bool { return strings.HasPrefix(t.name, w) })
}

// title is the train in a sentence.
func (t *train) title() string {
	if strings.HasPrefix(strings.ToLower(t.label), "train") {
		return t.label
	}
	return "train " + t.label
}

// placed says whether words in a tag's name or description say where it is.
func (w *world) placed(g Guess) bool {
	at, _ := byWords(w.words(g.Tag), g.Measures)
	return len(at) > 0
}

// common is a tag of no train: it stays where it stands, but a flow named for
// the outfall needs not stand in for the basins' where these have their own, and
// what only stands at a basin because nothing was said is asked about.
func (g *Guess) common(flows bool, w *world, trains []*train) {
	if g.Measures == quantity.Flow && flows && g.At == basinOutlet && finalWords.in(w.words(g.Tag)) != "" {
		g.At = outfall
	}
	if (g.At == basinInlet || g.At == basinOutlet) && class(*g) != "" && !w.placed(*g) {
		g.dropAsks("at")
		choices := []string{g.At}
		for _, t := range trains {
			choices = append(choices, t.point(g.At))
		}
		g.choose("Its name names no train. Is it on the water of all, or of which train?", "at", choices...)
	}
}

// nearly is how far a flow may be from the sum it is compared with: two meters'
// errors and the hours in which one stood.
const nearly = 0.05

// together names the flows that f, a flow of train t, reads about as much as:
// another one of t and one of every other train that has one. "" if it does not.
func together(f Guess, t *train, trains []*train, members map[*train][]Guess) string {
	if f.Measures != quantity.Flow {
		return ""
	}
	sum := 0.0
	var names []string
	for _, o := range trains {
		// The flow through its basin, if one is taken for it, else the last.
		best := Guess{}
		for _, g := range members[o] {
			if g.Measures == quantity.Flow && g.Tag != f.Tag && (g.At == o.point(basinOutlet) || best.At != o.point(basinOutlet)) {
				best = g
			}
		}
		if best.Tag != "" {
			sum += best.mgd()
			names = append(names, best.Tag)
		} else if o == t {
			return ""
		}
	}
	if len(names) < 2 || math.IsNaN(sum) || !(math.Abs(f.mgd()-sum) <= nearly*sum) {
		return ""
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// working is the middle value in the kind's working unit; false where the unit is not known.
func (g Guess) working() (float64, bool) {
	info, ok := quantity.Of(g.Measures)
	u, err := quantity.ParseUnit(g.Unit)
	if !ok || err != nil {
		return math.NaN(), false
	}
	v, err := quantity.Convert(g.looks.p50, u, info.Working)
	return v, err == nil
}

// middle is the same, and the middle value as it stands where the unit is not known.
func (g Guess) middle() float64 {
	if v, ok := g.working(); ok {
		return v
	}
	return g.looks.p50
}

// mgd is a flow's middle value in MGD; NaN where its unit is not known.
func (g Guess) mgd() float64 {
	if v, ok := g.working(); ok {
		return v
	}
	return math.NaN()
}
