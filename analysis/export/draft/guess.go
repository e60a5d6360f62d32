package draft

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"weirbook/analysis/export"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// named gives the weight of the word of a name that speaks most for the kind, and
// the word; 0 if none does.
func (c candidate) named(words []string) (float64, string) {
	best, word := 0.0, ""
	for _, w := range words {
		for _, k := range c.words {
			s := 0.0
			switch {
			case w == k:
				s = 4.0
				if len(k) <= 2 && k != "ph" && k != "do" || contains(feedWords, k) {
					s = 2
				}
			case k[0] == '*' && len(k) > 3 && strings.Contains(w, k[1:]):
				s = 3.5
				if k == "*free" {
					s = 5 // a free residual is also a chlorine residual
				}
			}
			if s > best {
				best, word = s, w
			}
		}
	}
	return best, word
}

// Weights: a sign that contradicts outweighs a name.
const (
	unitFits    = 3.0
	unitWrong   = -2.5
	middleFits  = 1.0
	valuesWrong = -10.0
	likeORPGain = 5.0
	sure        = 2.0 // lead over the next guess from which no question is asked
	enough      = 2.0 // score under which a tag stays "other"
)

// guess settles what one tag measures.
func guess(t export.TagInfo, s *series.Series) Guess {
	l := look(t, s)
	g := Guess{Tag: t.Name, Measures: quantity.Other, Low: math.NaN(), High: math.NaN(), looks: l}
	words := tokens(t.Name + " " + t.Description)
	for _, where := range []string{t.Name, t.Description} {
		if t.Unit == "" {
			t.Unit = unitInName(where) // what an export writes into the heading counts as its unit
		}
	}
	if what := elsewhere.of(t.Unit); what != "" {
		g.Why = []string{"unit " + t.Unit + ": " + what + ", which is not used here"}
		g.Reading = reading(g, l)
		return g
	}
	w := besideWords.in(words)
	if setPoint.MatchString(t.Name) {
		w = "SP"
	}
	if w != "" && l.n > 0 && !l.likeGrab() {
		g.Why = []string{"name says " + w + ": not used here"}
		g.Reading = reading(g, l)
		return g
	}
	unit, uerr := quantity.ParseUnit(t.Unit)
	best, second := -1, -1
	scores := make([]float64, len(candidates))
	whys := make([][]string, len(candidates))
	for i, c := range candidates {
		scores[i], whys[i] = c.score(words, t, unit, uerr == nil, l)
		switch {
		case best < 0 || scores[i] > scores[best]:
			best, second = i, best
		case second < 0 || scores[i] > scores[second]:
			second = i
		}
	}
	c := candidates[best]
	if l.n == 0 && !l.words {
		return g.unread(t, c, scores[best], unit, uerr == nil)
	}
	g.score, g.second = scores[best], scores[second]
	weight, _ := c.called(words, l)
	g.named = weight > 0
	if g.score < enough {
		g.Why = []string{"neither name, unit nor values say what it is"}
		g.choose("What does this measure?"+nearest(candidates[best], candidates[second], g.score > 0), "measures", whichKinds(scores)...)
		g.Reading = reading(g, l)
		return g
	}
	g.Measures = c.kind
	g.Why = whys[best]
	g.Reading = reading(g, l)
	if g.Reading == series.OnChange || g.Reading == series.Continuous && l.thinned() {
		g.MaxGap = l.maxGap()
		g.Why = append(g.Why, l.storage())
	}
	g.unit(t, c, unit, uerr == nil)
	g.span(c)
	if c.kind == quantity.ORP && l.p95 < 20 && l.whole < 0.5 {
		g.choose("ORP in mV reads in the hundreds. Is this a residual in mg/L, or ORP in volts?", "measures unit", "orp mV", "chlorine_total mg/L", "orp V")
	}
	g.unsure = g.score-g.second < sure
	if c.kind == quantity.ChlorineTotal && totalWords.in(words) == "" {
		g.unsure = true // chlorine, but in which form?
	}
	if len(g.asks) == 0 && g.unsure && c.kind == quantity.ChlorineTotal && g.named {
		g.choose(whichForm, "measures", string(quantity.ChlorineTotal), string(quantity.ChlorineFree))
	} else if len(g.asks) == 0 && g.unsure {
		g.choose(fmt.Sprintf("Is it %s, or %s?", c.title, candidates[second].title), "measures", string(c.kind), string(candidates[second].kind))
	}
	if l.fills > 0 {
		if l.fills == 1 {
			g.Why = append(g.Why, "1 reading looks like a fill number")
		} else {
			g.Why = append(g.Why, fmt.Sprintf("%d readings look like fill numbers", l.fills))
		}
	}
	return g
}

