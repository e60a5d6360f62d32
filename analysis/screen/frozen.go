package screen

import (
	"fmt"
	"math"

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
	q := b.quantiles(len(b.v), func(i int) float64 { return b.v[i] }, 0, 0.5, 1)
	rest := restLevel(tg.Kind, math.Abs(q[1]))
	flat := r.flatRuns(tg, set, b, rest, q[0])
	dither := r.quietBlocks(tg, set, b, rest)
	r.addFrozen(tg, set, b, mergeSpans(append(flat, dither...)))
}

// span of indices into the scratch columns, [lo, hi).
type idxSpan struct{ lo, hi int }

// flatRuns gives the runs of one value that last longer than the tag's own
// runs do.
func (r *TagReport) flatRuns(tg Tagged, set Settings, b *scratch, rest, lowest float64) []idxSpan {
	limit := set.gapMS(r.SpacingMS)
	var counts [512]int // runs by duration, in bins of eight to a doubling
	bin := func(d int64) int {
		return min(int(8*math.Log2(1+float64(d)/1000)), len(counts)-1)
	}
	var long []idxSpan
	runs, minLong := 0, set.FrozenFor.Milliseconds()
	zeroLength := 0
	for i := 0; i < len(b.v); {
		j := i + 1
		for j < len(b.v) && b.v[j] == b.v[i] && b.t[j]-b.t[j-1] <= limit {
			j++
		}
		runs++
		d := b.t[j-1] - b.t[i]
		resting := b.v[i] <= rest
		switch {
		case resting:
		case d == 0:
			zeroLength++
		default:
			counts[bin(d)]++
		}
		if d >= minLong && !resting {
			long = append(long, idxSpan{i, j})
		}
		i = j
	}
	if runs < set.MinRuns || len(long) == 0 {
		return nil
	}
	// The 99th percentile of the tag's runs: one frozen stretch in thousands of
	// runs cannot drag it along.
	all := zeroLength
	for _, c := range counts {
		all += c
	}
	usual, sum := 0.0, zeroLength
	for k, c := range counts {
		sum += c
		if float64(sum) >= 0.99*float64(all) {
			if c > 0 {
				usual = 1000 * (math.Pow(2, float64(k+1)/8) - 1)
			}
			break
		}
	}
	need := max(float64(minLong), set.FrozenTimes*usual)
	var out []idxSpan
	bottom := 0
	for _, s := range long {
		if float64(b.t[s.hi-1]-b.t[s.lo]) >= need {
			out = append(out, s)
			if b.v[s.lo] == lowest {
				bottom++
			}
		}
	}
	// A tag that comes to rest at its own lowest value again and again has a
	// floor there, not a fault.
	if bottom >= 3 && !math.IsNaN(rest) {
		kept := out[:0]
		for _, s := range out {
			if b.v[s.lo] != lowest {
				kept = append(kept, s)
			}
		}
		out = kept
	}
	return out
}

