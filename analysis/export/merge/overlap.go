package merge

import (
	"math"
	"math/bits"
	"sort"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/series"
)

// What is done where several runs of a tag claim the same minutes.

// FindShared sorts the pieces and marks the minutes that several of them claim.
func (g *TagPieces) FindShared() {
	sort.SliceStable(g.Pieces, func(i, j int) bool {
		a, b := g.Pieces[i], g.Pieces[j]
		if a.first() != b.first() {
			return a.first() < b.first()
		}
		return a.Table < b.Table
	})
	apart := true
	var end int64
	for i, p := range g.Pieces {
		if i > 0 && lex.FloorDiv(p.first(), lex.Minute) <= lex.FloorDiv(end, lex.Minute) {
			apart = false
			break
		}
		end = p.end()
	}
	if apart {
		return
	}
	var seen minuteSet
	lo, hi := g.Pieces[0].first(), g.Pieces[0].end()
	for _, p := range g.Pieces {
		lo, hi = min(lo, p.first()), max(hi, p.end())
	}
	seen.size(lex.FloorDiv(lo, lex.Minute), lex.FloorDiv(hi, lex.Minute))
	g.Shared.size(lex.FloorDiv(lo, lex.Minute), lex.FloorDiv(hi, lex.Minute))
	for _, p := range g.Pieces {
		last := int64(-1 << 60)
		for _, t := range p.T {
			m := lex.FloorDiv(t, lex.Minute)
			if m == last {
				continue
			}
			last = m
			if seen.has(m) {
				g.Shared.add(m)
			}
			seen.add(m)
		}
	}
	// Interleaved, but in minutes of their own, merge sorts them as they are.
	// Else the single readings are read again, with their lines.
	g.Again = g.Shared.any()
}

// RawMax is how many single readings of shared minutes are held at a time, of
// 40 bytes and twice that while they are sorted. A tag's own are never parted.
const RawMax = 4 << 20

// gather gathers the single readings of shared minutes and those beside them.
func (g *TagPieces) gather(p placed) {
	if g.Shared.near(p.t, p.t) {
		g.Raw = append(g.Raw, p)
	}
}

// Merge sorts pieces together that overlap: their readings in minutes of one
// piece as they are, those of shared minutes condensed anew.
func (g *TagPieces) Merge() *Run {
	fresh := g.Fresh
	if fresh == nil { // no minute is shared
		fresh = &Run{}
	}
	heads := make([]*place, 0, len(g.Pieces)+1)
	n := len(fresh.T)
	for _, p := range g.Pieces {
		n += len(p.T)
		heads = append(heads, &place{run: p.Run, shared: &g.Shared})
	}
	heads = append(heads, &place{run: fresh}) // last: of equal times it comes second
	o := &Run{T: make([]int64, 0, n), v: make([]float64, 0, n)}
	for _, h := range heads {
		h.next()
	}
	for {
		first, until := -1, int64(math.MaxInt64)
		for k, h := range heads {
			switch {
			case h.done():
			case first < 0 || h.t() < heads[first].t():
				if first >= 0 {
					until = min(until, heads[first].t())
				}
				first = k
			default:
				until = min(until, h.t())
			}
		}
		if first < 0 {
			return o
		}
		h := heads[first]
		for once := true; !h.done() && (once || h.t() < until); once = false {
			// What an on-change tag holds may have been said already.
			if n := len(o.T); n == 0 || o.T[n-1] < h.t() {
				o.push(h.run.at(h.i))
			}
			h.i++
			h.next()
		}
	}
}

// place is a place in a run that is being merged; readings of shared minutes are
// passed over.
type place struct {
	run    *Run
	shared *minuteSet
	i      int
}

func (h *place) done() bool { return h.i == len(h.run.T) }
func (h *place) t() int64   { return h.run.T[h.i] }

func (h *place) next() {
	for h.shared != nil && h.i < len(h.run.T) && h.shared.has(lex.FloorDiv(h.run.T[h.i], lex.Minute)) {
		h.i++
	}
}

// Condense makes the readings of shared minutes from the single ones in and
// beside them.
func (g *TagPieces) Condense() *Run {
	raw, fresh := g.Raw, &Run{}
	for i := 0; i < len(raw); {
		// A stretch: minutes without a hole between.
		j := i + 1
		for j < len(raw) && lex.FloorDiv(raw[j].t, lex.Minute) <= lex.FloorDiv(raw[j-1].t, lex.Minute)+1 {
			j++
		}
		var part Run
		c := condenser{how: g.Spec.How, out: &part}
		if g.Spec.How == cell.KeepLevel {
			if x, ok := g.before(raw[i].t); ok {
				c.feed(x)
			}
		}
		for _, p := range raw[i:j] {
			c.feed(p.reading)
		}
		c.finish()
		for k := range part.T {
			if g.Shared.has(lex.FloorDiv(part.T[k], lex.Minute)) {
				fresh.push(part.at(k))
			}
		}
		i = j
	}
	return fresh
}

