package rows

import (
	"math"
	"slices"
	"strconv"
	"time"

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
	if v <= cell.Low && g&series.SuspectFill == 0 && spec.Fills() {
		w.low(spec, v)
	}
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
	// Of samples a few may well be old.
	if outside := ms < w.from || ms >= w.to; outside && !(spec.Sampled() && (w.AllSamples || w.record != nil)) {
		if w.record != nil {
			s.Aside[ledger.FarOff]++
			text := time.UnixMilli(ms).UTC().AppendFormat(nil, "2006-01-02T15:04:05.999Z ")
			w.B.setAside(off, slices.Index(w.specs, spec), ledger.FarOff, strconv.AppendFloat(text, v, 'g', -1, 64))
			return
		}
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

// low counts a number that may stand for no value.
func (w *Worker) low(spec *cell.TagSpec, v float64) {
	m := w.lows[spec]
	if m == nil {
		if w.lows == nil {
			w.lows = map[*cell.TagSpec]map[float64]int{}
		}
		m = map[float64]int{}
		w.lows[spec] = m
	}
	if _, ok := m[v]; ok || len(m) <= cell.MostLows {
		m[v]++
	}
}

// JoinLows adds the low numbers met to those of other workers, by tag.
func (w *Worker) JoinLows(to map[string]map[float64]int) {
	for spec, m := range w.lows {
		if to[spec.Name] == nil {
			to[spec.Name] = map[float64]int{}
		}
		for v, n := range m {
			to[spec.Name][v] += n
		}
	}
}