// quietBlocks gives stretches of blocks of half FrozenFor whose root-mean-square
// change stays below FrozenShare of the usual for the hour of day.
func (r *TagReport) quietBlocks(tg Tagged, set Settings, b *scratch, rest float64) []idxSpan {
	width := set.FrozenFor.Milliseconds() / 2
	limit := set.gapMS(r.SpacingMS)
	if r.SpacingMS == 0 || width/r.SpacingMS < 8 {
		return nil // too few readings in a block to say how lively it was
	}
	type block struct {
		span  idxSpan
		hour  int
		rms   float64
		level float64
		whole bool
	}
	var blocks []block
	for i := 0; i < len(b.v); {
		end := (b.t[i]/width + 1) * width
		j := i
		var ss, sum float64
		n := 0
		for ; j < len(b.v) && b.t[j] < end; j++ {
			sum += b.v[j]
			if j > i && b.t[j]-b.t[j-1] <= limit {
				d := b.v[j] - b.v[j-1]
				ss += d * d
				n++
			}
		}
		bl := block{span: idxSpan{i, j}, hour: int(b.t[i]/3600_000) % 24, level: sum / float64(j-i)}
		bl.whole = int64(n)*r.SpacingMS >= width*3/4
		if n > 0 {
			bl.rms = math.Sqrt(ss / float64(n))
		}
		blocks = append(blocks, bl)
		i = j
	}
	// usual by hour of day, of the change itself and of the change in
	// proportion to the level: noise that falls with the level is no fault.
	var byHour [24][]int
	for k, bl := range blocks {
		if bl.whole && !(bl.level <= rest) {
			byHour[bl.hour] = append(byHour[bl.hour], k)
		}
	}
	all := 0
	for _, h := range byHour {
		all += len(h)
	}
	if all < 24 {
		return nil
	}
	median := func(ks []int, f func(block) float64) float64 {
		return b.quantiles(len(ks), func(i int) float64 { return f(blocks[ks[i]]) }, 0.5)[0]
	}
	rel := func(bl block) float64 { return bl.rms / math.Abs(bl.level) }
	abs := func(bl block) float64 { return bl.rms }
	var usual, usualRel [24]float64
	for h := range 24 {
		if len(byHour[h]) >= 3 {
			usual[h], usualRel[h] = median(byHour[h], abs), median(byHour[h], rel)
		}
	}
	scale := !math.IsNaN(rest)
	ratio := func(bl block) float64 {
		if !bl.whole || usual[bl.hour] == 0 || bl.level <= rest {
			return math.NaN()
		}
		q := bl.rms / usual[bl.hour]
		if scale && usualRel[bl.hour] > 0 {
			q = max(q, rel(bl)/usualRel[bl.hour])
		}
		return q
	}
	// Only a signal that is lively nearly always can be told by its quiet.
	var ratios []float64
	for _, bl := range blocks {
		if q := ratio(bl); q == q {
			ratios = append(ratios, q)
		}
	}
	if len(ratios) == 0 {
		return nil
	}
	if b.quantiles(len(ratios), func(i int) float64 { return ratios[i] }, 0.1)[0] < set.FrozenSteady {
		return nil
	}
	var out []idxSpan
	for i := 0; i < len(blocks); {
		j := i
		for j < len(blocks) && ratio(blocks[j]) < set.FrozenShare &&
			(j == i || b.t[blocks[j].span.lo]-b.t[blocks[j].span.lo-1] <= limit) {
			j++
		}
		if j-i >= 2 {
			out = append(out, idxSpan{blocks[i].span.lo, blocks[j-1].span.hi})
		}
		i = max(j, i+1)
	}
	return out
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

// addFrozen marks the spans and keeps them as stretches; the message is written
// when it is known whether the data link or the tag itself stood still.
func (r *TagReport) addFrozen(tg Tagged, set Settings, b *scratch, spans []idxSpan) {
	for _, s := range spans {
		for k := s.lo; k < s.hi; k++ {
			r.marks = append(r.marks, mark{series.Frozen, b.idx[k], b.idx[k] + 1})
		}
		r.Stretches = append(r.Stretches, Stretch{FrozenAt, b.t[s.lo], b.t[s.hi-1], s.hi - s.lo})
		lo, hi := math.Inf(1), math.Inf(-1)
		for k := s.lo; k < s.hi; k++ {
			lo, hi = min(lo, b.v[k]), max(hi, b.v[k])
		}
		u := working(tg).Symbol
		what := fmt.Sprintf("stood at %s %s", num(lo), u)
		if lo != hi {
			what = fmt.Sprintf("moved only between %s and %s %s, far less than it usually does", num(lo), num(hi), u)
		}
		r.messages = append(r.messages, Message{
			Tag: r.Tag, Line: tg.Line, Defect: FrozenAt, Readings: s.hi - s.lo, Start: b.t[s.lo], End: b.t[s.hi-1],
			Text: fmt.Sprintf("%s: %s for %s from %s (%d readings); marked frozen", r.Tag, what, long(b.t[s.hi-1]-b.t[s.lo]), set.at(b.t[s.lo]), s.hi-s.lo),
			Next: "compare with a grab sample or a second instrument of that time; if the value is meant to rest, note it in tags.csv",
		})
	}
}
