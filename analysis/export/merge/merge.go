// Package merge makes of the blocks' readings one series a tag: in the file's order,
// repeated hours told apart, duplicates dropped, condensed to a minute, and joined
// over all files.
package merge

import (
	"context"
	"math"
	"strconv"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/layout"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rows"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/lab"
	"weirbook/analysis/series"
)

// Table is what a table's rows have come to.
type Table struct {
	Index    int // of the table among all
	M        record.Member
	F        *layout.Layout
	From     int // lines before the table in its file
	Tracks   []*Track
	Lead     *Track // whose times the others may share
	Aside    [ledger.NumReasons]ledger.AsideList
	Untagged ledger.LedgerRow
	Lab      map[string][]lab.Cell // of sampled tags, by tag

	shuffled map[string]map[int64]bool // see scattered, by tag

	// SecondPasses are clock changes, Unix seconds, whose repeated hour begins in another
	// file: its only pass here, at the beginning, is the second.
	SecondPasses map[int64]bool
}

// Merger takes a table's blocks in order.
type Merger struct {
	Ctx     context.Context
	Read    func(bytes int) // told of every block that is merged
	T       *Table
	P       *PassResult
	Line    int
	Size    int64
	merged  bool
	Lead    int // tag whose times others may share; -1: not met yet
	Collect map[string]*TagPieces
	at      rows.LineCounter // of the block
}

func (g *Merger) merge(b *rows.Block) {
	b.First = g.Line
	g.Line += b.Lines
	p, t := g.P, g.T
	p.Blanks += b.Blanks
	p.Comments += b.Comment
	p.Rows += b.Rows
	if b.Long != nil {
		p.Rows++
		b.Untagged[ledger.Damaged]++
		if b.AsideN[ledger.Damaged]++; b.AsideN[ledger.Damaged] <= ledger.SetAsideCap {
			b.Aside = append(b.Aside, rows.AsideRow{Off: uint32(len(b.Buf)), Tag: -1, Why: ledger.Damaged, Text: record.Shown(b.Long)})
		}
		g.Line++
	}
	if b.Err != nil {
		p.Err, p.ErrLine = b.Err, g.Line
	}
	if g.Collect == nil {
		for why, n := range b.Untagged {
			t.Untagged.Rows += n
			t.Untagged.Aside[why] += n
		}
		at := rows.LineCounter{B: b}
		for _, a := range b.Aside {
			line := at.Line(a.Off)
			if !t.Aside[a.Why].Wants(line) {
				continue
			}
			tag := ""
			if a.Tag >= 0 {
				tag = p.Tab.Spec(a.Tag).Name
			}
			t.Aside[a.Why].Add(ledger.SetAside{File: t.M.Name, Line: line, Tag: tag, Reason: a.Why, Text: a.Text})
		}
		for _, x := range b.Lab {
			x.Cell.File, x.Cell.Line = t.M.Name, at.Line(x.Off)
			t.labCell(p.Tab.Spec(x.Tag).Name, x.Cell)
		}
	}
	g.at = rows.FromEnd(b)
	// The tag whose times the others share comes first.
	if g.Lead >= 0 && g.Lead < len(b.Segs) && b.Segs[g.Lead].Used {
		g.tag(b, g.Lead, &b.Segs[g.Lead])
	}
	for _, tag := range b.Touched {
		if tag != g.Lead {
			g.tag(b, tag, &b.Segs[tag])
			if g.Lead < 0 && g.Collect == nil && len(t.Tracks[tag].Early) > 0 {
				g.Lead = tag
				t.Lead = t.Tracks[tag]
			}
		}
	}
	for k, n := range b.Words {
		s := g.stats(k.Tag)
		if s.Words == nil {
			s.Words = map[string]int{}
		}
		s.Words[k.Text] += n
	}
	for _, d := range b.Descs { // the file's first row of a tag counts, whichever worker met it
		if s := p.Tab.Spec(d.Tag); s.Desc == "" {
			s.Desc = d.Text
		}
	}
	g.merged = true
	if b.Turn != "" {
		p.Turn, p.TurnText = g.Line, b.Turn
	}
}