// before gives the last reading before t in a minute that is not shared.
func (g *TagPieces) before(t int64) (x reading, ok bool) {
	for _, p := range g.Pieces {
		i := sort.Search(len(p.T), func(i int) bool { return p.T[i] >= t }) - 1
		for i >= 0 && g.Shared.has(lex.FloorDiv(p.T[i], lex.Minute)) {
			i--
		}
		if i >= 0 && (!ok || p.T[i] > x.t) {
			x, ok = p.at(i), true
		}
	}
	return x, ok
}

// DropRepeats keeps one reading of each time and sets the others aside.
func (g *TagPieces) DropRepeats() {
	out := g.Raw[:0]
	of := map[int]int{} // readings of the minute, by file
	last := int64(math.MinInt64)
	for i, p := range g.Raw {
		m := lex.FloorDiv(p.t, lex.Minute)
		if m != last {
			last = m
			clear(of)
			for _, q := range g.Raw[i:] {
				if lex.FloorDiv(q.t, lex.Minute) != m {
					break
				}
				of[q.file]++
			}
		}
		n := len(out)
		if n == 0 || out[n-1].t != p.t {
			out = append(out, p)
			continue
		}
		if !g.Shared.has(m) {
			continue
		}
		why := ledger.Repeated
		if !same(out[n-1].reading, p.reading) {
			why = ledger.Conflicting
			g.conflict(out[n-1], p)
		}
		g.Tracks[p.file][0].dropCounted(p, why, of[p.file] > 1)
	}
	g.Raw = out
}

// Conflict is what was kept and what was set aside where rows of two tables, or two rows
// of one, hold different readings of a time.
type Conflict struct {
	Kept, Lost         int // tables
	N                  int
	T                  int64 // of the first, with its values and lines
	KeptV, LostV       float64
	KeptLine, LostLine int
}

func (g *TagPieces) conflict(kept, lost placed) {
	for i := range g.Conflicts {
		if c := &g.Conflicts[i]; c.Kept == kept.file && c.Lost == lost.file {
			c.N++
			return
		}
	}
	g.Conflicts = append(g.Conflicts, Conflict{kept.file, lost.file, 1, kept.t, kept.v, lost.v, kept.line, lost.line})
}

// dropCounted sets a reading aside that a pass counted as used, and as condensed
// if it was one of several of its minute.
func (t *Track) dropCounted(p placed, why ledger.Reason, several bool) {
	if p.f&series.Late != 0 {
		t.Led.Late--
		p.f &^= series.Late
	}
	t.drop(p, why)
	if several && t.Led.Condensed > 0 {
		t.Led.Condensed--
	}
	t.Led.Condensed = min(t.Led.Condensed, t.Led.Used)
}

// minuteSet is a set of minutes in a stretch of time.
type minuteSet struct {
	from  int64
	Words []uint64
}

func (s *minuteSet) size(lo, hi int64) {
	s.from = lo
	s.Words = make([]uint64, (hi-lo)/64+1)
}

func (s *minuteSet) has(m int64) bool {
	i := m - s.from
	return i >= 0 && i>>6 < int64(len(s.Words)) && s.Words[i>>6]>>(i&63)&1 != 0
}

func (s *minuteSet) add(m int64) { i := m - s.from; s.Words[i>>6] |= 1 << (i & 63) }

// near says whether a minute of the set lies within a minute of [lo, hi] (ms).
func (s *minuteSet) near(lo, hi int64) bool {
	a, b := max(lex.FloorDiv(lo, lex.Minute)-1-s.from, 0), min(lex.FloorDiv(hi, lex.Minute)+1-s.from, int64(len(s.Words))*64-1)
	for a <= b {
		w := s.Words[a>>6] >> (a & 63)
		if left := b - a; left < 63 {
			w &= 1<<(left+1) - 1
		}
		if w != 0 {
			return true
		}
		a = (a | 63) + 1
	}
	return false
}

// Part is about how many of n readings, spread evenly, lie in the set.
func (s *minuteSet) Part(n int) int {
	in := 0
	for _, w := range s.Words {
		in += bits.OnesCount64(w)
	}
	return int(float64(n) * float64(in) / float64(64*len(s.Words)))
}

func (s *minuteSet) any() bool {
	for _, w := range s.Words {
		if w != 0 {
			return true
		}
	}
	return false
}
