package export

import (
	"math"
	"math/bits"
	"sort"

	"weirbook/analysis/series"
)

// What is done where several runs of a tag claim the same minutes.

// findShared sorts the pieces and marks the minutes that several of them claim.
func (g *tagPieces) findShared() {
	sort.SliceStable(g.pieces, func(i, j int) bool {
		a, b := g.pieces[i], g.pieces[j]
		if a.first() != b.first() {
			return a.first() < b.first()
		}
		return a.table < b.table
	})
	apart := true
	var end int64
	for i, p := range g.pieces {
		if i > 0 && floorDiv(p.first(), minute) <= floorDiv(end, minute) {
			apart = false
			break
		}
		end = p.end()
	}
	if apart {
		return
	}
	var seen minuteSet
	lo, hi := g.pieces[0].first(), g.pieces[0].end()
	for _, p := range g.pieces {
		lo, hi = min(lo, p.first()), max(hi, p.end())
	}
	seen.size(floorDiv(lo, minute), floorDiv(hi, minute))
	g.shared.size(floorDiv(lo, minute), floorDiv(hi, minute))
	for _, p := range g.pieces {
		last := int64(-1 << 60)
		for _, t := range p.t {
			m := floorDiv(t, minute)
			if m == last {
				continue
			}
			last = m
			if seen.has(m) {
				g.shared.add(m)
			}
			seen.add(m)
		}
	}
	// Interleaved, but in minutes of their own, merge sorts them as they are.
	// Else the single readings are read again, with their lines.
	g.again = g.shared.any()
}

// rawMax is how many single readings of shared minutes are held at a time, of
// 40 bytes and twice that while they are sorted. A tag's own are never parted.
const rawMax = 4 << 20

// fewEnough gives how many of the tags, from the first, can be read again at once.
func (r *reader) fewEnough(gs []*tagPieces) int {
	most, held := r.opt.rawMax, 0
	if most == 0 {
		most = rawMax
	}
	for i, g := range gs {
		for _, ks := range g.tracks {
			for _, k := range ks {
				held += g.shared.part(k.led.Used)
			}
		}
		if held > most && i > 0 {
			return i
		}
	}
	return len(gs)
}

// readAgain reads the tables of some tags again for the readings of their shared
// minutes.
func (r *reader) readAgain(gs []*tagPieces) error {
	of := map[int]map[string]*tagPieces{}
	for _, g := range gs {
		for _, p := range g.pieces {
			if of[p.table] == nil {
				of[p.table] = map[string]*tagPieces{}
			}
			of[p.table][g.name] = g
		}
	}
	for ti, t := range r.tables {
		if len(of[ti]) == 0 {
			continue
		}
		kept := t.tracks
		t.tracks = nil
		_, err := r.pass(t, of[ti])
		for _, k := range t.tracks {
			if k != nil {
				k.finish()
			}
		}
		t.tracks = kept
		if err != nil {
			return err
		}
	}
	return nil
}

// take gathers the single readings of shared minutes and those beside them.
func (g *tagPieces) take(p placed) {
	if g.shared.near(p.t, p.t) {
		g.raw = append(g.raw, p)
	}
}

