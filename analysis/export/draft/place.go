package draft

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"weirbook/analysis/export"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// place settles where each tag is measured. Where the names tell trains apart,
// each train's tags are placed among themselves, at points of its own, and the
// tags common to all stay where they stand among all.
func place(gs []Guess, r *export.Result) []*train {
	w := newWorld(r)
	before := make([]Guess, len(gs))
	for i, g := range gs {
		before[i] = g.clone()
	}
	settle(gs, w)
	trains := findTrains(gs, r)
	if len(trains) == 0 {
		askTwice(gs, w)
		return nil
	}
	placeTrains(gs, before, trains, w)
	return trains
}

// placing weighs the points at which a tag may be measured.
type placing struct {
	score map[string]float64
	why   map[string][]string
}

func (p *placing) add(at string, weight float64, why string) {
	p.score[at] += weight
	if why != "" && weight > 0 {
		p.why[at] = append(p.why[at], why)
	}
}

// best gives the likeliest point, the next, and the lead of one over the other.
func (p *placing) best() (at, next string, lead float64) {
	high, second := math.Inf(-1), math.Inf(-1)
	for _, q := range []string{basinOutlet, outfall, influent, secondary, basinInlet, basinMiddle, aeration, returnSludge, wasteSludge} {
		s := p.score[q]
		switch {
		case s > high:
			at, next, high, second = q, at, s, high
		case s > second:
			next, second = q, s
		}
	}
	return at, next, high - second
}

// certain is the lead from which a place is not asked about.
const certain = 2.0

// settle places tags by the words of their names and descriptions, by what they
// measure, by what their values are beside their sisters', by which follows which,
// and by their neighbours in number.
func settle(gs []Guess, w *world) {
	chemicals(gs, w)
	ps := weigh(gs, w)
	var open []int
	for i := range gs {
		g := &gs[i]
		at, _, lead := ps[i].best()
		g.At = at
		g.Why = append(g.Why, ps[i].why[at]...)
		if lead < certain && g.Measures != quantity.RunStatus && g.Measures != quantity.Other && !ofTank(g.Measures) && g.looks.n > 0 {
			open = append(open, i)
		}
	}
	askPlaces(gs, ps, open)
	unknowns(gs, w)
	byORPOrder(gs, w)
	forms(gs, w)
}

// unknowns gives each choice for a tag that could be several things the place
// where it would then be.
func unknowns(gs []Guess, w *world) {
	for i := range gs {
		g := &gs[i]
		for k, a := range g.asks {
			if g.Measures != quantity.Other || !slices.Equal(a.columns, []string{"measures"}) {
				continue
			}
			a.columns, a.choices = []string{"measures", "at"}, slices.Clone(a.choices)
			for n, kind := range a.choices {
				if kind == string(quantity.Other) {
					a.choices[n] = kind + " " + g.At
					continue
				}
				as := slices.Clone(gs)
				as[i].Measures = quantity.Kind(kind)
				at, _, _ := weigh(as, w)[i].best()
				a.choices[n] = kind + " " + at
			}
			g.asks[k] = a
		}
	}
}

// weigh weighs the points at which each tag may be measured.
func weigh(gs []Guess, w *world) []*placing {
	ps := make([]*placing, len(gs))
	for i := range gs {
		ps[i] = &placing{map[string]float64{}, map[string][]string{}}
		at, word := byWords(w.words(gs[i].Tag), gs[i].Measures)
		for q, weight := range at {
			ps[i].add(q, weight, "place from "+word)
		}
		byKind(gs[i], ps[i])
	}
	byResidual(gs, ps)
	byORP(gs, ps)
	byFlow(gs, ps, w)
	byLag(gs, ps, w)
	byNeighbour(gs, ps, w)
	return ps
}

