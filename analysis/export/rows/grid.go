package rows

import (
	"math"

	"weirbook/analysis/export/ledger"
)

// grid holds the plain rows of a block of a wide file, a column per tag, each row in a
// minute of its own. Where a row has no plain number for a tag, its column has a hole: a
// blank, or a reading that stands in the tag's part of the block. Where a row is not
// plain as a whole, the columns are mixed: their readings are moved to the tags' parts
// of the block, one by one, and go on there.
type grid struct {
	on    bool
	looks bool // see worker
	Rows  int
	room  int       // rows that a column has room for
	vals  []float64 // column after column
	t     []int64   // of the rows
	off   []uint32
	mixed []bool // by column
	inRow bool   // a row's cells go to their tags' parts, and its columns stay

	holes, blanks []int    // by column; blanks are holes without a reading
	ownT          []int64  // times of the columns that have holes
	ownOff        []uint32 // and where their rows begin
	Count         int      // of mixed ones
}

// Begin readies a block for the rows of a file with so many value columns.
func (b *Block) Begin(columns int, looks bool) {
	g := &b.Grid
	g.on, g.looks, g.Rows, g.Count = true, looks, 0, 0
	// No row is shorter than a time and a separator for each column. Columns
	// that began at the same place of a page would crowd each other out of the
	// cache.
	room := (len(b.Buf)/(9+columns)+1)&^15 + 24
	if g.room < room || len(g.mixed) != columns {
		g.room = max(g.room, room)
		g.vals = make([]float64, g.room*columns)
		g.t, g.off = make([]int64, g.room), make([]uint32, g.room)
		g.mixed = make([]bool, columns)
		g.holes, g.blanks, g.ownT, g.ownOff = make([]int, columns), make([]int, columns), nil, nil
	}
	clear(g.mixed)
	clear(g.holes)
	clear(g.blanks)
	b.room(columns)
}

// mix moves a column's readings to its tag's part of the block.
func (b *Block) mix(k int) {
	g := &b.Grid
	g.mixed[k] = true
	g.Count++
	if g.Rows == 0 {
		return
	}
	s := b.touch(k)
	b.fold(k, s)
	s.Unfold()
}

// mixAll gives the grid up for the rest of the block.
func (b *Block) mixAll() {
	for k, m := range b.Grid.mixed {
		if !m {
			b.mix(k)
		}
	}
	b.Grid.on = false
}

// end hands the columns that stand to their tags' parts of the block.
func (b *Block) end() {
	g := &b.Grid
	if !g.on || g.Rows == 0 {
		return
	}
	for k, m := range g.mixed {
		if !m {
			s := b.touch(k)
			if b.fold(k, s); len(s.Recs) > 0 {
				s.Unfold()
			}
		}
	}
}

// hole leaves a column's place in the next row empty.
func (g *grid) hole(k int) {
	g.vals[k*g.room+g.Rows] = math.NaN()
	g.holes[k]++
}

// fold lays a column on its tag's part of the block, without its holes.
func (b *Block) fold(k int, s *Seg) {
	g := &b.Grid
	s.Pt, s.Poff, s.Pv = g.t[:g.Rows], g.off[:g.Rows], g.vals[k*g.room:][:g.Rows]
	if g.holes[k] > 0 {
		g.close(k, s)
	}
	if g.looks {
		for _, v := range s.Pv {
			s.look(v, true)
		}
	}
	s.Plains += len(s.Pt)
	s.lastT = g.t[g.Rows-1]
}

// close takes the holes out of a column.
func (g *grid) close(k int, s *Seg) {
	if g.ownT == nil {
		g.ownT, g.ownOff = make([]int64, len(g.vals)), make([]uint32, len(g.vals))
	}
	t, off, v := g.ownT[k*g.room:][:g.Rows], g.ownOff[k*g.room:][:g.Rows], s.Pv
	n := 0
	for i, x := range v {
		t[n], off[n], v[n] = s.Pt[i], s.Poff[i], x
		if x == x {
			n++
		}
	}
	s.Pt, s.Poff, s.Pv = t[:n], off[:n], v[:n]
	s.Rows += g.blanks[k]
	s.Aside[ledger.BlankValue] += g.blanks[k]
}

// Unfold turns the column laid on a part into single readings, in the order of the rows
// with those that stand there already.
func (s *Seg) Unfold() {
	all := s.Recs
	if len(all) > 0 {
		s.spare = append(s.spare[:0], all...)
		all = all[:0]
	}
	other := s.spare
	for i, t := range s.Pt {
		for len(other) > 0 && other[0].Off < s.Poff[i] {
			all, other = append(all, other[0]), other[1:]
		}
		all = append(all, Rec{t, s.Pv[i], s.Poff[i], 0})
	}
	s.Recs = append(all, other...)
	s.spare = s.spare[:0]
	s.Pt, s.Pv, s.Poff = nil, nil, nil
}
