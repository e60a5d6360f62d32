package export

import (
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/merge"
	"weirbook/analysis/series"
)

// assemble joins every tag's runs into its series. Runs that follow one another
// are joined end to end. Where they share minutes (files that overlap, a block
// written twice, rows out of order) their files are read again, the single
// readings are sorted together and condensed anew, and what repeats is set aside
// with its line.
func (r *reader) assemble() error {
	r.res.Series = map[string]*series.Series{}
	tags := map[string]*merge.TagPieces{}
	for ti, t := range r.tables {
		for _, k := range t.Tracks {
			if k == nil || !k.Spec.Ruled {
				continue
			}
			g := tags[k.Spec.Name]
			if g == nil {
				g = &merge.TagPieces{Name: k.Spec.Name, Spec: k.Spec, Tracks: map[int][]*merge.Track{}}
				tags[k.Spec.Name] = g
			}
			g.Tracks[ti] = append(g.Tracks[ti], k)
			for _, x := range append([]*merge.Run{&k.Main}, k.Runs...) {
				if len(x.T) > 0 {
					g.Pieces = append(g.Pieces, merge.Piece{Run: x, Table: ti})
				}
			}
		}
	}
	names := lex.SortedKeys(tags)
	var again []*merge.TagPieces
	for _, n := range names {
		g := tags[n]
		g.FindShared()
		if g.Again {
			again = append(again, g)
		}
	}
	for len(again) > 0 {
		n := r.fewEnough(again)
		if err := r.readAgain(again[:n]); err != nil {
			return err
		}
		// Set-aside lists are shared between tags: repeats are dropped one tag
		// after the other; the rest goes side by side.
		for _, g := range again[:n] {
			merge.SortPlaced(g.Raw)
			g.DropRepeats()
		}
		merge.SideBySide(n, func(i int) {
			g := again[i]
			g.Fresh, g.Raw = g.Condense(), nil
		})
		again = again[n:]
	}
	r.conflicts(tags)
	out := make([]*series.Series, len(names))
	merge.SideBySide(len(names), func(i int) {
		g := tags[names[i]]
		run := g.Join
		if len(g.Shared.Words) > 0 {
			run = g.Merge
		}
		all := run()
		if g.Spec.Sampled() {
			all.OrderSamples()
		}
		out[i] = all.Series(g.Name)
		g.Release()
	})
	for i, n := range names {
		r.res.Series[n] = out[i]
	}
	return nil
}

// fewEnough gives how many of the tags, from the first, can be read again at once.
func (r *reader) fewEnough(gs []*merge.TagPieces) int {
	most, held := r.opt.rawMax, 0
	if most == 0 {
		most = merge.RawMax
	}
	for i, g := range gs {
		for _, ks := range g.Tracks {
			for _, k := range ks {
				held += g.Shared.Part(k.Led.Used)
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
func (r *reader) readAgain(gs []*merge.TagPieces) error {
	of := map[int]map[string]*merge.TagPieces{}
	for _, g := range gs {
		for _, p := range g.Pieces {
			if of[p.Table] == nil {
				of[p.Table] = map[string]*merge.TagPieces{}
			}
			of[p.Table][g.Name] = g
		}
	}
	for ti, t := range r.tables {
		if len(of[ti]) == 0 {
			continue
		}
		kept := t.Tracks
		t.Tracks = nil
		_, err := r.pass(t, of[ti])
		for _, k := range t.Tracks {
			if k != nil {
				k.Finish()
			}
		}
		t.Tracks = kept
		if err != nil {
			return err
		}
	}
	return nil
}
