package rows

import (
	"math"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/series"
)

// put adds a number to its tag's part of the block.
func (w *Worker) put(s *Seg, spec *cell.TagSpec, ms int64, st stamp.TimeStatus, v float64, f series.Flag, off int) {
	s.Numbers++
	x, g := spec.Finish(v, f)
	if w.Looks {
		s.look(v, g&(series.Bad|series.SuspectFill) == 0)
	}
	w.keep(s, spec, ms, st, x, g, off)
}

// look takes a number, as exported, into account for how its tag looks: the
// lowest and the highest of those that are in range.
func (s *Seg) look(v float64, inRange bool) {
	if inRange {
		s.Min, s.Max = min(s.Min, v), max(s.Max, v)
	}
	if math.Trunc(v) == v {
		s.Whole++
		if v == 0 {
			s.Zeros++
		}
	}
}

// keep hands a reading over, converted and flagged.
func (w *Worker) keep(s *Seg, spec *cell.TagSpec, ms int64, st stamp.TimeStatus, v float64, g series.Flag, off int) {
	if !spec.Ruled {
		s.Aside[ledger.NotInTags]++
		s.FirstT, s.EndT = min(s.FirstT, ms), max(s.EndT, ms)
		return
	}
	if ms < w.from || ms >= w.to {
		s.Aside[ledger.OutsidePeriod]++
		s.FirstT, s.EndT = min(s.FirstT, ms), max(s.EndT, ms)
		return
	}
	if g != 0 {
		s.countFlags(g)
	}
	if st == stamp.TimeTwice {
		g |= FTwice
		s.Twice = true
	}
	if w.dir*(ms-s.lastT) <= 0 {
		s.Unsorted = true
	} else if lex.SameMinute(ms, s.lastT) {
		s.Dense = true
	}
	s.lastT = ms
	s.Recs = append(s.Recs, Rec{ms, v + 0, uint32(off), g}) // -0 becomes 0
}