func (g *Merger) stats(tag int) *SegStats {
	p := g.P
	for len(p.Stats) <= tag {
		p.Stats = append(p.Stats, nil)
	}
	if p.Stats[tag] == nil {
		p.Stats[tag] = &SegStats{Min: math.Inf(1), Max: math.Inf(-1), First: math.MaxInt64, Last: math.MinInt64}
	}
	return p.Stats[tag]
}

func (g *Merger) track(tag int) *Track {
	t := g.T
	for len(t.Tracks) <= tag {
		t.Tracks = append(t.Tracks, nil)
	}
	if t.Tracks[tag] == nil {
		spec := g.P.Tab.Spec(tag)
		k := newTrack(spec, t)
		k.Led.File, k.Led.Tag = t.M.Name, spec.Name
		k.clock = stamp.ZoneOf(t.F.Time.Clock.Loc)
		k.hours.aside = t.shuffled[spec.Name]
		k.setAside = func(p placed, why ledger.Reason) {
			t.setAside(p, spec.Name, why)
			if spec.Sampled() && why == ledger.Conflicting && p.f&^series.Late == 0 { // one with a sign has its cell
				t.labCell(spec.Name, lab.Cell{T: p.t, Text: strconv.FormatFloat(p.v, 'g', 6, 64), Number: true, Value: p.v, File: t.M.Name, Line: p.line})
			}
		}
		if spec.Sampled() {
			k.alike = func(p placed) {
				if p.f&^series.Late == 0 {
					t.labCell(spec.Name, lab.Cell{T: p.t, Text: strconv.FormatFloat(p.v, 'g', 6, 64), Number: true, Value: p.v, Twice: true, File: t.M.Name, Line: p.line})
				}
			}
		}
		if t.Lead != nil && spec.Ruled {
			k.Main.like = &t.Lead.Main
		}
		t.Tracks[tag] = k
	}
	return t.Tracks[tag]
}

func (t *Table) labCell(tag string, x lab.Cell) {
	if t.Lab == nil {
		t.Lab = map[string][]lab.Cell{}
	}
	t.Lab[tag] = append(t.Lab[tag], x)
}

func (t *Table) setAside(p placed, tag string, why ledger.Reason) {
	if t.Aside[why].Wants(p.line) {
		t.Aside[why].Add(ledger.SetAside{File: t.M.Name, Line: p.line, Tag: tag, Reason: why, Text: p.text()})
	}
}