// unread is all that a tag without a single reading tells: what its name and unit
// say. Nothing is asked of it: what kept its readings out is the question.
func (g Guess) unread(t export.TagInfo, c candidate, score float64, unit quantity.Unit, known bool) Guess {
	g.Why = []string{"no reading of it could be read"}
	if score >= enough {
		g.Measures = c.kind
		g.Why = append(g.Why, "guessed from its name alone")
	}
	g.Reading = reading(g, g.looks)
	if known {
		if _, err := quantity.Accept(c.kind, unit); err == nil {
			g.Unit = t.Unit
		}
	}
	return g
}

func nearest(a, b candidate, some bool) string {
	if !some {
		return ""
	}
	return fmt.Sprintf(" Perhaps %s or %s.", a.title, b.title)
}

// whichKinds gives "other" and the kinds that fit best.
func whichKinds(scores []float64) []string {
	order := make([]int, len(scores))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return scores[order[a]] > scores[order[b]] })
	out := []string{string(quantity.Other)}
	for _, i := range order[:5] {
		if scores[i] > 0 {
			out = append(out, string(candidates[i].kind))
		}
	}
	return out
}

// score weighs name, unit and values for one kind.
func (c candidate) score(words []string, t export.TagInfo, unit quantity.Unit, known bool, l looks) (float64, []string) {
	var why []string
	total := 0.0
	n, w := c.called(words, l)
	isNamed := n > 0
	if isNamed {
		total += n
		why = append(why, fmt.Sprintf("name says %q", w))
	}
	info, _ := quantity.Of(c.kind)
	fits := false
	if known {
		_, err := quantity.Accept(c.kind, unit)
		if fits = err == nil; fits {
			total += unitFits
			switch {
			case !shared(unit.Dimension):
				total++ // hardly anything else comes in this unit
			case unit.Dimension == quantity.VolumeRate && pumpUnit[unit.Symbol] != (c.kind == quantity.HypochloriteFeed || c.kind == quantity.BisulfiteFeed):
				total -= 2 // a feed pump's unit for a stream, or a stream's for a feed
			}
			why = append(why, "unit "+t.Unit)
		} else {
			total += unitWrong
		}
	}
	if letter, controls := instrument(t.Name); letter != "" && (!isNamed || n <= 2) {
		total += letterFits(letter, controls, c.kind, l)
	}
	if c.lab && !l.likeGrab() {
		total--
		if countKind(c.kind) && l.n > 0 {
			return total + valuesWrong, why // nobody counts colonies by the minute
		}
	}
	if l.n == 0 {
		return total, why
	}
	// Values, in the working unit where the unit can be believed.
	conv := func(v float64) float64 { return v }
	if fits && unit.Dimension == info.Working.Dimension {
		conv = func(v float64) float64 {
			x, err := quantity.Convert(v, unit, info.Working)
			if err != nil {
				return v
			}
			return x
		}
	}
	open := !fits && (c.kind == quantity.Flow || c.kind == quantity.Level || c.kind == quantity.Temp) // several units: no range without one
	p1, p50, p999 := conv(l.p1), conv(l.p50), conv(l.p999)
	switch {
	case c.kind == quantity.RunStatus:
		if l.likeState() {
			total += 4
			why = append(why, stateWhy(l))
		} else {
			return total + valuesWrong, why
		}
	case l.likeState() && l.words:
		return total + valuesWrong, why
	case c.kind == quantity.FlowTotal:
		if !l.likeCounter() {
			return total + valuesWrong, why
		}
		total += 3
		why = append(why, "it only rises")
	case c.kind == quantity.ORP:
		if l.p1 < -1200 || l.p999 > 1500 || l.max-l.min < 3 && l.whole < 0.5 {
			return total + valuesWrong, why
		}
		if l.likeORP() && (!l.likeGrab() || fits) {
			total += likeORPGain
			why = append([]string{fmt.Sprintf("whole numbers from %g to %g", l.p5, l.p95)}, why...)
		} else if l.p95 < 20 && l.whole < 0.5 {
			return total + valuesWrong/2, append(why, "but its values are small and broken, as a residual's in mg/L")
		}
	case open:
		if l.p1 < -10 {
			return total + valuesWrong, why
		}
	case p1 < c.low-0.05*(c.high-c.low) || p999 > 3*c.high || p50 > c.high:
		return total + valuesWrong, why
	case p50 >= c.from && p50 <= c.to:
		total += middleFits
		why = append(why, fmt.Sprintf("middle value %.4g", l.p50))
	}
	if c.kind == quantity.PH && l.p95-l.p5 < 2 && l.p5 > 5 && l.p95 < 9.5 && l.whole < 0.5 {
		total++
	}
	// So many milligrams of anything is only believed where the name says so.
	if l.likeORP() && !l.likeGrab() && info.Working.Dimension == quantity.Concentration && (!isNamed || c.high < 200) {
		return total + valuesWrong, why
	}
	return total, why
}

