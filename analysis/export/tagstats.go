package export

import (
	"math"
	"slices"
	"sort"
)

// tagStats gathers how a tag looked over all files.
type tagStats struct {
	TagInfo
	words map[string]int
	steps []int64
}

// close ends a table's pass: its tracks are finished and what they looked like
// goes to the tag's account.
func (r *reader) close(t *table, p *passed) {
	// In an order of their own: numbers depend on which worker met a tag first.
	type numbered struct {
		*track
		stats *segStats
	}
	var tracks []numbered
	for i, k := range t.tracks {
		if k == nil {
			continue
		}
		x := numbered{k, nil}
		if i < len(p.stats) {
			x.stats = p.stats[i]
		}
		tracks = append(tracks, x)
	}
	sort.SliceStable(tracks, func(i, j int) bool {
		a, b := tracks[i].spec, tracks[j].spec
		if a.name != b.name {
			return a.name < b.name
		}
		return a.declared < b.declared
	})
	if t.lead != nil {
		t.lead.finish()
	}
	t.tracks = t.tracks[:0]
	for _, x := range tracks {
		x.finish()
		t.tracks = append(t.tracks, x.track)
	}
	if t.f.newest {
		t.turn()
	}
	var early []int64
	var words map[string]int // of a tag in this file
	for n, x := range tracks {
		k := x.track
		if k.led.Aside[RepeatedHour] > 0 {
			r.message(Warning, t.m.name, 0, "tag "+k.spec.name+": readings of the hour that a clock change repeats could not be told apart by the order of their rows; they are set aside")
		}
		last := n == len(tracks)-1 || tracks[n+1].spec.name != k.spec.name
		if x.stats != nil && !k.spec.words {
			for w, n := range x.stats.words {
				if words == nil {
					words = map[string]int{}
				}
				words[w] += n
			}
		}
		if last {
			if text := toldUndetected(k.spec.name, words); text != "" {
				r.message(Warning, t.m.name, 0, text)
			}
			words = nil
		}
		if x.stats == nil {
			if s := r.info[k.spec.name]; s != nil && last {
				s.addSteps(early)
			}
			if last {
				early = early[:0]
			}
			continue
		}
		st := *x.stats
		s := r.info[k.spec.name]
		if s == nil {
			s = &tagStats{words: map[string]int{}}
			s.First, s.Last, s.Min, s.Max = math.MaxInt64, math.MinInt64, math.Inf(1), math.Inf(-1)
			r.info[k.spec.name] = s
		}
		s.Ruled = s.Ruled || k.spec.ruled
		if s.Unit == "" {
			s.Unit = k.spec.shown
		}
		if s.Description == "" {
			s.Description = k.spec.desc
		}
		s.Rows += k.led.Rows
		s.Numbers += st.numbers
		if r.opt.Looks {
			s.Whole += st.whole
			s.Zeros += st.zeros
			s.Min, s.Max = min(s.Min, st.min), max(s.Max, st.max)
		}
		s.Limits += st.limits
		s.First, s.Last = min(s.First, st.first), max(s.Last, st.last)
		for w, n := range st.words {
			s.words[w] += n
		}
		early = append(early, k.early...)
		k.early = nil
		// A tag may have come as several tracks, one a declared unit, and which
		// rows stand in which depends on how the file was cut into blocks. Its
		// steps are taken over all of them together.
		if last {
			s.addSteps(early)
			early = early[:0]
		}
	}
}

// addSteps takes the steps between a tag's first readings in a file.
func (s *tagStats) addSteps(early []int64) {
	slices.Sort(early)
	early = early[:min(len(early), earlyReadings)]
	for j := 1; j < len(early); j++ {
		s.steps = append(s.steps, early[j]-early[j-1])
	}
}

func (s *tagStats) finish(name string) TagInfo {
	i := s.TagInfo
	i.Name = name
	i.Cadence = math.NaN()
	if len(s.steps) > 0 {
		sort.Slice(s.steps, func(a, b int) bool { return s.steps[a] < s.steps[b] })
		i.Cadence = float64(s.steps[len(s.steps)/2]) / 1000
	}
	if i.First > i.Last {
		i.First, i.Last = 0, 0
	}
	if math.IsInf(i.Min, 0) || math.IsInf(i.Max, 0) {
		i.Min, i.Max = math.NaN(), math.NaN()
	}
	i.Min, i.Max = i.Min+0, i.Max+0 // no −0
	for _, w := range sortedKeys(s.words) {
		i.Words = append(i.Words, Word{w, s.words[w]})
	}
	sort.SliceStable(i.Words, func(a, b int) bool { return i.Words[a].N > i.Words[b].N })
	if len(i.Words) > 12 {
		i.Words = i.Words[:12]
	}
	return i
}
