package draft

import (
	"fmt"
	"math"
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
	label string // as people say it: T1, North, train A
	name  string // before the names of its points: t1, north, train_a
	tags  map[string]string
	basin bool // a residual or ORP is measured in it

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
	if t := agreed(gs, append(byWord(gs, "name", Guess.label), append(byLead(gs), byLetter(gs))...)); t != nil {
		return t
	}
	// Names that say nothing may have a description that does.
	desc := map[string]string{}
	for _, t := range r.Tags {
		desc[t.Name] = t.Description
	}
	return agreed(gs, byWord(gs, "description", func(g Guess) string { return desc[g.Tag] }))
}

// agreed gives the trains of the family that covers most tags, or none where two
// families that both fit do not cut alike.
func agreed(gs []Guess, families []*family) []*train {
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
			return nil
		}
	}
	if best == nil {
		return nil
	}
	var out []*train
	for _, t := range best.values {
		out = append(out, t)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].label < out[j].label })
	return out
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

// label is the tag without its unit.
func (g Guess) label() string {
	s, _, _ := strings.Cut(bracketed.ReplaceAllString(g.Tag, " "), ",")
	return s
}

var segment = regexp.MustCompile(`[\p{L}\p{N}]+`)

// segments are the parts of a name between its dots, dashes, blanks and changes
// to a capital.
func segments(s string) []string {
	return segment.FindAllString(camel.ReplaceAllString(s, "$1 $2"), -1)
}

// byWord cuts by words that name trains, basins and directions.
func byWord(gs []Guess, where string, text func(Guess) string) []*family {
	numbers := map[string]*family{}
	points := &family{strict: true, text: text}
	for _, g := range gs {
		parts := segments(text(g))
		type found struct{ stem, value, label string }
		var of, dir []found
		for i, p := range parts {
			u := strings.ToUpper(p)
			if m := numberedJoined.FindStringSubmatch(u); m != nil {
				of = append(of, found{stemOf(m[1] + m[3]), m[2] + m[4], p})
			} else if numberedStem.MatchString(u) && i+1 < len(parts) && numberedAfter.MatchString(strings.ToUpper(parts[i+1])) {
				of = append(of, found{stemOf(u), strings.TrimLeft(strings.ToUpper(parts[i+1]), "0"), p + " " + parts[i+1]})
			}
			if i+1 < len(parts) && oneBasin[strings.ToUpper(parts[i+1])] {
				continue
			}
			if d := directions[u]; d != "" {
				dir = append(dir, found{"", d, d})
			} else if d := directionLetters[u]; d != "" && i == 0 && len(parts) > 1 {
				dir = append(dir, found{"", d, d})
			}
		}
		byStem := map[string][]found{}
		for _, f := range of {
			byStem[f.stem] = append(byStem[f.stem], f)
		}
		for stem, fs := range byStem {
			if !slices.ContainsFunc(fs, func(f found) bool { return f.value != fs[0].value }) { // of two trains: of neither
				if numbers[stem] == nil {
					numbers[stem] = &family{numbered: true, text: text}
				}
				numbers[stem].add(fs[0].value, fs[0].label, g.Tag, "its "+where+" says "+fs[0].label)
			}
		}
		if len(dir) == 1 {
			points.add(dir[0].value, dir[0].label, g.Tag, "its "+where+" says "+dir[0].label)
		}
	}
	out := []*family{points}
	for _, f := range numbers {
		out = append(out, f)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].first() < out[j].first() })
	return out
}

func (f *family) first() string {
	low := ""
	for _, t := range f.values {
		if low == "" || t.label < low {
			low = t.label
		}
	}
	return low
}

func stemOf(s string) string {
	if strings.HasPrefix(s, "T") {
		return "TRAIN"
	}
	return s
}

// byLead cuts by a word of the plant's own in the first or the second place:
// FF.CCB.CL2 and MBR.CCB.CL2.
func byLead(gs []Guess) []*family {
	var out []*family
	for place := range 2 {
		f := &family{strict: true, text: Guess.label}
		for _, g := range gs {
			parts := segments(g.label())
			if len(parts) < place+2 {
				continue
			}
			w := strings.ToUpper(parts[place])
			if ok, digit := mayName(w); ok {
				f.add(w, parts[place], g.Tag, "its name holds "+parts[place])
				f.digit[w] = digit
			}
		}
		out = append(out, f)
	}
	return out
}

// byLetter cuts by a last letter, where the same loop number bears several and
// each measures the same: FIT-101A and FIT-101B, AIT-102A and AIT-102B.
func byLetter(gs []Guess) *family {
	type loop struct {
		base string
		kind quantity.Kind
	}
	with := map[loop][]string{}
	letters := map[string]string{}
	for _, g := range gs {
		s := strings.ToUpper(strings.TrimSpace(g.label()))
		base, letter := "", ""
		if m := lettered.FindStringSubmatch(s); m != nil {
			base, letter = m[1], m[2]
		} else if n := len(s); n > 2 && s[n-1] >= 'A' && s[n-1] <= 'D' && strings.ContainsRune(" -_.", rune(s[n-2])) {
			base, letter = s[:n-2], s[n-1:]
		} else {
			continue
		}
		l := loop{base, g.Measures}
		with[l], letters[g.Tag] = append(with[l], g.Tag), letter
	}
	f := &family{letters: true, strict: true, text: Guess.label}
	for _, tags := range with {
		if len(tags) < 2 {
			continue
		}
		for _, tag := range tags {
			f.add(letters[tag], "train "+letters[tag], tag, "its name ends in "+letters[tag])
		}
	}
	return f
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

// question asks once about the grouping as a whole.
func question(ts []*train, gs []Guess) string {
	var names, each, without []string
	others, onlyFlow, alike := len(gs), false, true
	for _, t := range ts {
		others -= len(t.tags)
		onlyFlow = onlyFlow || t.onlyFlow
		alike = alike && len(t.tags) == len(ts[0].tags)
		names = append(names, t.label)
		each = append(each, fmt.Sprintf("%s (%d tags)", t.label, len(t.tags)))
		if !t.basin {
			without = append(without, t.label)
		}
	}
	list := strings.Join(each, ", ")
	if alike {
		list = fmt.Sprintf("%s (%d tags each)", strings.Join(names, ", "), len(ts[0].tags))
	}
	q := fmt.Sprintf("The tags' names speak of %d trains or basins: %s. Each is drafted with a contact basin and points of its own", len(ts), list)
	if onlyFlow {
		q += ", and a train's only flow is taken to pass its basin"
	}
	switch {
	case others == 1:
		q += "; one other tag is taken for common to all"
	case others > 1:
		q += fmt.Sprintf("; %d other tags are taken for common to all", others)
	}
	q += ". Is that right? If not, write the right points into the column \"at\" of tags.csv."
	if len(without) > 0 {
		q += " No residual and no ORP of a contact basin is named for " + strings.Join(without, ", ") + ", so no basin was drafted there."
	}
	return q
}

// mgd is a flow's middle value in MGD.
func (g Guess) mgd() float64 {
	from, err := quantity.ParseUnit(g.Unit)
	to, err2 := quantity.ParseUnit("MGD")
	if err != nil || err2 != nil {
		return math.NaN()
	}
	v, err := quantity.Convert(g.looks.p50, from, to)
	if err != nil {
		return math.NaN()
	}
	return v
}