// byKind is what a kind of measurement tells by itself.
func byKind(g Guess, p *placing) {
	mid := g.looks.p50
	grab := g.Reading == series.Grab || g.Reading == series.Composite
	switch g.Measures {
	case quantity.HypochloriteFeed, quantity.ChlorineFeed, quantity.HypochloriteGrams:
		p.add(basinInlet, strong, "")
	case quantity.BisulfiteFeed, quantity.SulfurDioxideFeed:
		p.add(outfall, strong, "")
	case quantity.AmmoniaN, quantity.NitriteN, quantity.NitrateN:
		p.add(secondary, 3, "")
		if g.Measures == quantity.AmmoniaN && mid > 14 {
			p.add(influent, 1.5, fmt.Sprintf("so much ammonia (%.3g mg/L) may be raw", mid))
		}
	case quantity.MLSS:
		p.add(aeration, strong, "mixed liquor is in the aeration basin")
	case quantity.DissolvedOxygen:
		p.add(aeration, 2.5, "")
		if mid > 5 {
			p.add(outfall, 2, "")
		}
	case quantity.EColi, quantity.FecalColiform, quantity.TotalColiform, quantity.Enterococci:
		if p.score[basinOutlet] > p.score[outfall] || p.score[secondary] > 0 {
			return // its name says where
		}
		p.add(outfall, 4, "")
	case quantity.TSS, quantity.BOD5, quantity.CBOD5, quantity.COD, quantity.Phosphorus, quantity.TKN:
		raw := map[quantity.Kind]float64{quantity.COD: 150, quantity.Phosphorus: 3.5, quantity.TKN: 18}[g.Measures]
		if raw == 0 {
			raw = 80
		}
		switch {
		case mid > raw:
			p.add(influent, 4, "so much of it is raw influent")
		case mid < raw/2.5:
			p.add(outfall, 3, "so little of it is effluent")
		}
	case quantity.TurbidityK:
		p.add(secondary, 0.5, "")
		p.add(outfall, 0.5, "")
	case quantity.PH, quantity.Temp, quantity.ConductivityK, quantity.ORP, quantity.ChlorineTotal, quantity.ChlorineFree:
		p.add(basinOutlet, 0.5, "")
		if grab && g.Measures == quantity.PH {
			p.add(outfall, 0.5, "")
		}
	}
}

func isResidual(g Guess) bool {
	return g.Measures == quantity.ChlorineTotal || g.Measures == quantity.ChlorineFree
}

// ofTank: of a tank's level it does not matter where along the water it stands.
func ofTank(k quantity.Kind) bool { return k == quantity.Level || k == quantity.TankVolume }

func isGrab(g Guess) bool { return g.Reading == series.Grab || g.Reading == series.Composite }

// nearZero is the residual in mg/L under which water is taken for dechlorinated,
// where another residual is ten times as large; and under a third of it alone.
const nearZero = 0.15

// byResidual: behind dechlorination hardly any is left.
func byResidual(gs []Guess, ps []*placing) {
	top, topTag := 0.0, ""
	low, feed := false, false
	for i, g := range gs {
		if isResidual(g) && g.looks.n > 0 {
			if mid := g.middle(); mid > top && ps[i].score[basinInlet] < strong {
				top, topTag = mid, g.Tag
			}
			low = low || g.middle() < nearZero
		}
		feed = feed || g.Measures == quantity.BisulfiteFeed || g.Measures == quantity.SulfurDioxideFeed
	}
	for i, g := range gs {
		if !isResidual(g) || g.looks.n == 0 {
			continue
		}
		mid := g.middle()
		switch {
		case g.Measures == quantity.ChlorineFree && mid < nearZero:
			ps[i].add(outfall, 1.5, "") // or the chlorine is combined
		case mid < nearZero && top > 10*mid && top > 0.3:
			ps[i].add(outfall, 5, fmt.Sprintf("reads %.2g mg/L where %s reads %.2g: behind dechlorination", mid, topTag, top))
		case mid < nearZero/3:
			ps[i].add(outfall, 4, "a residual near zero stands behind dechlorination")
		case mid >= 0.3 && mid > 0.3*top:
			ps[i].add(basinOutlet, 3, fmt.Sprintf("a residual of %.2g mg/L stands before dechlorination", mid))
			if low || feed {
				ps[i].score[outfall] -= 5
			}
		}
	}
}