// tag takes one tag's part of a block.
func (g *Merger) tag(b *rows.Block, tag int, s *rows.Seg) {
	if g.Collect != nil {
		g.again(b, tag, s)
		return
	}
	k := g.track(tag)
	st := g.stats(tag)
	st.rows += s.Rows + s.Plains
	st.Numbers += s.Numbers + s.Plains
	st.Whole += s.Whole
	st.Zeros += s.Zeros
	st.Limits += s.Limits
	st.InCells = st.InCells || s.InCells
	st.Min, st.Max = min(st.Min, s.Min), max(st.Max, s.Max)
	st.First, st.Last = min(st.First, s.FirstT), max(st.Last, s.EndT)
	if n := len(s.Pt); n > 0 {
		st.First, st.Last = min(st.First, s.Pt[0], s.Pt[n-1]), max(st.Last, s.Pt[0], s.Pt[n-1])
	} else if n := len(s.Recs); n > 0 && !s.Unsorted && s.Holes == 0 {
		st.First, st.Last = min(st.First, s.Recs[0].T, s.Recs[n-1].T), max(st.Last, s.Recs[0].T, s.Recs[n-1].T)
	} else {
		for i := range s.Recs {
			if x := &s.Recs[i]; x.F&rows.FHole == 0 {
				st.First, st.Last = min(st.First, x.T), max(st.Last, x.T)
			}
		}
	}
	l := &k.Led
	l.Rows += s.Rows + s.Plains
	for why, n := range s.Aside {
		l.Aside[why] += n
	}
	n := len(s.Pt) + len(s.Recs)
	l.Used += n - s.Holes
	l.Bad += s.FlagN[0]
	l.Uncertain += s.FlagN[1]
	l.OutsideSpan += s.FlagN[2]
	l.Fill += s.FlagN[3]
	l.LessThan += s.Less
	l.GreaterThan += s.Greater
	if n == 0 {
		return
	}
	if !g.merged && g.Size > 0 && len(b.Touched) > 1 {
		// Room for the whole file, as the first block makes it look.
		kept := float64(n)
		if s.Dense && !s.Unsorted {
			kept = min(kept, float64(lex.AbsDiff(s.Recs[len(s.Recs)-1].T, s.Recs[0].T))/lex.Minute)
		}
		room := kept*float64(g.Size)/float64(len(b.Buf))*1.04 + 16
		if room > kept && room < float64(g.Size)/4 {
			if k.Main.like == nil {
				k.Main.T = make([]int64, 0, int(room))
			}
			k.Main.v = make([]float64, 0, int(room))
		}
	}
	if len(s.Pt) > 0 {
		if k.addColumn(s, &g.at) {
			return
		}
		s.Unfold()
	}
	k.add(s.Recs, &g.at, !s.Unsorted, !s.Dense, s.Twice)
}

// again tells a tag's readings once more to what gathers those of shared minutes.
func (g *Merger) again(b *rows.Block, tag int, s *rows.Seg) {
	spec := g.P.Tab.Spec(tag)
	to, ok := g.Collect[spec.Name]
	s.Unfold()
	if !ok || len(s.Recs) == 0 {
		return
	}
	for len(g.T.Tracks) <= tag {
		g.T.Tracks = append(g.T.Tracks, nil)
	}
	k := g.T.Tracks[tag]
	if k == nil {
		k = newTrack(spec, g.T)
		k.clock = stamp.ZoneOf(g.T.F.Time.Clock.Loc)
		k.hours.aside = g.T.shuffled[spec.Name]
		g.T.Tracks[tag] = k
	}
	k.collect = to.gather
	from, end := &s.Recs[0], &s.Recs[len(s.Recs)-1]
	start := from.T
	if k.has {
		start = k.last
	}
	if !s.Unsorted && !s.Twice && len(k.amb) == 0 && k.follows(from.T) && !to.Shared.near(min(start, end.T), max(start, end.T)) {
		// Nothing here is asked for: only the last may matter to what follows.
		k.pend, k.has, k.last = placed{reading{end.T, end.V, end.F}, k.file, g.at.Line(end.Off)}, true, end.T
		return
	}
	k.add(s.Recs, &g.at, false, false, s.Twice)
}

// SegStats gathers a tag's looks over the blocks.
type SegStats struct {
	rows, Numbers, Whole, Zeros, Limits int
	Min, Max                            float64
	First, Last                         int64
	Words                               map[string]int
	InCells                             bool // units stand beside its numbers
}

// PassResult is what a pass over a table found, besides its readings.
type PassResult struct {
	Blanks, Comments, Rows int
	Dates                  stamp.DateLooks
	Lows                   map[string]map[float64]int // see cell.Low, by tag
	UnknownQ               map[string]bool
	Marks                  cell.MarkCounts
	Codes                  map[uint64]int            // quality numbers met, once each
	TagCodes               map[string]map[uint64]int // the same by tag, of a file that mixes kinds
	Stats                  []*SegStats               // by tag number
	Tab                    *rows.TagTable
	Starred                int
	Units                  map[int]map[string]bool // stated beside the values of a wide file, by tag number
	Err                    error                   // the stream's
	ErrLine                int
	Turn                   int // line where another table begins; 0: none
	TurnText               string
}
