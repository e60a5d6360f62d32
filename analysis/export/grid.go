package export

// grid holds the plain rows of a block of a wide file, a column per tag. A
// column stands for its tag's readings for as long as each of the rows has a
// plain one for it, each row in a minute of its own. Otherwise the column is
// mixed: its readings are moved to the tag's part of the block, one by one, and
// go on there.
type grid struct {
	on    bool
	looks bool // see worker
	rows  int
	room  int       // rows that a column has room for
	vals  []float64 // column after column
	t     []int64   // of the rows
	off   []uint32
	mixed []bool // by column
	count int    // of mixed ones
}

// begin readies a block for the rows of a file with so many value columns.
func (b *block) begin(columns int, looks bool) {
	g := &b.grid
	g.on, g.looks, g.rows, g.count = true, looks, 0, 0
	// No row is shorter than a time and a separator for each column. Columns
	// that began at the same place of a page would crowd each other out of the
	// cache.
	room := (len(b.buf)/(9+columns)+1)&^15 + 24
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
func (b *block) mix(k int) {
	g := &b.grid
	g.mixed[k] = true
	g.count++
	if g.rows == 0 {
		return
	}
	s := b.touch(k)
	b.fold(k, s)
	s.unfold()
}

// mixAll gives the grid up for the rest of the block.
func (b *block) mixAll() {
	for k, m := range b.grid.mixed {
		if !m {
			b.mix(k)
		}
	}
	b.grid.on = false
}

// end hands the columns that stand to their tags' parts of the block.
func (b *block) end() {
	g := &b.grid
	if !g.on || g.rows == 0 {
		return
	}
	for k, m := range g.mixed {
		if !m {
			b.fold(k, b.touch(k))
		}
	}
}

// fold lays a column on its tag's part of the block.
func (b *block) fold(k int, s *seg) {
	g := &b.grid
	s.pt, s.poff, s.pv = g.t[:g.rows], g.off[:g.rows], g.vals[k*g.room:][:g.rows]
	if g.looks {
		for _, v := range s.pv {
			s.look(v, true)
		}
	}
	s.plains += g.rows
	s.lastT = g.t[g.rows-1]
}

// unfold turns the column laid on a part into single readings.
func (s *seg) unfold() {
	for i, t := range s.pt {
		s.recs = append(s.recs, rec{t, s.pv[i], s.poff[i], 0})
	}
	s.pt, s.pv, s.poff = nil, nil, nil
}