// merge sorts pieces together that overlap: their readings in minutes of one
// piece as they are, those of shared minutes condensed anew.
func (g *tagPieces) merge() *run {
	fresh := g.fresh
	if fresh == nil { // no minute is shared
		fresh = &run{}
	}
	heads := make([]*place, 0, len(g.pieces)+1)
	n := len(fresh.t)
	for _, p := range g.pieces {
		n += len(p.t)
		heads = append(heads, &place{run: p.run, shared: &g.shared})
	}
	heads = append(heads, &place{run: fresh}) // last: of equal times it comes second
	o := &run{t: make([]int64, 0, n), v: make([]float64, 0, n)}
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
			if n := len(o.t); n == 0 || o.t[n-1] < h.t() {
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
	run    *run
	shared *minuteSet
	i      int
}

func (h *place) done() bool { return h.i == len(h.run.t) }
func (h *place) t() int64   { return h.run.t[h.i] }

func (h *place) next() {
	for h.shared != nil && h.i < len(h.run.t) && h.shared.has(floorDiv(h.run.t[h.i], minute)) {
		h.i++
	}
}

// condense makes the readings of shared minutes from the single ones in and
// beside them.
func (g *tagPieces) condense() *run {
	raw, fresh := g.raw, &run{}
	for i := 0; i < len(raw); {
		// A stretch: minutes without a hole between.
		j := i + 1
		for j < len(raw) && floorDiv(raw[j].t, minute) <= floorDiv(raw[j-1].t, minute)+1 {
			j++
		}
		var part run
		c := condenser{how: g.spec.how, out: &part}
		if g.spec.how == keepLevel {
			if x, ok := g.before(raw[i].t); ok {
				c.feed(x)
			}
		}
		for _, p := range raw[i:j] {
			c.feed(p.reading)
		}
		c.finish()
		for k := range part.t {
			if g.shared.has(floorDiv(part.t[k], minute)) {
				fresh.push(part.at(k))
			}
		}
		i = j
	}
	return fresh
}

// before gives the last reading before t in a minute that is not shared.
func (g *tagPieces) before(t int64) (x reading, ok bool) {
	for _, p := range g.pieces {
		i := sort.Search(len(p.t), func(i int) bool { return p.t[i] >= t }) - 1
		for i >= 0 && g.shared.has(floorDiv(p.t[i], minute)) {
			i--
		}
		if i >= 0 && (!ok || p.t[i] > x.t) {
			x, ok = p.at(i), true
		}
	}
	return x, ok
}

// dropRepeats keeps one reading of each time and sets the others aside.
func (g *tagPieces) dropRepeats() {
	out := g.raw[:0]
	of := map[int]int{} // readings of the minute, by file
	last := int64(math.MinInt64)
	for i, p := range g.raw {
		m := floorDiv(p.t, minute)
		if m != last {
			last = m
			clear(of)
			for _, q := range g.raw[i:] {
				if floorDiv(q.t, minute) != m {
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
		if !g.shared.has(m) {
			continue
		}
		why := Repeated
		if !same(out[n-1].reading, p.reading) {
			why = Conflicting
		}
		g.tracks[p.file][0].dropCounted(p, why, of[p.file] > 1)
	}
	g.raw = out
}

// dropCounted sets a reading aside that a pass counted as used, and as condensed
// if it was one of several of its minute.
func (t *track) dropCounted(p placed, why Reason, several bool) {
	if p.f&series.Late != 0 {
		t.led.Late--
		p.f &^= series.Late
	}
	t.drop(p, why)
	if several && t.led.Condensed > 0 {
		t.led.Condensed--
	}
	t.led.Condensed = min(t.led.Condensed, t.led.Used)
}

// minuteSet is a set of minutes in a stretch of time.
type minuteSet struct {
	from  int64
	words []uint64
}

func (s *minuteSet) size(lo, hi int64) {
	s.from = lo
	s.words = make([]uint64, (hi-lo)/64+1)
}

func (s *minuteSet) has(m int64) bool {
	i := m - s.from
	return i >= 0 && i>>6 < int64(len(s.words)) && s.words[i>>6]>>(i&63)&1 != 0
}

func (s *minuteSet) add(m int64) { i := m - s.from; s.words[i>>6] |= 1 << (i & 63) }

// near says whether a minute of the set lies within a minute of [lo, hi] (ms).
func (s *minuteSet) near(lo, hi int64) bool {
	a, b := max(floorDiv(lo, minute)-1-s.from, 0), min(floorDiv(hi, minute)+1-s.from, int64(len(s.words))*64-1)
	for a <= b {
		w := s.words[a>>6] >> (a & 63)
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

// part is about how many of n readings, spread evenly, lie in the set.
func (s *minuteSet) part(n int) int {
	in := 0
	for _, w := range s.words {
		in += bits.OnesCount64(w)
	}
	return int(float64(n) * float64(in) / float64(64*len(s.words)))
}

func (s *minuteSet) any() bool {
	for _, w := range s.words {
		if w != 0 {
			return true
		}
	}
	return false
}
