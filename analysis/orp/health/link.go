package health

import (
	"cmp"
	"slices"
	"weirbook/analysis/orp/signal"
	"weirbook/analysis/robust"

	"math"
)

// The data themselves can be at fault: the link to the logger stops (every tag
// holds its last value, or none arrives), or a block of readings is written twice.

// linkTroubles finds such stretches from all tags together.
func linkTroubles(columns []*signal.Column, paces []*pace, minutes int, s *Settings) []Trouble {
	var cs []*signal.Column
	var ps []*pace
	for i, c := range columns {
		if c.Present() && signal.CountKnown(c.V) > len(c.V)/10 {
			cs, ps = append(cs, c), append(ps, paces[i])
		}
	}
	if len(cs) < s.LinkTags {
		return nil
	}
	out := stoppedTogether(cs, ps, s)
	return append(out, repeats(cs, minutes)...)
}

// stoppedTogether finds groups of tags that stopped at once and went on at once. Each
// must be without a change for far longer than it ever is by itself, and all together
// must have missed more changes than chance leaves out.
func stoppedTogether(cs []*signal.Column, ps []*pace, s *Settings) []Trouble {
	type rest struct {
		signal.Span
		col    int
		missed float64
		used   bool
	}
	var rests []rest
	for k, c := range cs {
		var own []rest
		low := 0.12 * robust.Quantile(c.V, 0.75)
		for _, t := range ps[k].rests(c, 1, 0) {
			if v := c.V[t.From]; v < low || offScale(c, v) {
				continue // nothing, or more than can be shown, does not move
			}
			own = append(own, rest{t, k, ps[k].missed(t), false})
		}
		slices.SortFunc(own, func(a, b rest) int { return cmp.Compare(a.missed, b.missed) })
		// what the tag does every other day by itself is no stop
		usual := 0.0
		if often := len(cs[k].V) / (2 * dayMin); len(own) > often {
			usual = own[len(own)-1-often].missed
		}
		for _, r := range own {
			if r.missed >= math.Max(s.LinkEach, 1.5*usual) {
				rests = append(rests, r)
			}
		}
	}
	slices.SortStableFunc(rests, func(a, b rest) int { return cmp.Compare(a.From, b.From) })
	var out []Trouble
	for i := range rests {
		if rests[i].used {
			continue
		}
		group := []int{i}
		sum, in := rests[i].missed, map[int]bool{rests[i].col: true}
		apart := max(s.LinkApartMin, ps[rests[i].col].apart())
		for j := i + 1; j < len(rests) && rests[j].From-rests[i].From <= apart; j++ {
			if r := &rests[j]; !r.used && !in[r.col] && signal.Abs(r.To-rests[i].To) <= apart {
				group, sum, in[r.col] = append(group, j), sum+r.missed, true
			}
		}
		if len(group) < s.LinkTags && (len(group) < 2 || sum < 2*s.LinkMissed) || sum < s.LinkMissed {
			continue
		}
		t := Trouble{Span: rests[i].Span, Kind: LinkFrozen, Size: float64(len(group)), Usual: float64(len(cs))}
		for _, g := range group {
			rests[g].used = true
			t.From, t.To = max(t.From, rests[g].From), min(t.To, rests[g].To)
			t.Tags = append(t.Tags, cs[rests[g].col].Tag)
		}
		if t.Len() < 10 {
			continue
		}
		slices.Sort(t.Tags)
		t.Alarm = t.To
		if share := s.LinkMissed / sum; share < 1 {
			t.Alarm = t.From + int(share*float64(t.Len()))
		}
		out = append(out, t)
	}
	return out
}
