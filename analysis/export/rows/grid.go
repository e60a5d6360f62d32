package rows

// grid holds the plain rows of a block of a wide file, a column per tag. A
// column stands for its tag's readings for as long as each of the rows has a
// plain one for it, each row in a minute of its own. Otherwise the column is
// mixed: its readings are moved to the tag's part of the block, one by one, and
// go on there.
type grid struct {
	on    bool
	looks bool // see worker
	Rows  int
	room  int       // rows that a column has room for
	vals  []float64 // column after column
	t     []int64   // of the rows
	off   []uint32
	mixed []bool // by column
	Count int    // of mixed ones
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
	}
	clear(g.mixed)
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
			b.fold(k, b.touch(k))
		}
	}
}

// fold lays a column on its tag's part of the block.
func (b *Block) fold(k int, s *Seg) {
	g := &b.Grid
	s.Pt, s.Poff, s.Pv = g.t[:g.Rows], g.off[:g.Rows], g.vals[k*g.room:][:g.Rows]
	if g.looks {
		for _, v := range s.Pv {
			s.look(v, true)
		}
	}
	s.Plains += g.Rows
	s.lastT = g.t[g.Rows-1]
}

// Unfold turns the column laid on a part into single readings.
func (s *Seg) Unfold() {
	for i, t := range s.Pt {
		s.Recs = append(s.Recs, Rec{t, s.Pv[i], s.Poff[i], 0})
	}
	s.Pt, s.Pv, s.Poff = nil, nil, nil
}
