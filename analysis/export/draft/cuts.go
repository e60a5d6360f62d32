package draft

import (
	"regexp"
	"slices"
	"sort"
	"strings"

	"weirbook/analysis/quantity"
)

// label is the tag without its unit.
func (g Guess) label() string {
	s, _, _ := strings.Cut(bracketed.ReplaceAllString(g.Tag, " "), ",")
	return s
}

var segment = regexp.MustCompile(`[\p{L}\p{N}]+`)

// segments are the parts of a name between its dots, dashes and blanks and where
// words meet without any.
func segments(s string) []string {
	return segment.FindAllString(apart(s), -1)
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

// byLetter cuts by a last letter, where the same name or loop number bears several
// and each measures the same: FIT-101A and FIT-101B, ORP_N and ORP_S.
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
		} else if n := len(s); n > 2 && strings.Contains("ABCDNSEW", s[n-1:]) && strings.Contains(" -_.", s[n-2:n-1]) {
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
			label := "train " + letters[tag]
			if d := directionLetters[letters[tag]]; d != "" {
				label = d
			}
			f.add(letters[tag], label, tag, "its name ends in "+letters[tag])
		}
	}
	return f
}