// countKind says whether a kind is counted on plates.
func countKind(k quantity.Kind) bool {
	info, _ := quantity.Of(k)
	return info.Working.Dimension == quantity.Count
}

// freeNamed says whether a name speaks of a free residual, which is a chlorine
// residual too but no total one.
func freeNamed(words []string) bool {
	for _, w := range words {
		if strings.Contains(w, "free") || w == "frc" || w == "fcl" || w == "fcl2" || w == "fac" || w == "cl2f" || w == "clf" || w == "libre" || w == "livre" || strings.HasSuffix(w, "frei") {
			return true
		}
	}
	return false
}

// called is named, but for words that mean another thing beside others: chlorine
// in hypochlorite and in dechlorination, chlorine that is fed, and the bare "total"
// of a laboratory's sheet.
func (c candidate) called(words []string, l looks) (float64, string) {
	n, w := c.named(words)
	fed := fedWords.in(words)
	near := beside(words) != ""
	switch c.kind {
	case quantity.HypochloriteFeed, quantity.BisulfiteFeed:
		chemicals := sulfiteWords
		if c.kind == quantity.BisulfiteFeed {
			chemicals = hypoWords
		}
		if near || residualWords.in(words) != "" || levelWords.in(words) != "" || n <= 2 && chemicals.in(words) != "" {
			return 0, "" // a place, a residual, a tank's level, or the other chemical
		}
	case quantity.Flow:
		if !near && chemical.in(words) != "" {
			return 0, "" // what is fed is no stream
		}
	}
	switch c.kind {
	case quantity.ChlorineTotal:
		switch {
		case freeNamed(words) || !near && chemical.in(words) != "" || onlyDechlorination(words) || fed != "" && n > 0 && residualWords.in(words) == "":
			return 0, ""
		case n == 0 && l.likeGrab() && contains(words, "total"):
			return 2.5, "total"
		}
	case quantity.HypochloriteFeed:
		if chlorine := list("cl2 cl chlor*").in(words); fed != "" && chlorine != "" && chemical.in(words) == "" && !onlyDechlorination(words) {
			return 4, chlorine + " " + fed
		}
	case quantity.BisulfiteFeed:
		if d := dechlorWords.in(words); fed != "" && d != "" {
			return 4, d + " " + fed
		}
	}
	return n, w
}

// fedWords say that something is dosed.
var fedWords = list("feed dose dosing dos dosif* dosag* pump metering feeder")

// totalWords say that a residual is the total one.
var totalWords = list("trc tcr tcl tcl2 tclr cl2t cl2tot clt tot *total* *clges gesamt* ges combined")

// Words for what is fed, which is no residual.
var (
	hypoWords    = list("*hypo* *hipoc* *ipoclor* naocl *bleach* *javel*")
	sulfiteWords = list("*bisul* *bissul* *bisol* *sulfit* *sulphit* sbs smbs")
	chemical     = append(hypoWords[:len(hypoWords):len(hypoWords)], sulfiteWords...)
)

// residualWords say that what is left is measured, levelWords what stands in a tank.
var (
	residualWords = list("resid* trc frc tcr")
	levelWords    = list("level lvl *niveau* *nivel* *fuellst* *pegel*")
)

// beside gives "after SBS" and the like: a chemical that is named for a place.
func beside(words []string) string {
	c := chemical.in(words)
	for _, v := range []vocabulary{beforeWords, afterWords} {
		if w := v.in(words); c != "" && w != "" && fedWords.in(words) == "" {
			return w + " " + c
		}
	}
	return ""
}

// onlyDechlorination says that chlorine is named in "dechlorination" alone.
func onlyDechlorination(words []string) bool {
	de, chlorine := false, false
	for _, w := range words {
		d := strings.Contains(w, "dechlor") || strings.Contains(w, "declor") || strings.Contains(w, "entchlor")
		de = de || d
		chlorine = chlorine || !d && (strings.HasPrefix(w, "chlor") || strings.HasPrefix(w, "cloro") || strings.Contains(w, "cl2") || strings.Contains(w, "resid") || w == "trc")
	}
	return de && !chlorine
}

// shared says whether several kinds come in units of this dimension.
func shared(d quantity.Dimension) bool {
	return d == quantity.Concentration || d == quantity.VolumeRate || d == quantity.MassRate || d == quantity.Percent || d == quantity.Dimensionless || d == quantity.Count
}

func stateWhy(l looks) string {
	if l.words {
		return "its values are words"
	}
	if l.distinct == 1 {
		return "one value throughout"
	}
	return fmt.Sprintf("%d different values", l.distinct)
}
