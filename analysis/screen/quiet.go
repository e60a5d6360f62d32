package screen

import (
	"math"
	"slices"
)

// block is a piece of a record, half of FrozenFor long.
type block struct {
	span  idxSpan
	hour  int     // of day, UTC
	rms   float64 // root mean square of the changes from reading to reading
	level float64 // mean
	rel   float64 // rms in proportion to the level, where the level means something
	whole bool    // three quarters of its readings are there
}

// counts says whether the block tells how lively the tag is: whole, and above
// the level of rest.
func (bl *block) counts(rest float64) bool { return bl.whole && !(bl.level <= rest) }

// quietBlocks gives stretches of two blocks or more whose root-mean-square
// change stays below FrozenShare of the usual for the hour of day. Only a signal
// whose usual change is well above its own resolution can be judged so: one that
// moves by single steps is quiet by chance every day. And only one that is
// lively nearly always.
func (r *TagReport) quietBlocks(set Settings, b *scratch, rest float64) []idxSpan {
	width := set.FrozenFor.Milliseconds() / 2
	if r.SpacingMS == 0 || width/r.SpacingMS < 8 {
		return nil // too few readings in a block to say how lively it was
	}
	blocks := b.cut(width)
	if lively(blocks, rest, set.FrozenShare) {
		return nil
	}
	return b.quietSpans(blocks, set, rest)
}

// lively says that no block can be quiet, because in each hour of day the
// smallest change is at least share of the largest.
func lively(blocks []block, rest, share float64) bool {
	var least, most [24]float64
	for k := range blocks {
		bl := &blocks[k]
		if !bl.counts(rest) {
			continue
		}
		if bl.rms == 0 {
			return false
		}
		h := bl.hour
		if most[h] == 0 || bl.rms < least[h] {
			least[h] = bl.rms
		}
		if bl.rms > most[h] {
			most[h] = bl.rms
		}
	}
	for h, m := range most {
		if m > 0 && !(least[h]/m >= share) {
			return false
		}
	}
	return true
}

// quietSpans gives the stretches that quietBlocks is about.
func (b *scratch) quietSpans(blocks []block, set Settings, rest float64) []idxSpan {
	usual, usualRel, ok := b.usualChange(blocks, rest)
	if !ok {
		return nil
	}
	step := b.changes(every(len(b.v))).small // the resolution that it is written in
	// ratio of a block's change to the usual. Where the level means something,
	// noise that falls with the level is no fault either.
	ratio := func(bl *block) float64 {
		u, ur := usual[bl.hour], usualRel[bl.hour]
		if !bl.counts(rest) || u < 3*step || u == 0 {
			return math.NaN()
		}
		if q := bl.rms / u; math.IsNaN(rest) || !(ur > 0) {
			return q
		} else {
			return max(q, bl.rel/ur)
		}
	}
	ratios, known := b.ratios[:0], b.known[:0]
	for k := range blocks {
		q := ratio(&blocks[k])
		ratios = append(ratios, q)
		if q == q {
			known = append(known, q)
		}
	}
	b.ratios, b.known = ratios, known
	if len(known) == 0 || b.quantile(known, 0.1) < set.FrozenSteady {
		return nil
	}
	var out []idxSpan
	for i := 0; i < len(blocks); {
		j := i
		for j < len(blocks) && ratios[j] < set.FrozenShare &&
			(j == i || b.t[blocks[j].span.lo]-b.t[blocks[j].span.lo-1] <= b.limit) {
			j++
		}
		if j-i >= 2 {
			out = append(out, idxSpan{blocks[i].span.lo, blocks[j-1].span.hi})
		}
		i = max(j, i+1)
	}
	return out
}

// cut cuts the record at whole multiples of width milliseconds; changes across
// gaps longer than the limit do not count.
func (b *scratch) cut(width int64) []block {
	out := b.blocks[:0]
	if len(b.v) > 0 {
		out = slices.Grow(out, int(min(int64(len(b.v)), (b.t[len(b.t)-1]-b.t[0])/width+2)))
	}
	end, size, next := int64(-1), 1, 0
	for i := 0; i < len(b.v); {
		if end >= 0 && b.t[i] < end+width {
			end += width // the block after the last one
		} else {
			end = (b.t[i]/width + 1) * width
		}
		j := b.before(end, i, i+size)
		size = j - i
		for next < len(b.breaks) && b.breaks[next] <= i {
			next++
		}
		n := size - 1
		before := b.v[i]
		sum, ss := before, 0.0
		if next == len(b.breaks) || b.breaks[next] >= j {
			for _, x := range b.v[i+1 : j] {
				sum += x
				d := x - before
				ss += d * d
				before = x
			}
		} else {
			for k := i + 1; k < j; k++ {
				sum += b.v[k]
				if next < len(b.breaks) && b.breaks[next] == k {
					next++
					n--
					continue
				}
				d := b.v[k] - b.v[k-1]
				ss += d * d
			}
		}
		bl := block{span: idxSpan{i, j}, hour: hourOfDay(b.t[i] / 3600_000), level: sum / float64(size)}
		bl.whole = int64(n)*b.spacing >= width*3/4
		if n > 0 {
			bl.rms = math.Sqrt(ss / float64(n))
		}
		out = append(out, bl)
		i = j
	}
	b.blocks = out
	return out
}

// before gives the reading after the last one before time end; i is before it,
// and the answer is near guess.
func (b *scratch) before(end int64, i, guess int) int {
	j := min(guess, len(b.t))
	for j < len(b.t) && b.t[j] < end {
		j++
	}
	for j > i+1 && b.t[j-1] >= end {
		j--
	}
	return j
}

// usualChange is the median change of whole blocks by hour of day, as it is and
// in proportion to the level; ok is false when there are too few to say.
func (b *scratch) usualChange(blocks []block, rest float64) (usual, usualRel [24]float64, ok bool) {
	var n, at [24]int
	all := 0
	for k := range blocks {
		if blocks[k].counts(rest) {
			n[blocks[k].hour]++
			all++
		}
	}
	if all < 24 {
		return usual, usualRel, false
	}
	for h := 1; h < 24; h++ {
		at[h] = at[h-1] + n[h-1]
	}
	// Each hour's together, hour after hour.
	rms := slices.Grow(b.rms[:0], all)[:all]
	rel := slices.Grow(b.rel[:0], all)[:all]
	b.rms, b.rel = rms, rel
	for k := range blocks {
		if bl := &blocks[k]; bl.counts(rest) {
			bl.rel = bl.rms / math.Abs(bl.level)
			rms[at[bl.hour]], rel[at[bl.hour]] = bl.rms, bl.rel
			at[bl.hour]++
		}
	}
	for h, end := range at {
		if n[h] >= 3 {
			usual[h] = b.quantile(rms[end-n[h]:end], 0.5)
			if !math.IsNaN(rest) { // else the level means nothing, and nothing is in proportion to it
				usualRel[h] = b.quantile(rel[end-n[h]:end], 0.5)
			}
		}
	}
	return usual, usualRel, true
}
