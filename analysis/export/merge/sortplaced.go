package merge

import (
	"cmp"
	"slices"
)

// SortPlaced sorts by time, then by what is kept of equal times.
func SortPlaced(p []placed) {
	if !slices.IsSortedFunc(p, func(a, b placed) int { return cmp.Compare(a.t, b.t) }) {
		byTime(p)
	}
	for i := 0; i < len(p); {
		j := i + 1
		for j < len(p) && p[j].t == p[i].t {
			j++
		}
		slices.SortStableFunc(p[i:j], func(a, b placed) int {
			return cmp.Or(cmp.Compare(rank(a.f), rank(b.f)), cmp.Compare(a.file, b.file), cmp.Compare(a.line, b.line))
		})
		i = j
	}
}

// byTime sorts by time and leaves equal times in their order. It moves keys
// rather than readings, and needs no stable sort for that: both would take
// several times as long for a shuffled file.
func byTime(p []placed) {
	type key struct {
		t int64
		i int32
	}
	keys := make([]key, len(p))
	for i := range p {
		keys[i] = key{p[i].t, int32(i)}
	}
	slices.SortFunc(keys, func(a, b key) int {
		return cmp.Or(cmp.Compare(a.t, b.t), cmp.Compare(a.i, b.i))
	})
	out := make([]placed, len(p))
	for k, x := range keys {
		out[k] = p[x.i]
	}
	copy(p, out)
}
