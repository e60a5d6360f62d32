package health

import (
	"cmp"
	"slices"

	"weirbook/analysis/orp/signal"
)

// silence is a span in which a tag stored nothing, from its last reading to its next.
type silence struct {
	signal.Span
	col  int
	used bool
}

// silences lists the spans without a stored reading that are far longer than the tag's
// own usual, idle minutes left out.
func silences(c *signal.Column, col int, idle []bool, s *Settings) []silence {
	n := len(c.V)
	var all []silence
	last := -1
	end := func(to int) {
		if from := last + 1; to > from {
			rests := 0
			for i := from; i < to; i++ {
				if idle[i] {
					rests++
				}
			}
			if rests == 0 {
				all = append(all, silence{signal.Between(from, to), col, false})
			}
		}
		last = to
	}
	for i := range n {
		if c.Stored(i) {
			end(i)
		}
	}
	if last >= 0 {
		end(n)
	}
	long := make([]int, len(all))
	for i, t := range all {
		long[i] = t.Len()
	}
	slices.Sort(long)
	usual := 0 // as long as one in two days is
	if often := n / (2 * dayMin); len(long) > often {
		usual = long[len(long)-1-often]
	}
	least := max(s.BlankMin, 3*usual)
	return slices.DeleteFunc(all, func(t silence) bool { return t.Len() < least })
}

// silentTogether finds the groups of tags that stored nothing at once, and each tag
// that was silent by itself.
func silentTogether(cs []*signal.Column, idle []bool, s *Settings) (groups []Trouble, alone [][]signal.Span) {
	alone = make([][]signal.Span, len(cs))
	var all []silence
	for k, c := range cs {
		if c.Present() && signal.CountKnown(c.V) > len(c.V)/10 {
			all = append(all, silences(c, k, idle, s)...)
		}
	}
	present := 0
	for _, c := range cs {
		if c.Present() {
			present++
		}
	}
	slices.SortStableFunc(all, func(a, b silence) int { return cmp.Compare(a.From, b.From) })
	for i := range all {
		if all[i].used {
			continue
		}
		a := &all[i]
		group, in := []int{i}, map[int]bool{a.col: true}
		for j := i + 1; j < len(all) && all[j].From < a.To; j++ {
			// a tag stored on change may have been silent a while before by itself
			b := &all[j]
			if both := a.Overlap(b.Span); !b.used && !in[b.col] && 10*both >= 7*max(a.Len(), b.Len()) {
				group, in[b.col] = append(group, j), true
			}
		}
		pair := len(group) == 2 && len(group) < s.LinkTags && a.Len() >= 2*s.BlankMin && 10*a.Overlap(all[group[1]].Span) >= 9*max(a.Len(), all[group[1]].Len())
		if len(group) < s.LinkTags && !pair {
			alone[a.col] = append(alone[a.col], a.Span)
			continue
		}
		t := Trouble{Span: a.Span, Kind: LinkBlank, Size: float64(len(group)), Usual: float64(present)}
		for _, g := range group {
			b := &all[g]
			b.used = true
			t.From, t.To = max(t.From, b.From), min(t.To, b.To)
			t.Tags = append(t.Tags, cs[b.col].Tag)
		}
		slices.Sort(t.Tags)
		t.Alarm = min(t.To, t.From+s.BlankMin)
		groups = append(groups, t)
	}
	return groups, alone
}