// byORP: with the chlorine gone, a probe reads far less; with too much sulfite as
// little as one in an aeration basin.
func byORP(gs []Guess, ps []*placing) {
	top, topTag := 0.0, ""
	dechlorinates := false
	for _, g := range gs {
		dechlorinates = dechlorinates || g.Measures == quantity.BisulfiteFeed || g.Measures == quantity.SulfurDioxideFeed ||
			isResidual(g) && g.looks.n > 0 && g.middle() < nearZero
		if g.Measures == quantity.ORP && !isGrab(g) && g.looks.p50 > top {
			top, topTag = g.looks.p50, g.Tag
		}
	}
	for i, g := range gs {
		if g.Measures != quantity.ORP || g.looks.n == 0 {
			continue
		}
		mid := g.looks.p50
		switch {
		case mid < 150:
			ps[i].add(aeration, 3, fmt.Sprintf("%.3g mV is no disinfected water", mid))
			if dechlorinates {
				ps[i].add(outfall, 2.5, fmt.Sprintf("%.3g mV may be water with sulfite to spare", mid))
			}
		case mid < top-120 && mid < 480:
			ps[i].add(outfall, 4.5, fmt.Sprintf("reads %.3g mV where %s reads %.3g: behind dechlorination", mid, topTag, top))
			ps[i].score[basinOutlet] -= 2
		case mid >= top-120 && mid > 330:
			ps[i].add(basinOutlet, 2.5, fmt.Sprintf("%.3g mV is chlorinated water", mid))
			ps[i].score[outfall] -= 2
		}
	}
}

// byFlow: water arrives before it leaves, and leaves more evenly.
func byFlow(gs []Guess, ps []*placing, w *world) {
	var flows []int
	for i, g := range gs {
		if g.Measures == quantity.Flow && g.looks.n > 0 && ps[i].score[returnSludge] == 0 && ps[i].score[wasteSludge] == 0 {
			flows = append(flows, i)
		}
	}
	if len(flows) == 1 {
		ps[flows[0]].add(basinOutlet, 1, "the only flow")
		return
	}
	for _, a := range flows {
		for _, b := range flows {
			if a >= b {
				continue
			}
			minutes, l, ok := w.behind(gs[a].Tag, gs[b].Tag)
			if !ok || l.Correlation < 0.5 || minutes > -6 && minutes < 6 || !asMuch(gs[a], gs[b]) {
				continue
			}
			up, down := a, b
			if minutes < 0 {
				up, down, minutes = b, a, -minutes
			}
			why := fmt.Sprintf("%s follows %s by %d min", gs[down].Tag, gs[up].Tag, minutes)
			ps[up].add(influent, 3.5, why)
			ps[down].add(basinOutlet, 3.5, why)
		}
	}
	// Where nothing tells, numbers rise along the water: of several, the last is
	// taken to pass the basin. A guess, and asked about.
	last := ""
	for _, i := range flows {
		if at, _, lead := ps[i].best(); lead >= certain && at == basinOutlet {
			last = gs[i].Tag
		}
	}
	for n, i := range flows {
		if _, _, lead := ps[i].best(); lead >= certain {
			continue
		}
		if last == "" && n == len(flows)-1 {
			ps[i].add(basinOutlet, 1, "the last of the flows")
		} else {
			ps[i].add(influent, 1, "")
		}
	}
}

// asMuch says whether two flows can be the same water at two places. A return
// flow that is paced by the influent follows it, too, but is less.
func asMuch(a, b Guess) bool {
	ratio := a.mgd() / b.mgd()
	return ratio > 0.8 && ratio < 1.25
}

// byLag: of two signals of a kind the one that shows a thing first stands
// upstream. Analysers of two methods answer at their own pace and tell nothing.
func byLag(gs []Guess, ps []*placing, w *world) {
	type found struct {
		tag int
		at  string
		up  bool
		why string
	}
	var all []found
	for i, g := range gs {
		if isGrab(g) || g.looks.n == 0 || g.Measures != quantity.PH && g.Measures != quantity.Temp && g.Measures != quantity.ConductivityK && g.Measures != quantity.TurbidityK {
			continue
		}
		if _, _, lead := ps[i].best(); lead >= certain {
			continue
		}
		for j, h := range gs {
			at, _, lead := ps[j].best()
			if i == j || h.Measures != g.Measures || isGrab(h) || lead < certain {
				continue
			}
			if m, l, ok := w.behind(gs[j].Tag, g.Tag); ok && l.Correlation > 0.5 {
				all = append(all, found{i, at, m < 0, fmt.Sprintf("%d min %s %s", max(m, -m), map[bool]string{true: "ahead of", false: "behind"}[m < 0], h.Tag)})
			}
		}
	}
	for _, f := range all {
		k := slices.Index(route, f.at)
		for q, at := range route {
			switch {
			case f.up && q < k, !f.up && q > k:
				ps[f.tag].add(at, 1, f.why)
			case q == k:
				ps[f.tag].score[at] -= 0.5
			default:
				ps[f.tag].score[at] -= 1
			}
		}
	}
}

