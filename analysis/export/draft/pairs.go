package draft

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

func isFeed(g Guess) bool {
	return g.Measures == quantity.HypochloriteFeed || g.Measures == quantity.BisulfiteFeed
}

// chemicals tells the feeds apart whose names do not: bisulfite is dosed after
// what is left of the chlorine, so bisulfite over flow moves with the residual
// before it, at the same minute; hypochlorite over flow moves before the residual
// does, if at all.
func chemicals(gs []Guess, w *world) {
	var feeds []int
	flow, residual := -1, -1
	for i, g := range gs {
		switch {
		case isFeed(g) && g.looks.n > 0 && !isGrab(g):
			feeds = append(feeds, i)
		case g.Measures == quantity.Flow && g.looks.n > 0:
			if at, _ := byWords(w.words(g.Tag), g.Measures); flow < 0 || at[basinOutlet] > 0 {
				flow = i
			}
		case isResidual(g) && !isGrab(g) && g.middle() > 0.3 && (residual < 0 || g.middle() > gs[residual].middle()):
			residual = i
		}
	}
	if len(feeds) < 2 {
		return
	}
	r := make([]float64, len(gs))
	for _, i := range feeds {
		r[i] = math.NaN()
		if flow >= 0 && residual >= 0 {
			r[i] = dosedAfter(w.signal(gs[i].Tag), w.signal(gs[flow].Tag), w.signal(gs[residual].Tag))
		}
	}
	unsure := map[int]bool{}
	for _, i := range feeds {
		unsure[i] = gs[i].unsure
	}
	for _, i := range feeds {
		g := &gs[i]
		if !unsure[i] {
			continue
		}
		// Against the other feed of the same make, or of the plant.
		other := -1
		for _, j := range feeds {
			if j != i && (other < 0 || alikeNamed(gs[j].Tag, g.Tag)) {
				other = j
			}
		}
		clear := r[i] > r[other]+0.25 && r[i] > 0.35 || r[other] > r[i]+0.25 && r[other] > 0.35
		sulfite := r[i] > r[other]
		if !clear {
			sulfite = g.looks.p50 < gs[other].looks.p50
		}
		if !unsure[other] { // its sister's name is known: it is the other one
			sulfite = gs[other].Measures == quantity.HypochloriteFeed
		}
		agree := sulfite == (g.looks.p50 < gs[other].looks.p50)
		why := "the larger of the feeds"
		if g.looks.p50 < gs[other].looks.p50 {
			why = "the smaller of the feeds"
		}
		g.Measures = quantity.HypochloriteFeed
		if sulfite {
			g.Measures = quantity.BisulfiteFeed
		}
		if clear {
			why = fmt.Sprintf("over the flow it moves with %s less than %s does", gs[residual].Tag, gs[other].Tag)
			if sulfite {
				why = fmt.Sprintf("over the flow it moves with %s at the same minute (r %.2f): it is dosed after what is left", gs[residual].Tag, r[i])
			}
		}
		g.Why = append(g.Why, why)
		g.dropAsks("measures")
		if clear && agree {
			continue
		}
		hypo, sulf := "hypochlorite_feed basin_inlet", "bisulfite_feed outfall"
		if sulfite {
			hypo, sulf = sulf, hypo
		}
		g.choose("Which feed is hypochlorite, and which bisulfite?", "measures at", hypo, sulf)
	}
	for _, i := range feeds {
		gs[i].unsure = false
	}
}

// dosedAfter correlates a feed over the flow with a residual at the same minutes,
// of steps over 15 minutes, so that slow drifts do not vote.
func dosedAfter(feed, flow, residual *series.Series) float64 {
	at := func(s *series.Series, t int64) float64 {
		i := s.Find(t)
		if i < s.Len() && s.T[i] == t {
			return s.V[i]
		}
		return math.NaN()
	}
	var n, sx, sy, sxx, syy, sxy float64
	step := int64(15 * 60_000)
	for _, t := range feed.T {
		if t%step != 0 {
			continue
		}
		ratio := func(t int64) float64 { return at(feed, t) / at(flow, t) }
		x, y := ratio(t)-ratio(t-step), at(residual, t)-at(residual, t-step)
		if math.IsNaN(x) || math.IsNaN(y) || math.IsInf(x, 0) {
			continue
		}
		n, sx, sy, sxx, syy, sxy = n+1, sx+x, sy+y, sxx+x*x, syy+y*y, sxy+x*y
	}
	d := math.Sqrt((sxx - sx*sx/n) * (syy - sy*sy/n))
	if n < 100 || !(d > 0) {
		return math.NaN()
	}
	return (sxy - sx*sy/n) / d
}

// alikeNamed says whether two names differ in figures only.
func alikeNamed(a, b string) bool {
	return figures.ReplaceAllString(a, "") == figures.ReplaceAllString(b, "")
}

const whichForm = "Is it total chlorine, or free?"

