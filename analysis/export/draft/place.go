package draft

import (
	"strings"

	"weirbook/analysis/export"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// Sampling points that a draft uses.
const (
	influent    = "influent"
	secondary   = "secondary"
	basinInlet  = "basin_inlet"
	basinMiddle = "basin_middle"
	basinOutlet = "basin_outlet"
	outfall     = "outfall"

	dechlorinated = "dechlorinated" // of a train
)

var placeWords = []struct {
	point string
	words []string
}{
	{influent, []string{"inf", "influent", "raw", "headworks", "hw", "zulauf"}},
	{outfall, []string{"outfall", "decl", "dechlor", "dechlorination", "dechlorinated", "final", "fin", "discharge", "river", "afterdechlor"}},
	{basinMiddle, []string{"middle", "mid", "halfway"}},
	{basinInlet, []string{"inlet", "basininlet", "prechlor"}},
	{secondary, []string{"secondary", "sec", "clarifier", "clarified"}},
	{basinOutlet, []string{"basin", "contact", "ccb", "cct", "ccc", "outlet", "effluent", "eff", "plant", "ablauf"}},
}

// place settles where each tag is measured. Where the names tell trains apart,
// each train's tags are placed among themselves, at points of its own, and the
// tags common to all stay where they stand among all.
func place(gs []Guess, r *export.Result) []*train {
	desc := map[string]string{}
	for _, t := range r.Tags {
		desc[t.Name] = t.Description
	}
	before := make([]Guess, len(gs))
	for i, g := range gs {
		before[i] = g.clone()
	}
	settle(gs, desc)
	pairs(gs)
	trains := findTrains(gs, r)
	if len(trains) == 0 {
		askTwice(gs)
		return nil
	}
	placeTrains(gs, before, trains, desc)
	return trains
}

// whichFlow is asked of a flow that says nothing about where it is.
const whichFlow = "is this the flow through the contact basin or the influent?"

// settle places tags by words in the name, by the kind, and by the values (a
// residual near zero stands behind dechlorination).
func settle(gs []Guess, desc map[string]string) {
	named := map[string]bool{}
	for i := range gs {
		g := &gs[i]
		words := tokens(g.Tag + " " + desc[g.Tag])
		for _, p := range placeWords {
			for _, w := range p.words {
				if g.At == "" && contains(words, w) {
					g.At = p.point
					g.Why = append(g.Why, "place from "+w)
				}
			}
		}
		if g.Measures == quantity.Flow && g.At != "" {
			named[g.At] = true
		}
	}
	for i := range gs {
		g := &gs[i]
		if g.At != "" {
			// Loads, dose and contact time want the flow through the basin.
			if g.Measures == quantity.Flow && g.At == outfall {
				g.At = basinOutlet
			}
			continue
		}
		switch g.Measures {
		case quantity.Flow:
			// Numbers rise along the water: of several, the last is taken to
			// pass the basin.
			g.At = basinOutlet
			if named[basinOutlet] || !last(gs, i) {
				g.At = influent
			}
			g.ask(whichFlow)
		case quantity.ChlorineTotal, quantity.ChlorineFree:
			g.At = basinOutlet
			if g.looks.n > 0 && g.looks.p50 < 0.1 {
				g.At = outfall
				g.Why = append(g.Why, "a residual near zero stands behind dechlorination")
			}
		case quantity.BisulfiteFeed, quantity.SulfurDioxideFeed:
			g.At = outfall
		case quantity.HypochloriteFeed, quantity.ChlorineFeed:
			g.At = basinInlet
		case quantity.EColi, quantity.FecalColiform, quantity.TotalColiform, quantity.Enterococci, quantity.TSS, quantity.BOD5, quantity.CBOD5, quantity.COD, quantity.Phosphorus, quantity.TKN:
			g.At = outfall
			if (g.Measures == quantity.TSS || g.Measures == quantity.BOD5 || g.Measures == quantity.CBOD5) && g.looks.p50 > 80 {
				g.At = influent
				g.Why = append(g.Why, "so much of it is raw influent")
			}
		case quantity.AmmoniaN, quantity.NitriteN, quantity.NitrateN:
			g.At = secondary
		default:
			g.At = basinOutlet
		}
	}
}

// askTwice asks about two signals of one kind at one place.
func askTwice(gs []Guess) {
	first := map[string]string{}
	for i := range gs {
		g := &gs[i]
		if g.Measures == quantity.Other || g.Measures == quantity.RunStatus {
			continue
		}
		k := string(g.Measures) + "@" + g.At + "@" + g.Reading.String()
		if other, ok := first[k]; ok {
			g.ask("it stands at the same place as " + other + "; where is it?")
		} else {
			first[k] = g.Tag
		}
	}
}

func (g *Guess) ask(q string) {
	if g.Ask == "" {
		g.Ask = q
		return
	}
	if !strings.Contains(g.Ask, q) {
		if !strings.HasSuffix(g.Ask, "?") {
			g.Ask += "."
		}
		g.Ask += " And " + q
	}
}

func contains(words []string, w string) bool {
	for _, x := range words {
		if x == w {
			return true
		}
	}
	return false
}

// pairs compares signals that could be one thing or the other.
func pairs(gs []Guess) {
	topORP, topFeed := 0.0, map[string]float64{}
	for _, g := range gs {
		if g.Measures == quantity.ORP && g.Reading != series.Grab {
			topORP = max(topORP, g.looks.p50)
		}
		if g.Measures == quantity.HypochloriteFeed {
			topFeed[prefix(g.Tag)] = max(topFeed[prefix(g.Tag)], g.looks.p50)
		}
	}
	for i := range gs {
		g := &gs[i]
		switch {
		case g.Measures == quantity.ORP && g.At == basinOutlet && g.looks.p50 < 450 && topORP > 500:
			g.At = outfall
			g.Why = append(g.Why, "so much lower than the other ORP: behind dechlorination")
		case g.Measures == quantity.HypochloriteFeed && g.unsure && g.looks.p50 < topFeed[prefix(g.Tag)]:
			g.Measures, g.At = quantity.BisulfiteFeed, outfall
			g.Why = append(g.Why, "the smaller of the feeds")
		case g.Measures == quantity.ChlorineTotal && g.unsure && g.At == basinOutlet:
			for j := range gs {
				h := &gs[j]
				if j != i && h.Measures == quantity.ChlorineTotal && h.At == basinOutlet && h.Reading == g.Reading && h.looks.p50 > g.looks.p50 && prefix(h.Tag) == prefix(g.Tag) {
					g.Measures = quantity.ChlorineFree
					g.Why = append(g.Why, "it reads below "+h.Tag+", as free chlorine does below total")
					break
				}
			}
		}
	}
}

// last says whether no flow without a place of its own comes after tag i.
func last(gs []Guess, i int) bool {
	for _, h := range gs[i+1:] {
		if h.Measures == quantity.Flow && h.At == "" && prefix(h.Tag) == prefix(gs[i].Tag) {
			return false
		}
	}
	return true
}

// prefix is a tag up to its last run of digits.
func prefix(tag string) string { return strings.TrimRight(tag, "0123456789") }