// askPlaces asks about places that are not certain: tags that were guessed on the
// same grounds share one question.
func askPlaces(gs []Guess, ps []*placing, open []int) {
	flows := 0
	for _, i := range open {
		if at, _, _ := ps[i].best(); gs[i].Measures == quantity.Flow && (at == influent || at == basinOutlet) {
			flows++
		}
	}
	for _, i := range open {
		g := &gs[i]
		at, _, _ := ps[i].best()
		switch {
		case g.Measures == quantity.Flow && at != influent && at != basinOutlet:
			g.choose(fmt.Sprintf("Which flow is it? Taken for %s, %s", title(at), grounds(ps[i], at)), "at", at, basinOutlet, influent, returnSludge, wasteSludge)
		case g.Measures == quantity.Flow && flows > 1:
			g.choose("Which of these is the influent, and which flow passes the contact basin?", "at", at, map[string]string{influent: basinOutlet, basinOutlet: influent}[at], returnSludge, wasteSludge)
		case g.Measures == quantity.Flow:
			g.choose("Is this the flow through the contact basin, or the influent?", "at", basinOutlet, influent, returnSludge, wasteSludge)
			g.At = basinOutlet
		default:
			g.choose(fmt.Sprintf("Where does it measure? Taken for %s, %s", title(at), grounds(ps[i], at)), "at", append([]string{at}, ranked(ps[i], at)...)...)
		}
	}
}

// grounds says on what little a place was guessed, alike for all tags that hang
// on the same.
func grounds(p *placing, at string) string {
	for _, w := range p.why[at] {
		if strings.HasPrefix(w, "place from ") {
			return "from the word " + strings.TrimPrefix(w, "place from ") + " alone."
		}
		if strings.HasPrefix(w, "neighbour") {
			return "after its neighbours in number."
		}
	}
	return "for want of any sign."
}

// ranked gives the other points that are worth asking about, likeliest first.
func ranked(p *placing, but string) []string {
	var out []string
	for _, q := range []string{influent, secondary, basinInlet, basinMiddle, basinOutlet, outfall} {
		if q != but && p.score[q] > -2 {
			out = append(out, q)
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return p.score[out[a]] > p.score[out[b]] })
	return out
}

// title is a point in a sentence.
func title(at string) string { return strings.ReplaceAll(at, "_", " ") }

// askTwice asks about two signals of one kind at one place.
func askTwice(gs []Guess, w *world) {
	first := map[string]int{}
	for i := range gs {
		g := &gs[i]
		if g.Measures == quantity.Other || g.Measures == quantity.RunStatus || ofTank(g.Measures) || g.looks.n == 0 {
			continue
		}
		k := string(g.Measures) + "@" + g.At + "@" + fmt.Sprint(isGrab(*g))
		j, ok := first[k]
		if !ok {
			first[k] = i
			continue
		}
		if slices.ContainsFunc(append(g.asks, gs[j].asks...), func(a ask) bool { return slices.Contains(a.columns, "at") }) {
			continue // asked already
		}
		q := fmt.Sprintf("By these guesses %s and %s measure the same at one place. Where is each?", gs[j].Tag, g.Tag)
		gs[j].choose(q, "at", gs[j].At, gs[j].At, gs[j].spareOf())
		g.choose(q, "at", g.At, g.spareOf(), g.At)
	}
}

// spareOf is the point next to its own where a second instrument is likeliest.
func (g *Guess) spareOf() string {
	base := g.At
	for at, other := range map[string]string{basinOutlet: basinMiddle, outfall: basinOutlet, influent: basinOutlet, secondary: influent} {
		if base == at {
			return other
		}
		if strings.HasSuffix(base, "_"+at) {
			return strings.TrimSuffix(base, at) + other
		}
	}
	return base + "_2"
}
