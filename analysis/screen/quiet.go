package screen

import (
	"math"
	"sort"
)

// block is a piece of a record, half of FrozenFor long.
type block struct {
	span  idxSpan
	hour  int     // of day, UTC
	rms   float64 // root mean square of the changes from reading to reading
	level float64 // mean
	whole bool    // three quarters of its readings are there
}

// rel is the change in proportion to the level.
func (b block) rel() float64 { return b.rms / math.Abs(b.level) }

// quietBlocks gives stretches of two blocks or more whose root-mean-square
// change stays below FrozenShare of the usual for the hour of day. Only a signal
// whose usual change is well above its own resolution can be judged so: one that
// moves by single steps is quiet by chance every day. And only one that is
// lively nearly always.
func (r *TagReport) quietBlocks(set Settings, b *scratch, rest float64) []idxSpan {
	width, limit := set.FrozenFor.Milliseconds()/2, set.gapMS(r.SpacingMS)
	if r.SpacingMS == 0 || width/r.SpacingMS < 8 {
		return nil // too few readings in a block to say how lively it was
	}
	blocks := b.blocks(width, limit, r.SpacingMS)
	usual, usualRel, ok := usualChange(blocks, rest, b)
	if !ok {
		return nil
	}
	step := b.resolution()
	// ratio of a block's change to the usual. Where the level means something,
	// noise that falls with the level is no fault either.
	ratio := func(bl *block) float64 {
		u, ur := usual[bl.hour], usualRel[bl.hour]
		if !bl.whole || u < 3*step || u == 0 || bl.level <= rest {
			return math.NaN()
		}
		if q := bl.rms / u; math.IsNaN(rest) || !(ur > 0) {
			return q
		} else {
			return max(q, bl.rel()/ur)
		}
	}
	ratios := make([]float64, 0, len(blocks))
	for k := range blocks {
		if q := ratio(&blocks[k]); q == q {
			ratios = append(ratios, q)
		}
	}
	if len(ratios) == 0 || b.quantiles(len(ratios), func(i int) float64 { return ratios[i] }, 0.1)[0] < set.FrozenSteady {
		return nil
	}
	var out []idxSpan
	for i := 0; i < len(blocks); {
		j := i
		for j < len(blocks) && ratio(&blocks[j]) < set.FrozenShare &&
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

// blocks cuts the record at whole multiples of width milliseconds; changes
// across gaps longer than limit do not count.
func (b *scratch) blocks(width, limit, spacing int64) []block {
	var out []block
	for i := 0; i < len(b.v); {
		end := (b.t[i]/width + 1) * width
		j, n := i, 0
		var ss, sum float64
		for ; j < len(b.v) && (j == i || b.t[j] < end); j++ {
			sum += b.v[j]
			if j > i && b.t[j]-b.t[j-1] <= limit {
				d := b.v[j] - b.v[j-1]
				ss += d * d
				n++
			}
		}
		bl := block{span: idxSpan{i, j}, hour: hourOfDay(b.t[i] / 3600_000), level: sum / float64(j-i)}
		bl.whole = int64(n)*spacing >= width*3/4
		if n > 0 {
			bl.rms = math.Sqrt(ss / float64(n))
		}
		out = append(out, bl)
		i = j
	}
	return out
}

// usualChange is the median change of whole blocks by hour of day, as it is and
// in proportion to the level; ok is false when there are too few to say.
func usualChange(blocks []block, rest float64, b *scratch) (usual, usualRel [24]float64, ok bool) {
	var byHour [24][]int
	all := 0
	for k, bl := range blocks {
		if bl.whole && !(bl.level <= rest) {
			byHour[bl.hour] = append(byHour[bl.hour], k)
			all++
		}
	}
	if all < 24 {
		return usual, usualRel, false
	}
	for h, ks := range byHour {
		if len(ks) >= 3 {
			usual[h] = b.quantiles(len(ks), func(i int) float64 { return blocks[ks[i]].rms }, 0.5)[0]
			usualRel[h] = b.quantiles(len(ks), func(i int) float64 { return blocks[ks[i]].rel() }, 0.5)[0]
		}
	}
	return usual, usualRel, true
}

// resolution is the step between neighbouring values that the tag is written
// in: the smallest one that is met often.
func (b *scratch) resolution() float64 {
	b.sort = b.sort[:0]
	for i := 1; i < len(b.v); i += len(b.v)/sampled + 1 {
		if d := math.Abs(b.v[i] - b.v[i-1]); d > 0 {
			b.sort = append(b.sort, d)
		}
	}
	if len(b.sort) == 0 {
		return 0
	}
	sort.Float64s(b.sort)
	return b.sort[len(b.sort)/100]
}
