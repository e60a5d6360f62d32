package export

import (
	"context"
	"math"
)

// tableRuns is what a table's rows have come to.
type tableRuns struct {
	index  int // of the table among all
	m      member
	f      *format
	from   int // lines before the table in its file
	tracks []*track
	lead   *track // whose times the others may share
	aside  [numReasons]asideList
	loose  LedgerRow

	shuffled map[string]map[int64]bool // see scattered, by tag
}

// merger takes a table's blocks in order.
type merger struct {
	ctx     context.Context
	read    func(bytes int) // told of every block that is merged
	t       *tableRuns
	p       *passed
	line    int
	size    int64
	merged  bool
	lead    int // tag whose times others may share; -1: not met yet
	collect map[string]*tagPieces
	at      lineCounter // of the block
}

func (g *merger) merge(b *block) {
	b.first = g.line
	g.line += b.lines
	p, t := g.p, g.t
	p.blanks += b.blanks
	p.comments += b.comment
	p.rows += b.rows
	if b.long != nil {
		p.rows++
		b.loose[Damaged]++
		if b.asideN[Damaged]++; b.asideN[Damaged] <= SetAsideCap {
			b.aside = append(b.aside, asideRow{uint32(len(b.buf)), -1, Damaged, shown(b.long)})
		}
		g.line++
	}
	if b.err != nil {
		p.err, p.errLine = b.err, g.line
	}
	if g.collect == nil {
		for why, n := range b.loose {
			t.loose.Rows += n
			t.loose.Aside[why] += n
		}
		at := lineCounter{b: b}
		for _, a := range b.aside {
			line := at.line(a.off)
			if !t.aside[a.why].wants(line) {
				continue
			}
			tag := ""
			if a.tag >= 0 {
				tag = p.tab.spec(a.tag).name
			}
			t.aside[a.why].add(SetAside{t.m.name, line, tag, a.why, a.text})
		}
	}
	g.at = fromEnd(b)
	// The tag whose times the others share comes first.
	if g.lead >= 0 && g.lead < len(b.segs) && b.segs[g.lead].used {
		g.tag(b, g.lead, &b.segs[g.lead])
	}
	for _, tag := range b.touched {
		if tag != g.lead {
			g.tag(b, tag, &b.segs[tag])
			if g.lead < 0 && g.collect == nil && len(t.tracks[tag].early) > 0 {
				g.lead = tag
				t.lead = t.tracks[tag]
			}
		}
	}
	for k, n := range b.words {
		s := g.stats(k.tag)
		if s.words == nil {
			s.words = map[string]int{}
		}
		s.words[k.text] += n
	}
	g.merged = true
	if b.turn != "" {
		p.turn, p.turnText = g.line, b.turn
	}
}

func (g *merger) stats(tag int) *segStats {
	p := g.p
	for len(p.stats) <= tag {
		p.stats = append(p.stats, nil)
	}
	if p.stats[tag] == nil {
		p.stats[tag] = &segStats{min: math.Inf(1), max: math.Inf(-1), first: math.MaxInt64, last: math.MinInt64}
	}
	return p.stats[tag]
}

func (g *merger) track(tag int) *track {
	t := g.t
	for len(t.tracks) <= tag {
		t.tracks = append(t.tracks, nil)
	}
	if t.tracks[tag] == nil {
		spec := g.p.tab.spec(tag)
		k := newTrack(spec, t)
		k.led.File, k.led.Tag = t.m.name, spec.name
		k.clock = zoneOf(t.f.tm.clock.loc)
		k.hours.aside = t.shuffled[spec.name]
		k.setAside = func(p placed, why Reason) { t.setAside(p, spec.name, why) }
		if t.lead != nil && spec.ruled {
			k.main.like = &t.lead.main
		}
		t.tracks[tag] = k
	}
	return t.tracks[tag]
}

func (t *tableRuns) setAside(p placed, tag string, why Reason) {
	if t.aside[why].wants(p.line) {
		t.aside[why].add(SetAside{t.m.name, p.line, tag, why, p.text()})
	}
}

