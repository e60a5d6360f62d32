package export

import (
	"runtime"
	"sort"
	"sync"

	"weirbook/analysis/series"
)

// piece is one run of a tag, and the table it came from.
type piece struct {
	*run
	table int
	tight bool // condensed: single readings are no longer there
}

// line of a reading, 0 where it was not kept.
func (p piece) line(i int) int {
	if p.l != nil {
		return int(p.l[i])
	}
	return 0
}

func (p piece) first() int64 { return p.t[0] }
func (p piece) end() int64   { return p.t[len(p.t)-1] }

// tagPieces is all of a tag.
type tagPieces struct {
	name   string
	spec   *tagSpec
	pieces []piece
	tracks map[int][]*track // by table, for the ledger

	shared minuteSet // minutes that several pieces claim
	raw    []placed  // single readings in and around them, if they had to be read again
	again  bool
}

// assemble joins every tag's runs into its series. Runs that follow one another
// are joined end to end. Where they share minutes (files that overlap, a block
// written twice, rows out of order) their readings are sorted together and
// condensed anew, reading the files again where the single readings were not
// kept.
func (r *reader) assemble() error {
	r.res.Series = map[string]*series.Series{}
	tags := map[string]*tagPieces{}
	for ti, t := range r.tables {
		for _, k := range t.tracks {
			if k == nil || !k.spec.ruled {
				continue
			}
			g := tags[k.spec.name]
			if g == nil {
				g = &tagPieces{name: k.spec.name, spec: k.spec, tracks: map[int][]*track{}}
				tags[k.spec.name] = g
			}
			g.tracks[ti] = append(g.tracks[ti], k)
			for _, x := range append([]*run{&k.main}, k.runs...) {
				if len(x.t) > 0 {
					g.pieces = append(g.pieces, piece{x, ti, k.tight})
				}
			}
		}
	}
	names := sortedKeys(tags)
	reread := map[int]map[string]func(placed){}
	for _, n := range names {
		g := tags[n]
		g.findShared()
		if !g.again {
			continue
		}
		for _, p := range g.pieces {
			if reread[p.table] == nil {
				reread[p.table] = map[string]func(placed){}
			}
			reread[p.table][n] = g.take
		}
	}
	for ti, t := range r.tables {
		if len(reread[ti]) == 0 {
			continue
		}
		kept := t.tracks
		t.tracks = nil
		_, err := r.pass(t, reread[ti])
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
	// Set-aside lists are shared between tags: those with duplicates go one by
	// one, in order; the others side by side.
	out := make([]*series.Series, len(names))
	var wg sync.WaitGroup
	gate := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i, n := range names {
		g := tags[n]
		if len(g.shared.words) > 0 {
			out[i] = g.merge(r).series(n)
			continue
		}
		wg.Add(1)
		gate <- struct{}{}
		go func() {
			defer func() { <-gate; wg.Done() }()
			out[i] = g.join().series(n)
		}()
	}
	wg.Wait()
	for i, n := range names {
		r.res.Series[n] = out[i]
	}
	for _, t := range r.tables { // the runs are in the series now
		for _, k := range t.tracks {
			if k != nil {
				k.main, k.runs = run{}, nil
			}
		}
	}
	return nil
}

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
	tight := false
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
		tight = tight || p.tight
	}
	g.again = tight
	if !g.shared.any() {
		// Interleaved, but in minutes of their own: merge sorts them.
		g.again = false
	}
}

// take gathers the single readings of shared minutes and those beside them.
func (g *tagPieces) take(p placed) {
	m := floorDiv(p.t, minute)
	if g.shared.has(m) || g.shared.has(m-1) || g.shared.has(m+1) {
		g.raw = append(g.raw, p)
	}
}

// join puts pieces that follow one another end to end.
func (g *tagPieces) join() *run {
	if len(g.pieces) == 1 {
		return g.pieces[0].run
	}
	n, flags := 0, false
	for _, p := range g.pieces {
		n += len(p.t)
		flags = flags || len(p.f) > 0
	}
	o := &run{t: make([]int64, 0, n), v: make([]float64, 0, n)}
	for _, p := range g.pieces {
		if flags {
			o.padFlags(len(o.t))
		}
		o.t = append(o.t, p.t...)
		o.v = append(o.v, p.v...)
		if flags {
			o.f = append(o.f, p.f...)
		}
	}
	return o
}

// merge sorts pieces together that share minutes.
func (g *tagPieces) merge(r *reader) *run {
	var rest []placed // readings of minutes that one piece has to itself
	raw := g.raw
	for _, p := range g.pieces {
		for i := range p.t {
			m := floorDiv(p.t[i], minute)
			if g.shared.has(m) {
				if !g.again {
					raw = append(raw, placed{p.at(i), p.table, p.line(i)})
				}
				continue
			}
			rest = append(rest, placed{p.at(i), p.table, p.line(i)})
		}
	}
	if !g.again { // and the readings beside them, which the line passes through
		for _, p := range rest {
			m := floorDiv(p.t, minute)
			if g.shared.has(m-1) || g.shared.has(m+1) {
				raw = append(raw, p)
			}
		}
	}
	sortPlaced(rest)
	sortPlaced(raw)
	raw = g.dropRepeats(r, raw)
	var fresh run
	used := 0 // of rest, for what an on-change tag holds from before
	for i := 0; i < len(raw); {
		// A stretch: minutes without a hole between.
		j := i + 1
		for j < len(raw) && floorDiv(raw[j].t, minute) <= floorDiv(raw[j-1].t, minute)+1 {
			j++
		}
		var part run
		c := condenser{how: g.spec.how, out: &part}
		if g.spec.how == keepLevel {
			for used < len(rest) && rest[used].t < raw[i].t {
				used++
			}
			if used > 0 {
				c.feed(rest[used-1].reading)
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
	// Interleave.
	o := &run{}
	i, j := 0, 0
	push := func(x reading) {
		if n := len(o.t); n > 0 && o.t[n-1] >= x.t {
			return // what an on-change tag holds, already said
		}
		o.push(x)
	}
	for i < len(rest) || j < len(fresh.t) {
		if j == len(fresh.t) || i < len(rest) && rest[i].t <= fresh.t[j] {
			push(rest[i].reading)
			i++
		} else {
			push(fresh.at(j))
			j++
		}
	}
	return o
}

// dropRepeats keeps one reading of each time and sets the others aside.
func (g *tagPieces) dropRepeats(r *reader, raw []placed) []placed {
	out := raw[:0]
	for _, p := range raw {
		n := len(out)
		if n == 0 || out[n-1].t != p.t {
			out = append(out, p)
			continue
		}
		if !g.shared.has(floorDiv(p.t, minute)) {
			continue
		}
		why := Repeated
		if !same(out[n-1].reading, p.reading) {
			why = Conflicting
		}
		g.tracks[p.file][0].dropCounted(p, why)
	}
	return out
}

// dropCounted sets a reading aside that a pass counted as used.
func (t *track) dropCounted(p placed, why Reason) {
	if p.f&series.Late != 0 {
		t.led.Late--
		p.f &^= series.Late
	}
	t.drop(p, why)
}

// series wraps a run.
func (o *run) series(name string) *series.Series {
	s := &series.Series{Tag: name, T: o.t, V: o.v}
	o.padFlags(len(o.t))
	s.F = o.f
	if s.F == nil {
		s.F = []series.Flag{}
	}
	return s
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

func (s *minuteSet) any() bool {
	for _, w := range s.words {
		if w != 0 {
			return true
		}
	}
	return false
}
