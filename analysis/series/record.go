package series

import "sort"

// Group is readings without a longer silence between them, End that of the last one.
type Group struct {
	Stretch
	N int
}

// Groups cuts a column of times, which rise, where it is silent for longer than
// silence (ms).
func Groups(t []int64, silence int64) []Group {
	var out []Group
	for i := 0; i < len(t); {
		end := i + 1
		for end < len(t) && t[end]-t[end-1] <= silence {
			if far := end + 256; far < len(t) && t[far]-t[end] <= silence { // and so no longer silence between
				end = far
			}
			end++
		}
		out = append(out, Group{Stretch{t[i], t[end-1]}, end - i})
		i = end
	}
	return out
}

// JoinGroups puts groups of several columns together, in order of time, so that they
// part where all are silent.
func JoinGroups(gs []Group, silence int64) []Group {
	sort.Slice(gs, func(i, j int) bool { return gs[i].Start < gs[j].Start })
	n := 0
	for _, g := range gs {
		if n > 0 && g.Start-gs[n-1].End <= silence {
			gs[n-1].End = max(gs[n-1].End, g.End)
			gs[n-1].N += g.N
			continue
		}
		gs[n] = g
		n++
	}
	return gs[:n]
}

// Record finds the groups that make up the record: that with the most readings, and
// those that lie no further from it than it is long (and no further than silence). The
// others are given in order of time, and reach, beyond which they lie.
func Record(gs []Group, silence int64) (record Stretch, others []Group, reach int64) {
	best := 0
	for i, g := range gs {
		if g.N > gs[best].N {
			best = i
		}
	}
	record = gs[best].Stretch
	lo, hi := best, best
	for {
		reach = max(record.End-record.Start, silence)
		switch {
		case lo > 0 && record.Start-gs[lo-1].End <= reach:
			lo--
		case hi+1 < len(gs) && gs[hi+1].Start-record.End <= reach:
			hi++
		default:
			return record, append(append([]Group(nil), gs[:lo]...), gs[hi+1:]...), reach
		}
		record = Stretch{gs[lo].Start, gs[hi].End}
	}
}
