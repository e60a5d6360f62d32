package health

import (
	"cmp"
	"slices"
	"weirbook/analysis/orp/signal"

	"math"
)

// The data themselves can be at fault: the link to the logger stops (every tag
// holds its last value, or none arrives), or a block of readings is written twice.

// linkTroubles finds such stretches from all tags together. idle minutes hold no
// reading by design.
func linkTroubles(columns []*signal.Column, paces []*pace, idle []bool, s *Settings) []Trouble {
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
	blank := make([]bool, len(idle))
	for i := range blank {
		gone := 0
		for _, c := range cs {
			if math.IsNaN(c.V[i]) {
				gone++
			}
		}
		blank[i] = gone*10 >= len(cs)*9 && !idle[i]
	}
	out := stoppedTogether(cs, ps, s)
	out = append(out, runs(blank, 15, LinkBlank)...)
	return append(out, repeats(cs, len(idle))...)
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
		for _, t := range ps[k].rests(c, 1, 0) {
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
		apart := s.LinkApartMin
		for j := i + 1; j < len(rests) && rests[j].From-rests[i].From <= apart; j++ {
			if r := &rests[j]; !r.used && !in[r.col] && signal.Abs(r.To-rests[i].To) <= apart {
				group, sum, in[r.col] = append(group, j), sum+r.missed, true
			}
		}
		if len(group) < s.LinkTags || sum < s.LinkMissed {
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

// runs lists runs of true of at least least minutes.
func runs(v []bool, least int, kind Kind) []Trouble {
	var out []Trouble
	for i := 0; i < len(v); i++ {
		if !v[i] {
			continue
		}
		j := i
		for j < len(v) && v[j] {
			j++
		}
		if j-i >= least {
			out = append(out, Trouble{Span: signal.Between(i, j), Kind: kind, Alarm: i + least, Size: float64(j - i)})
		}
		i = j
	}
	return out
}

// repeats finds stretches in which all tags repeat, to the last digit, what
// they read some time before.
func repeats(cs []*signal.Column, n int) []Trouble {
	hash := make([]uint64, n)
	for i := range hash {
		h := uint64(14695981039346656037)
		for _, c := range cs {
			h = (h ^ math.Float64bits(c.V[i])) * 1099511628211
			h ^= h >> 29
		}
		hash[i] = h
	}
	const probe = 4 // minutes in a row that must match to suspect a lag
	last := make(map[uint64]int, n/probe)
	var out []Trouble
	key := func(i int) uint64 {
		h := uint64(1469598103934665603)
		for k := 0; k < probe; k++ {
			h = (h ^ hash[i+k]) * 1099511628211
		}
		return h
	}
	moved := func(i int) bool { // a repeat of stillness tells nothing
		return i > 0 && hash[i] != hash[i-1] && hash[i+1] != hash[i]
	}
	for i := 0; i+probe < n; i++ {
		k := key(i)
		if j, ok := last[k]; ok && i-j > 30 && moved(i) {
			lag := i - j
			end := i
			for end < n && hash[end] == hash[end-lag] {
				end++
			}
			if end-i >= 30 {
				out = append(out, Trouble{Span: signal.Between(i, end), Kind: RepeatedBlock, Alarm: i + 30, Size: float64(lag), Usual: 0})
				i = end
				continue
			}
		}
		last[k] = i
	}
	return out
}