// forms settles total and free of residuals whose names do not say it: at one
// place, free chlorine reads below total. The question is one for the plant.
func forms(gs []Guess, w *world) {
	for i := range gs {
		g := &gs[i]
		if g.Measures != quantity.ChlorineTotal || !g.unsure {
			continue
		}
		for j := range gs {
			h := &gs[j]
			if j == i || !isResidual(*h) || h.At != g.At || isGrab(*h) != isGrab(*g) || h.Measures == quantity.ChlorineFree && !h.unsure {
				continue
			}
			if h.middle() > g.middle() && g.middle() > 0.4*h.middle() && g.At != outfall {
				g.Measures = quantity.ChlorineFree
				g.Why = append(g.Why, "it reads below "+h.Tag+", as free chlorine does below total")
				break
			}
		}
	}
	for i := range gs {
		g := &gs[i]
		if !g.unsure || !isResidual(*g) {
			continue
		}
		if g.named && slices.ContainsFunc(gs, func(h Guess) bool {
			return h.Measures == quantity.ChlorineFree && !h.unsure && h.At == g.At && isGrab(h) == isGrab(*g)
		}) {
			g.unsure = false // its sister says free
			g.dropAsks("measures")
			continue
		}
		nothing := g.named && g.At == outfall && g.middle() < nearZero
		if words, _ := byWords(w.words(g.Tag), g.Measures); nothing && g.Measures == quantity.ChlorineTotal && words[outfall] > words[basinOutlet] {
			g.unsure = false
			g.dropAsks("measures")
			g.Why = append(g.Why, "what is left behind dechlorination is measured as total chlorine")
			continue
		}
		other := quantity.ChlorineFree
		if g.Measures == other {
			other = quantity.ChlorineTotal
		}
		g.dropAsks("measures")
		if nothing {
			g.dropAsks("at")
			g.choose("Is it total chlorine behind dechlorination, or free chlorine before it, where the chlorine is combined?", "measures at", string(quantity.ChlorineTotal)+" "+outfall, string(quantity.ChlorineFree)+" "+basinOutlet)
			g.Measures = quantity.ChlorineTotal
			continue
		}
		if g.named {
			g.choose(whichForm, "measures", string(g.Measures), string(other))
			continue
		}
		g.dropAsks("at")
		choices := []string{string(g.Measures) + " " + g.At, string(other) + " " + g.At, string(quantity.AmmoniaN) + " " + secondary, string(quantity.NitriteN) + " " + secondary, string(quantity.NitrateN) + " " + secondary}
		if alone(gs, i) {
			// A residual near zero that stands apart from all others in number.
			g.Measures, g.At = quantity.AmmoniaN, secondary
			choices[0], choices[2] = choices[2], choices[0]
		}
		g.choose("What does it measure? Its name does not say, and several things read like that in mg/L.", "measures at", choices...)
	}
}

// alone says whether a tag taken for dechlorinated water has no neighbour in
// number there, while another residual has.
func alone(gs []Guess, i int) bool {
	if gs[i].At != outfall || isGrab(gs[i]) {
		return false
	}
	neighbours := func(k int) int {
		n, ok := numbered(gs[k].Tag)
		count := 0
		for j, h := range gs {
			if m, some := numbered(h.Tag); j != k && ok && some && h.At == outfall && m.series == n.series && (n.near(m, false) || m.value-n.value == 1 || n.value-m.value == 1) {
				count++
			}
		}
		return count
	}
	if neighbours(i) > 0 {
		return false
	}
	for k, h := range gs {
		if k != i && isResidual(h) && !isGrab(h) && h.At == outfall && neighbours(k) > 0 {
			return true
		}
	}
	return false
}

// byORPOrder: of two probes in chlorinated water the one that shows a thing first
// stands further up the basin.
func byORPOrder(gs []Guess, w *world) {
	var probes []int
	for i, g := range gs {
		if g.Measures == quantity.ORP && !isGrab(g) && g.looks.n > 0 && g.At == basinOutlet {
			probes = append(probes, i)
		}
	}
	if len(probes) != 2 {
		return
	}
	a, b := probes[0], probes[1]
	minutes, l, ok := w.behind(gs[a].Tag, gs[b].Tag)
	up, down := a, b
	why := "the first of two probes in chlorinated water"
	if ok && l.Correlation > 0.5 && (minutes > 5 || minutes < -5) {
		if minutes < 0 {
			up, down, minutes = b, a, -minutes
		}
		why = fmt.Sprintf("%s follows %s by %d min", gs[down].Tag, gs[up].Tag, minutes)
	}
	for _, i := range probes {
		if at, word := byWords(w.words(gs[i].Tag), quantity.ORP); at[basinOutlet] >= strong {
			if other := a + b - i; strings.Contains(why, "first of two") {
				up = other
				why = "another probe than at " + word
			}
		}
	}
	gs[up].At = basinMiddle
	gs[up].Why = append(gs[up].Why, why)
	for _, i := range probes {
		gs[i].dropAsks("at")
	}
	q := fmt.Sprintf("Both %s and %s stand in chlorinated water. Is %s further up the basin?", gs[a].Tag, gs[b].Tag, gs[up].Tag)
	down = a + b - up
	if seen := strings.Contains(why, "follows") || strings.Contains(why, "another probe"); seen {
		gs[up].choose(q, "at", basinMiddle, basinInlet, basinOutlet)
		return
	}
	gs[up].choose(q, "at", basinMiddle, basinOutlet, basinInlet)
	gs[down].choose(q, "at", basinOutlet, basinMiddle, basinOutlet)
}
