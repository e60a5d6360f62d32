package draft

import (
	"fmt"
	"regexp"
	"sort"
	"strconv"
	"strings"

	"weirbook/analysis/quantity"
)

// number is a tag's place in the plant's numbering.
type number struct {
	series string // what stands around the number, without the letters that say what measures
	value  int
	digits int
}

var (
	lastNumber = regexp.MustCompile(`^(.*?)([0-9]+)([A-Za-z]?)([^0-9]*)$`)
	isaLetters = regexp.MustCompile(`(?i)[ACDEFLPQSTVWXYZ](?:[DFIQ]?[TECIRSVYQ]{1,2}[CTRS]?|V)[A-D]?$`)
)

// numbered reads the number of a tag whose name says nothing else: FIT-101,
// 40-AIT-120, PLC2.AI06.PV, AE-521. Where a word says what is measured the number
// may count instruments of that kind, and stands only if it has three digits.
func numbered(tag string) (number, bool) {
	m := lastNumber.FindStringSubmatch(strings.TrimSpace(tag))
	if m == nil {
		return number{}, false
	}
	v, err := strconv.Atoi(m[2])
	if err != nil || len(m[2]) > 6 {
		return number{}, false
	}
	before := strings.TrimRight(m[1], " -_./")
	if s := isaLetters.ReplaceAllString(before, "#"); s != before {
		before = s
	}
	n := number{series: strings.ToUpper(before) + "|" + strings.ToUpper(m[4]), value: v, digits: len(m[2])}
	if n.digits < 3 && kindNamed(tag) {
		return number{}, false
	}
	return n, true
}

// kindNamed says whether a word, and not letters of an instrument, tells what is measured.
func kindNamed(tag string) bool {
	for _, w := range tokens(tag) {
		for _, c := range candidates {
			if n, _ := c.named([]string{w}); n >= 3.5 && len(w) > 2 {
				return true
			}
		}
	}
	return false
}

// near says whether two numbers of one series belong to one loop group: the same
// tens of three and more digits (hundreds of five, and of four that count by tens).
func (n number) near(m number, byTens bool) bool {
	if n.series != m.series || n.digits != m.digits {
		return false
	}
	if n.digits >= 5 || n.digits == 4 && byTens {
		return n.value/100 == m.value/100
	}
	return n.value/10 == m.value/10 && n.digits >= 3
}

// byNeighbour: instruments of one loop group stand together, and what stands
// between two neighbours of one place stands there too.
func byNeighbour(gs []Guess, ps []*placing, w *world) {
	type anchor struct {
		n   number
		at  string
		tag string
		key string
		// what it measures is asked itself: it says less about its neighbours
		unsure bool
	}
	var anchors []anchor
	odd := map[string]bool{} // series whose numbers do not count by tens
	for _, g := range gs {
		if n, ok := numbered(g.Tag); ok && n.value%10 != 0 {
			odd[n.series] = true
		}
	}
	for i, g := range gs {
		at, _, lead := ps[i].best()
		if lead < certain || g.looks.n == 0 || isFeed(g) || g.Measures == quantity.Flow || g.Measures == quantity.FlowTotal || g.Measures == quantity.RunStatus || g.Measures == quantity.ChlorineFeed || g.Measures == quantity.SulfurDioxideFeed {
			continue
		}
		n, _ := numbered(g.Tag)
		anchors = append(anchors, anchor{n, at, g.Tag, station(g.Tag), g.unsure && !g.named})
	}
	for i := range gs {
		g := &gs[i]
		if _, _, lead := ps[i].best(); lead >= certain || g.Measures == quantity.Flow || g.Measures == quantity.Other || g.Measures == quantity.RunStatus {
			continue
		}
		key := station(g.Tag)
		votes := map[string]string{}
		for _, a := range anchors {
			if a.tag != g.Tag && key != "" && a.key == key {
				votes[a.at] = a.tag
			}
		}
		if len(votes) == 1 {
			for at, tag := range votes {
				ps[i].add(at, 3, "named like "+tag)
			}
			continue
		}
		n, ok := numbered(g.Tag)
		if !ok {
			continue
		}
		var same []anchor
		for _, a := range anchors {
			if a.tag != g.Tag && a.n.series == n.series && a.n.digits == n.digits {
				same = append(same, a)
			}
		}
		sort.Slice(same, func(x, y int) bool { return same[x].n.value < same[y].n.value })
		var below, above *anchor
		group := map[string]*anchor{}
		members := 0
		for k := range same {
			a := &same[k]
			if a.n.near(n, !odd[n.series]) && a.at != basinMiddle {
				members++
			}
			if a.n.near(n, !odd[n.series]) && a.at != basinMiddle && (group[a.at] == nil || group[a.at].unsure) {
				group[a.at] = a
			}
			if a.n.value < n.value {
				below = a
			}
			if a.n.value > n.value && above == nil {
				above = a
			}
		}
		switch {
		case len(group) == 1:
			for at, a := range group {
				weight := 3.0
				if a.unsure {
					weight = min(3, 1.2+0.8*float64(members-1)) // several agree
				}
				ps[i].add(at, weight, fmt.Sprintf("neighbour of %s in number", a.tag))
			}
		case below != nil && above != nil && below.at == above.at && !(below.unsure && above.unsure):
			ps[i].add(below.at, 2, fmt.Sprintf("neighbour of %s and %s in number", below.tag, above.tag))
		case below != nil && n.value-below.n.value <= 2:
			ps[i].add(below.at, 1, fmt.Sprintf("neighbour of %s in number", below.tag))
		case above != nil && above.n.value-n.value <= 2:
			ps[i].add(above.at, 1, fmt.Sprintf("neighbour of %s in number", above.tag))
		}
	}
}

// station is what a name says beside what is measured: "CCB2 EFF" of CCB2_EFF_PH.
// "" where nothing but instrument letters and numbers is left.
func station(tag string) string {
	var out []string
	some := false
	for _, p := range segments(tag) {
		low := plain(p)
		letters := strings.TrimRight(low, "0123456789")
		if letters == "" || instrumentLetters.MatchString(strings.ToUpper(letters)) || isUnit(p) {
			continue
		}
		measures := false
		for _, c := range candidates {
			if n, _ := c.named(tokens(p)); n > 0 {
				measures = true
				break
			}
		}
		if measures {
			continue
		}
		out = append(out, low)
		some = some || !noTrain[strings.ToUpper(letters)] || contactWords.in([]string{letters}) != "" || outWords.in([]string{letters}) != ""
	}
	if !some {
		return ""
	}
	return strings.Join(out, " ")
}
