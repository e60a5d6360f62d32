package export

import (
	"math"

	"weirbook/analysis/series"
)

// put adds a number to its tag's part of the block.
func (w *worker) put(s *seg, spec *tagSpec, ms int64, st timeStatus, v float64, f series.Flag, off int) {
	s.numbers++
	x, g := spec.finish(v, f)
	if w.looks {
		s.look(v, g&(series.Bad|series.SuspectFill) == 0)
	}
	w.keep(s, spec, ms, st, x, g, off)
}

// look takes a number, as exported, into account for how its tag looks: the
// lowest and the highest of those that are in range.
func (s *seg) look(v float64, inRange bool) {
	if inRange {
		s.min, s.max = min(s.min, v), max(s.max, v)
	}
	if math.Trunc(v) == v {
		s.whole++
		if v == 0 {
			s.zeros++
		}
	}
}

// keep hands a reading over, converted and flagged.
func (w *worker) keep(s *seg, spec *tagSpec, ms int64, st timeStatus, v float64, g series.Flag, off int) {
	if !spec.ruled {
		s.aside[NotInTags]++
		s.firstT, s.endT = min(s.firstT, ms), max(s.endT, ms)
		return
	}
	if ms < w.from || ms >= w.to {
		s.aside[OutsidePeriod]++
		s.firstT, s.endT = min(s.firstT, ms), max(s.endT, ms)
		return
	}
	if g != 0 {
		s.countFlags(g)
	}
	if st == timeTwice {
		g |= fTwice
		s.twice = true
	}
	if w.dir*(ms-s.lastT) <= 0 {
		s.unsorted = true
	} else if sameMinute(ms, s.lastT) {
		s.dense = true
	}
	s.lastT = ms
	s.recs = append(s.recs, rec{ms, v, uint32(off), g})
}

// sameMinute says whether two times, in ms, lie in one minute.
func sameMinute(a, b int64) bool {
	return uint64(a-b+minute) < 2*minute && floorDiv(a, minute) == floorDiv(b, minute)
}
