package health

import (
	"weirbook/analysis/orp/signal"

	"math"
)

// The data themselves can be at fault: the link to the logger stops (every tag
// holds its last value, or none arrives), or a block of readings is written twice.

// linkTroubles finds such stretches from all tags together.
func linkTroubles(columns []*signal.Column, minutes int, s *Settings) []Trouble {
	var cs []*signal.Column
	for _, c := range columns {
		if c.Present() && signal.CountKnown(c.V) > len(c.V)/10 {
			cs = append(cs, c)
		}
	}
	if len(cs) < s.LinkTags {
		return nil
	}
	n := minutes
	still := make([]bool, n)
	blank := make([]bool, n)
	for i := 0; i < n; i++ {
		holds, moves, gone := 0, 0, 0
		for _, c := range cs {
			switch {
			case math.IsNaN(c.V[i]):
				gone++
			case i > 0 && c.V[i] == c.V[i-1]:
				holds++
			default:
				moves++
			}
		}
		still[i] = holds >= s.LinkTags && moves == 0
		blank[i] = gone*10 >= len(cs)*9
	}
	var out []Trouble
	out = append(out, runs(still, 15, LinkFrozen, 1)...)
	out = append(out, runs(blank, 15, LinkBlank, 0)...)
	out = append(out, repeats(cs, n)...)
	return out
}

// runs lists runs of true of at least least minutes; lead is added before, for
// the reading that the run repeats.
func runs(v []bool, least int, kind Kind, lead int) []Trouble {
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
			out = append(out, Trouble{signal.Between(max(0, i-lead), j), kind, i + least, float64(j - i), 0})
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
				out = append(out, Trouble{signal.Between(i, end), RepeatedBlock, i + 30, float64(lag), 0})
				i = end
				continue
			}
		}
		last[k] = i
	}
	return out
}
