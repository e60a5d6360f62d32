package export

import (
	"math"
	"slices"
	"sort"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/merge"
)

// tagStats gathers how a tag looked over all files.
type tagStats struct {
	TagInfo
	words map[string]int
	steps []int64
	units bool // stated somewhere in the exports
}

// finishTracks ends a table's last pass. Its tracks stand in an order of their own from
// then on: their numbers depend on which worker met a tag first.
func (t *table) finishTracks() {
	type numbered struct {
		*merge.Track
		stats *merge.SegStats
	}
	var tracks []numbered
	for i, k := range t.Tracks {
		if k == nil {
			continue
		}
		x := numbered{k, nil}
		if i < len(t.found.Stats) {
			x.stats = t.found.Stats[i]
		}
		tracks = append(tracks, x)
	}
	sort.SliceStable(tracks, func(i, j int) bool {
		a, b := tracks[i].Spec, tracks[j].Spec
		if a.Name != b.Name {
			return a.Name < b.Name
		}
		return a.Declared < b.Declared
	})
	if t.Lead != nil {
		t.Lead.Finish()
	}
	t.Tracks, t.found.Stats = t.Tracks[:0], nil
	for _, x := range tracks {
		x.Finish()
		t.Tracks, t.found.Stats = append(t.Tracks, x.Track), append(t.found.Stats, x.stats)
	}
	if t.F.Newest {
		t.Turn()
	}
}

// tagLooks adds what a table's tags looked like to their accounts.
func (r *reader) tagLooks(t *table, p *merge.PassResult) {
	var early []int64
	var words map[string]int // of a tag in this file
	for n, k := range t.Tracks {
		if k.Led.Aside[ledger.RepeatedHour] > 0 {
			r.message(ledger.Warning, t.M.Name, 0, "tag "+k.Spec.Name+": readings of the hour that a clock change repeats could not be told apart by the order of their rows; they are set aside")
		}
		last := n == len(t.Tracks)-1 || t.Tracks[n+1].Spec.Name != k.Spec.Name
		if p.Stats[n] != nil && !k.Spec.Words {
			for w, n := range p.Stats[n].Words {
				if words == nil {
					words = map[string]int{}
				}
				words[w] += n
			}
		}
		if last {
			if text := cell.UndetectedMessage(k.Spec.Name, words); text != "" {
				r.message(ledger.Warning, t.M.Name, 0, text)
			}
			words = nil
		}
		if p.Stats[n] == nil {
			if s := r.info[k.Spec.Name]; s != nil && last {
				s.addSteps(early)
			}
			if last {
				early = early[:0]
			}
			continue
		}
		st := *p.Stats[n]
		s := r.info[k.Spec.Name]
		if s == nil {
			s = &tagStats{words: map[string]int{}}
			s.First, s.Last, s.Min, s.Max = math.MaxInt64, math.MinInt64, math.Inf(1), math.Inf(-1)
			r.info[k.Spec.Name] = s
		}
		s.Ruled = s.Ruled || k.Spec.Ruled
		if s.Unit == "" {
			s.Unit = k.Spec.Shown
		}
		if s.Description == "" {
			s.Description = k.Spec.Desc
		}
		s.units = s.units || k.Spec.Shown != "" || st.InCells
		s.Rows += k.Led.Rows
		s.Numbers += st.Numbers
		if r.opt.Looks {
			s.Whole += st.Whole
			s.Zeros += st.Zeros
			s.Min, s.Max = min(s.Min, st.Min), max(s.Max, st.Max)
		}
		s.Limits += st.Limits
		s.First, s.Last = min(s.First, st.First), max(s.Last, st.Last)
		for w, n := range st.Words {
			s.words[w] += n
		}
		early = append(early, k.Early...)
		k.Early = nil
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
	early = early[:min(len(early), merge.EarlyReadings)]
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
	for _, w := range lex.SortedKeys(s.words) {
		i.Words = append(i.Words, Word{w, s.words[w]})
	}
	sort.SliceStable(i.Words, func(a, b int) bool { return i.Words[a].N > i.Words[b].N })
	if len(i.Words) > 12 {
		i.Words = i.Words[:12]
	}
	return i
}
