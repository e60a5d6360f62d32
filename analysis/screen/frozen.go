package screen

import (
	"fmt"
	"math"
	"sort"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// What may rest at one value without being frozen: a feed or a pump set by
// hand, an on/off state; and anything that reads zero because there is nothing
// to read (no flow, no residual after dechlorination).

// canFreeze says whether an unchanging value of this kind is a defect at all.
func canFreeze(k quantity.Kind) bool {
	switch k {
	case quantity.HypochloriteFeed, quantity.ChlorineFeed, quantity.BisulfiteFeed, quantity.SulfurDioxideFeed,
		quantity.RunStatus, quantity.HypochloriteGrams, quantity.FlowTotal, quantity.TankVolume, quantity.Other:
		return false
	}
	return true
}

// restLevel is the level at or below which a value may rest, in the working
// unit; NaN where zero means nothing (ORP, pH, temperature). The floor of a
// chlorine analyser is some hundredths of a mg/L.
func restLevel(k quantity.Kind, usual float64) float64 {
	switch k {
	case quantity.ORP, quantity.PH, quantity.Temp:
		return math.NaN()
	case quantity.ChlorineTotal, quantity.ChlorineFree, quantity.AmmoniaN, quantity.NitriteN:
		return max(0.05, 0.01*usual)
	}
	return 0.01 * usual
}

// frozenContinuous finds stretches without change, and stretches whose change
// is far below the tag's own usual for that hour of day (a stuck signal with
// some dither left on it).
func (r *TagReport) frozenContinuous(tg Tagged, set Settings, b *scratch) {
	if !canFreeze(tg.Kind) || len(b.v) < set.MinRuns {
		return
	}
	q := b.picked()
	rest := restLevel(tg.Kind, math.Abs(q.mid))
	if r.neverMoves(tg, set, b, rest) {
		return
	}
	flat := b.flatRuns(set, rest, q.least)
	dither := r.quietBlocks(set, b, rest)
	r.addFrozen(tg, b, mergeSpans(append(flat, dither...)))
}

// flatRuns gives the runs of one value that stand out from the tag's other runs.
func (b *scratch) flatRuns(set Settings, rest, lowest float64) []idxSpan {
	rs := b.runsOf(rest, set.FrozenFor.Milliseconds()/4)
	long := rs.long
	if rs.all < set.MinRuns || len(long) == 0 {
		return nil
	}
	usual := rs.usual()
	bottom := 0 // times it rested at its own lowest
	for _, s := range long {
		if b.t[s.hi-1]-b.t[s.lo] >= set.FrozenFor.Milliseconds() && b.v[s.lo] == lowest {
			bottom++
		}
	}
	size := make([]float64, len(long))
	for k, s := range long {
		size[k] = float64(b.t[s.hi-1] - b.t[s.lo])
	}
	need := standOut(size, max(float64(set.FrozenFor.Milliseconds()), set.FrozenTimes*usual), set.FrozenGap)
	var out []idxSpan
	for k, s := range long {
		// A tag that comes to rest at its own lowest value again and again has
		// a floor there, not a fault.
		floor := bottom >= 3 && !math.IsNaN(rest) && b.v[s.lo] == lowest
		if size[k] >= need && !floor {
			out = append(out, s)
		}
	}
	return out
}

// standOut gives the size from which on the largest sizes stand apart from the
// others: all are at least least, and factor times the next smaller one. Slow or
// coarse tags have runs of every length; without such a break none of them is a
// fault, and the answer is infinite.
func standOut(sizes []float64, least, factor float64) float64 {
	x := append([]float64(nil), sizes...)
	sort.Sort(sort.Reverse(sort.Float64Slice(x)))
	need, best := math.Inf(1), factor
	for k := 0; k < len(x) && x[k] >= least; k++ {
		next := least / 4
		if k+1 < len(x) {
			next = max(x[k+1], 1)
		}
		if x[k]/next >= best {
			need, best = x[k], x[k]/next
		}
	}
	return need
}

// mergeSpans joins spans that touch or overlap, in order.
func mergeSpans(ss []idxSpan) []idxSpan {
	sortSpans(ss)
	var out []idxSpan
	for _, s := range ss {
		if n := len(out); n > 0 && s.lo <= out[n-1].hi {
			out[n-1].hi = max(out[n-1].hi, s.hi)
			continue
		}
		out = append(out, s)
	}
	return out
}

// addFrozen marks the spans and keeps them as stretches; the messages are
// written when it is known whether the data link or the tag itself stood still.
func (r *TagReport) addFrozen(tg Tagged, b *scratch, spans []idxSpan) {
	u := working(tg).Symbol
	for _, s := range spans {
		lo, hi := math.Inf(1), math.Inf(-1)
		r.mark(series.Frozen, b, s)
		for k := s.lo; k < s.hi; k++ {
			lo, hi = min(lo, b.v[k]), max(hi, b.v[k])
		}
		what := fmt.Sprintf("stood at %s %s", num(lo), u)
		if lo != hi {
			what = fmt.Sprintf("moved only between %s and %s %s, far less than it usually does,", num(lo), num(hi), u)
		}
		r.Stretches = append(r.Stretches, Stretch{Defect: FrozenAt, Start: b.t[s.lo], End: b.t[s.hi-1], Readings: s.hi - s.lo, What: what})
	}
}

// frozenMessages tells the frozen stretches that are the tag's own: up to three
// one by one, more as a sum.
func (r *TagReport) frozenMessages(line int, set Settings) {
	var own []Stretch
	var total int64
	n := 0
	for _, s := range r.Stretches {
		if s.Defect == FrozenAt {
			own = append(own, s)
			total += s.End - s.Start
			n += s.Readings
		}
	}
	next := "compare with a grab sample or a second instrument of that time; if the value is meant to rest, note it in tags.csv"
	if len(own) == 1 && own[0].whole {
		next = "compare with a grab sample; look whether the instrument is in hold or simulation, or a fixed value stands in for it. If a fixed value is meant, write on-change under reading in tags.csv"
	}
	if len(own) <= 3 {
		for _, s := range own {
			r.messages = append(r.messages, Message{
				Tag: r.Tag, Line: line, Defect: FrozenAt, Readings: s.Readings, Start: s.Start, End: s.End, Next: next,
				Text: fmt.Sprintf("%s: %s for %s from %s; marked frozen: %s", r.Tag, s.What, long(s.End-s.Start), set.at(s.Start), readings(s.Readings, r.Rows)),
			})
		}
		return
	}
	worst := own[0]
	for _, s := range own {
		if s.End-s.Start > worst.End-worst.Start {
			worst = s
		}
	}
	r.messages = append(r.messages, Message{
		Tag: r.Tag, Line: line, Defect: FrozenAt, Readings: n, Start: own[0].Start, End: own[len(own)-1].End, Next: next,
		Text: fmt.Sprintf("%s: stood still %d times, %s in all; the longest: it %s for %s from %s; marked frozen: %s",
			r.Tag, len(own), long(total), worst.What, long(worst.End-worst.Start), set.at(worst.Start), readings(n, r.Rows)),
	})
}
