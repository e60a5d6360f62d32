package upset

import (
	"math"
	"sort"
)

// addStopped adds to a feed's moves the times in which it stood still, where it
// hardly ever does. A pump that swings widely in its normal work stays within
// the scatter of its own changes when it stops; that it stopped says enough.
func addStopped(in *Input, c *Column, t *Track, r *reference, usual float64, l0, l1 int, s *Settings) {
	still := s.StillShare * usual
	if !c.Steers || !(still > 0) || r.resting(c.V, still, s.ScatterDays) > s.StillRare {
		return
	}
	minLen := max(1, s.MinMoveMin/s.BinMin)
	for a := l0; a < l1; a++ {
		if !(t.Bins[a] <= still) {
			continue
		}
		b := a
		for b < l1 && t.Bins[b] <= still {
			b++
		}
		if m := stoppage(in, c, t, r, a, b, l1); b-a >= minLen && !t.covers(m.At, m.End) {
			t.Moves = append(t.Moves, m)
		}
		a = b
	}
	sort.SliceStable(t.Moves, func(i, j int) bool { return t.Moves[i].At < t.Moves[j].At })
}

// stoppage is the move of a feed that stood still in the bins [a, b).
func stoppage(in *Input, c *Column, t *Track, r *reference, a, b, l1 int) Move {
	ms := func(bin int) int64 { return in.Grid.Milli(r.lo + bin*r.bin) }
	m := Move{Column: t.Column, Tag: c.Tag, Kind: c.Kind, Title: c.Title, Unit: c.Unit,
		At: ms(a), End: ms(b), Back: b < l1, Peak: ms(a), From: levelBefore(t.Bins, a), To: t.Bins[a], NormalAt: t.Normal[a]}
	m.Size = m.To - m.From
	if n := t.Normal[a] + t.Level; !isNaN(n) && n > 0 {
		m.NormalAt, m.Size = n, m.To-n
	}
	m.Sigmas = math.Abs(m.Size) / t.Scale
	m.AtOutlet = atOutlet(in, c, m.At)
	m.Doubted = c.doubted(in.Doubts, m.At, m.End)
	return m
}

// covers reports whether a fall found otherwise holds that time already.
func (t *Track) covers(from, to int64) bool {
	for _, m := range t.Moves {
		if m.Size < 0 && m.At < to && m.End > from {
			return true
		}
	}
	return false
}

// resting is the share of clean time, of so many days before and after, in which
// v is at or below still; 1 where nothing is known.
func (r *reference) resting(v []float64, still float64, days int) float64 {
	n, low := 0, 0
	for i := max(0, r.lo-days*1440); i < min(r.in.Grid.N, r.lo+days*1440); i++ {
		if !r.ok[i] || isNaN(v[i]) {
			continue
		}
		n++
		if v[i] <= still {
			low++
		}
	}
	if n == 0 {
		return 1
	}
	return float64(low) / float64(n)
}