// tag takes one tag's part of a block.
func (g *merger) tag(b *block, tag int, s *seg) {
	if g.collect != nil {
		g.again(b, tag, s)
		return
	}
	k := g.track(tag)
	st := g.stats(tag)
	st.rows += s.rows + s.plains
	st.numbers += s.numbers + s.plains
	st.whole += s.whole
	st.zeros += s.zeros
	st.limits += s.limits
	st.min, st.max = min(st.min, s.min), max(st.max, s.max)
	st.first, st.last = min(st.first, s.firstT), max(st.last, s.endT)
	if n := len(s.pt); n > 0 {
		st.first, st.last = min(st.first, s.pt[0], s.pt[n-1]), max(st.last, s.pt[0], s.pt[n-1])
	} else if n := len(s.recs); n > 0 && !s.unsorted && s.holes == 0 {
		st.first, st.last = min(st.first, s.recs[0].t, s.recs[n-1].t), max(st.last, s.recs[0].t, s.recs[n-1].t)
	} else {
		for i := range s.recs {
			if x := &s.recs[i]; x.f&fHole == 0 {
				st.first, st.last = min(st.first, x.t), max(st.last, x.t)
			}
		}
	}
	l := &k.led
	l.Rows += s.rows + s.plains
	for why, n := range s.aside {
		l.Aside[why] += n
	}
	n := len(s.pt) + len(s.recs)
	l.Used += n - s.holes
	l.Bad += s.flagN[0]
	l.Uncertain += s.flagN[1]
	l.OutsideSpan += s.flagN[2]
	l.Fill += s.flagN[3]
	l.LessThan += s.less
	l.GreaterThan += s.greater
	if n == 0 {
		return
	}
	if !g.merged && g.size > 0 && len(b.touched) > 1 {
		// Room for the whole file, as the first block makes it look.
		kept := float64(n)
		if s.dense && !s.unsorted {
			kept = min(kept, float64(absDiff(s.recs[len(s.recs)-1].t, s.recs[0].t))/minute)
		}
		room := kept*float64(g.size)/float64(len(b.buf))*1.04 + 16
		if room > kept && room < float64(g.size)/4 {
			if k.main.like == nil {
				k.main.t = make([]int64, 0, int(room))
			}
			k.main.v = make([]float64, 0, int(room))
		}
	}
	if len(s.pt) > 0 {
		if k.addColumn(s, &g.at) {
			return
		}
		s.unfold()
	}
	k.add(s.recs, &g.at, !s.unsorted, !s.dense, s.twice)
}

// again tells a tag's readings once more to what gathers those of shared minutes.
func (g *merger) again(b *block, tag int, s *seg) {
	spec := g.p.tab.spec(tag)
	to, ok := g.collect[spec.name]
	s.unfold()
	if !ok || len(s.recs) == 0 {
		return
	}
	for len(g.t.tracks) <= tag {
		g.t.tracks = append(g.t.tracks, nil)
	}
	k := g.t.tracks[tag]
	if k == nil {
		k = newTrack(spec, g.t)
		k.clock = zoneOf(g.t.f.tm.clock.loc)
		k.hours.aside = g.t.shuffled[spec.name]
		g.t.tracks[tag] = k
	}
	k.collect = to.take
	from, end := &s.recs[0], &s.recs[len(s.recs)-1]
	start := from.t
	if k.has {
		start = k.last
	}
	if !s.unsorted && !s.twice && len(k.amb) == 0 && k.follows(from.t) && !to.shared.near(min(start, end.t), max(start, end.t)) {
		// Nothing here is asked for: only the last may matter to what follows.
		k.pend, k.has, k.last = placed{reading{end.t, end.v, end.f}, k.file, g.at.line(end.off)}, true, end.t
		return
	}
	k.add(s.recs, &g.at, false, false, s.twice)
}

// segStats gathers a tag's looks over the blocks.
type segStats struct {
	rows, numbers, whole, zeros, limits int
	min, max                            float64
	first, last                         int64
	words                               map[string]int
}
