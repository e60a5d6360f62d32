package draft

import (
	"regexp"
	"slices"
	"sort"
	"strings"

	"weirbook/analysis/export"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// train is a group of tags that their names set apart as one of several
// parallel trains.
type train struct {
	label string            // as people say it: T1, North, train A
	name  string            // before the names of its points: t1, north, train_a
	tags  map[string]string // why each tag is of the train
	basin bool              // a residual or ORP is measured in it

	onlyFlow bool // its only flow was taken to pass its basin, for want of a better sign
}

// family is one way of cutting the tags' names: each value, the tags that have
// it, and why.
type family struct {
	numbered bool // T1, T2, …
	strict   bool // the values are directions, words of the plant's own or letters
	letters  bool
	text     func(Guess) string // what was cut
	values   map[string]*train
	digit    map[string]bool // a number ends the value
}

func (f *family) add(value, label, tag, why string) {
	if f.values == nil {
		f.values, f.digit = map[string]*train{}, map[string]bool{}
	}
	t := f.values[value]
	if t == nil {
		t = &train{label: label, name: slug(label), tags: map[string]string{}}
		f.values[value] = t
	}
	t.tags[tag] = why
}

// findTrains groups tags into parallel trains by what their names say. It gives
// none unless at least two groups hold a residual or ORP and a second kind that
// both measure; words that could name something else must show more (see
// strictEnough); and two ways of cutting that disagree cancel each other. Tags of
// no group are common to all.
func findTrains(gs []Guess, r *export.Result) []*train {
	if t, some := agreed(gs, append(byWord(gs, "name", Guess.label), append(append(byLead(gs), byLetter(gs)), byNumber(gs)...)...)); some {
		return t
	}
	// Names that say nothing may have a description that does.
	desc := map[string]string{}
	for _, t := range r.Tags {
		desc[t.Name] = t.Description
	}
	t, _ := agreed(gs, byWord(gs, "description", func(g Guess) string { return desc[g.Tag] }))
	return t
}

// agreed gives the trains of the family that covers most tags, or none where two
// families that both fit do not cut alike. some says that any fits.
func agreed(gs []Guess, families []*family) (trains []*train, some bool) {
	var best *family
	covers := 0
	var fit []*family
	for _, f := range families {
		if !f.fits(gs) {
			continue
		}
		fit = append(fit, f)
		n := 0
		for _, t := range f.values {
			n += len(t.tags)
		}
		if n > covers {
			best, covers = f, n
		}
	}
	for _, f := range fit {
		if !alike(best, f) {
			return nil, true
		}
	}
	if best == nil {
		return nil, false
	}
	for _, t := range best.values {
		trains = append(trains, t)
	}
	sort.Slice(trains, func(i, j int) bool { return trains[i].label < trains[j].label })
	return trains, true
}

// alike says whether two families speak of the same tags and cut them alike.
func alike(a, b *family) bool {
	to, from := map[string]string{}, map[string]string{}
	meet := false
	for va, ta := range a.values {
		for vb, tb := range b.values {
			for tag := range ta.tags {
				if _, both := tb.tags[tag]; !both {
					continue
				}
				if to[va] != "" && to[va] != vb || from[vb] != "" && from[vb] != va {
					return false
				}
				to[va], from[vb], meet = vb, va, true
			}
		}
	}
	return meet
}

// class puts kinds together that tell the same about a train.
func class(g Guess) string {
	if g.Reading == series.Grab || g.Reading == series.Composite {
		return ""
	}
	switch g.Measures {
	case quantity.Flow, quantity.FlowTotal:
		return "flow"
	case quantity.ChlorineTotal, quantity.ChlorineFree:
		return "residual"
	case quantity.HypochloriteFeed, quantity.ChlorineFeed:
		return "feed"
	case quantity.BisulfiteFeed, quantity.SulfurDioxideFeed:
		return "dechlorination"
	case quantity.ORP:
		if g.looks.p50 < contactORP {
			return "low orp"
		}
	case quantity.Other, quantity.RunStatus:
		return ""
	}
	return string(g.Measures)
}

// contactORP in mV: below it a probe stands in an aeration basin or behind
// dechlorination and says nothing about disinfection.
const contactORP = 300

func disinfects(classes map[string]int) bool {
	return classes["residual"]+classes[string(quantity.ORP)] > 0
}

// most trains that a plant is believed to have.
const mostTrains = 8

// fits says whether the values of a family can be trains, and drops those that
// cannot.
func (f *family) fits(gs []Guess) bool {
	has := map[string]map[string]int{}
	basins := map[string]bool{}
	for v, t := range f.values {
		has[v] = map[string]int{}
		for _, g := range gs {
			if _, in := t.tags[g.Tag]; in {
				if c := class(g); c != "" {
					has[v][c]++
					if words := tokens(f.text(g)); disinfects(map[string]int{c: 1}) {
						for _, w := range basinWords {
							basins[v] = basins[v] || contains(words, w)
						}
					}
				}
			}
		}
		t.basin = disinfects(has[v])
	}
	// A train shares a signal of disinfection, and something else, with another.
	var trains []string
	akin := map[string]bool{} // shares anything
	for v, mine := range has {
		for w, others := range has {
			both := map[string]int{}
			for c := range mine {
				if others[c] > 0 {
					both[c] = 1
				}
			}
			akin[v] = akin[v] || v != w && len(both) > 0
			if v != w && disinfects(both) && len(both) >= 2 && (!f.strict || f.strictEnough(v, mine, basins[v]) && f.strictEnough(w, others, basins[w])) {
				trains = append(trains, v)
				break
			}
		}
	}
	for v := range f.values {
		// The third of three numbered trains may lack instruments.
		if !slices.Contains(trains, v) && !(f.numbered && akin[v]) {
			delete(f.values, v)
		}
	}
	if len(trains) < 2 || len(f.values) > mostTrains {
		return false
	}
	// Numbers must account for half of the plant's disinfection, other words for
	// nearly all of it: what they leave out might be cut another way.
	all, covered := 0, 0
	for _, g := range gs {
		if !disinfects(map[string]int{class(g): 1}) || g.At == outfall {
			continue
		}
		all++
		for _, t := range f.values {
			if _, in := t.tags[g.Tag]; in {
				covered++
			}
		}
	}
	if f.strict {
		return 4*covered >= 3*all
	}
	return 2*covered >= all
}

// strictEnough asks of values that could as well be systems, duty and standby,
// channels, or the ends of one basin: a flow of their own, or a basin in their names; of a whole word a
// feed will do.
func (f *family) strictEnough(v string, classes map[string]int, basin bool) bool {
	switch {
	case classes["flow"] > 0:
		return true
	case f.letters:
		return false // pumps and analysers come in pairs at one place
	case basin:
		return true
	}
	return !f.digit[v] && classes["feed"] > 0
}

var notWord = regexp.MustCompile(`[^a-z0-9]+`)

// slug makes a name for points of a label.
func slug(label string) string {
	s := strings.NewReplacer("ü", "ue", "ö", "oe", "ä", "ae").Replace(strings.ToLower(label))
	return strings.Trim(notWord.ReplaceAllString(s, "_"), "_")
}
