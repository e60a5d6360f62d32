package draft

import (
	"fmt"
	"slices"
	"strings"
)

// An open question about a row of tags.csv stands in its note:
//
//	CHECK: Where is it? [at: basin_outlet | outfall]; In which unit? [unit: MGD | ML/d] (reasons)
//
// The brackets name the columns and what may be written there, the guess first;
// of several columns a choice holds one word each. Rows with the same question
// are one question: its n-th choice is each row's n-th.

// ask is one open question about a tag.
type ask struct {
	text    string
	columns []string // of tags.csv; none: for a person to think over
	choices []string // words for the columns, in order, with blanks between
}

func (a ask) String() string {
	if len(a.columns) == 0 {
		return a.text
	}
	return a.text + " [" + strings.Join(a.columns, " ") + ": " + strings.Join(a.choices, " | ") + "]"
}

// choose adds a question with choices for columns of the tag's row.
func (g *Guess) choose(q, columns string, choices ...string) {
	for _, a := range g.asks {
		if a.text == q {
			return
		}
	}
	g.asks = append(g.asks, ask{q, strings.Fields(columns), choices})
}

// dropAsks takes questions about a column back.
func (g *Guess) dropAsks(column string) {
	g.asks = slices.DeleteFunc(g.asks, func(a ask) bool { return slices.Contains(a.columns, column) })
}

// settleAsks writes the questions into Ask, in the order in which they are best
// answered: what it is, where, in which unit.
func (g *Guess) settleAsks() {
	order := func(a ask) int {
		switch {
		case slices.Contains(a.columns, "measures"):
			return 0
		case slices.Contains(a.columns, "at"):
			return 1
		case slices.Contains(a.columns, "unit"):
			return 2
		}
		return 3
	}
	slices.SortStableFunc(g.asks, func(a, b ask) int { return order(a) - order(b) })
	var parts []string
	for _, a := range g.asks {
		parts = append(parts, a.String())
	}
	g.Ask = strings.Join(parts, "; ")
}

// tagQuestions gives the questions about tags: one that is asked of several tags
// stands once.
func tagQuestions(gs []Guess) []string {
	var texts []string
	tags := map[string][]string{}
	for _, g := range gs {
		for _, a := range g.asks {
			if tags[a.text] == nil {
				texts = append(texts, a.text)
			}
			tags[a.text] = append(tags[a.text], g.Tag)
		}
	}
	var out []string
	for _, q := range texts {
		out = append(out, fmt.Sprintf("%s: %s", strings.Join(tags[q], ", "), q))
	}
	return out
}
