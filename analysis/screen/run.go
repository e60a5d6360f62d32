package screen

import (
	"math"
	"math/bits"
	"sync"
)

// A run is a span of readings of one value, each within the limit of the one
// before it.

// runs tells how long a tag's runs are.
type runs struct {
	all    int          // with those at rest
	single int          // of one reading; like all below, only those above the level of rest
	byTime [runBins]int // longer ones, by duration
	long   []idxSpan    // those that may be called frozen
}

// runsOf counts the runs of the columns and lists those above rest, which may be
// NaN, that last long ms or longer.
func (b *scratch) runsOf(rest float64, long int64) *runs {
	var r runs
	bins := binStart()
	var bySteps [64]int // short ones of evenly spaced readings
	for w, same := range b.same {
		// A zero in same begins a run; a one after it makes it longer than one
		// reading.
		first := ^same
		if n := len(b.v) - 64*w; n < 64 {
			first &= 1<<n - 1
		}
		more := same >> 1
		if w+1 < len(b.same) {
			more |= b.same[w+1] << 63
		}
		r.all += bits.OnesCount64(first)
		chunk := 64 * w / chunkLen
		rests := b.facts[chunk].low <= rest // some of them may
		look := first & more
		if rests || long <= 0 {
			look = first
		} else {
			r.single += bits.OnesCount64(first &^ more)
		}
		for ; look != 0; look &= look - 1 {
			i := 64*w + bits.TrailingZeros64(look)
			if rests && b.v[i] <= rest {
				continue
			}
			j := b.runEnd(i)
			even := b.facts[chunk].even && j <= (chunk+1)*chunkLen
			steps := j - 1 - i
			d := int64(steps) * b.spacing
			if !even {
				d = b.t[j-1] - b.t[i]
			}
			switch {
			case d == 0:
				r.single++
			case even && steps < len(bySteps):
				bySteps[steps]++
			default:
				r.byTime[binOf(bins, d)]++
			}
			if d >= long {
				r.long = append(r.long, idxSpan{i, j})
			}
		}
	}
	for k, n := range bySteps {
		if n > 0 {
			r.byTime[binOf(bins, int64(k)*b.spacing)] += n
		}
	}
	return &r
}

// runEnd gives the reading after the last of the run that begins at i. No reading
// follows the last one, so its zero in same stands at the end of the last word.
func (b *scratch) runEnd(i int) int {
	w := (i + 1) / 64
	if w == len(b.same) {
		return i + 1
	}
	ends := ^b.same[w] >> ((i + 1) % 64) << ((i + 1) % 64)
	for ends == 0 {
		if w++; w == len(b.same) {
			return len(b.v)
		}
		ends = ^b.same[w]
	}
	return 64*w + bits.TrailingZeros64(ends)
}

// usual is the 99th percentile of the durations, ms: one frozen stretch in
// thousands of runs cannot drag it along.
func (r *runs) usual() float64 {
	all := r.single
	for _, c := range r.byTime {
		all += c
	}
	sum := r.single
	for k, c := range r.byTime {
		if sum += c; float64(sum) >= 0.99*float64(all) {
			if c > 0 {
				return 1000 * (math.Pow(2, float64(k+1)/8) - 1)
			}
			break
		}
	}
	return 0
}

// runBins is the number of bins of duration: eight to each doubling of 1 s and
// the duration.
const runBins = 512

// log2Bin is the bin of a duration in ms by its definition.
func log2Bin(d int64) int {
	return min(int(8*math.Log2(1+float64(d)/1000)), runBins-1)
}

// binStart gives the shortest duration of each bin, ms, as log2Bin has them.
var binStart = sync.OnceValue(func() *[runBins]int64 {
	var at [runBins]int64
	for k := range at {
		lo, hi := int64(0), int64(math.MaxInt64)
		for lo < hi {
			if d := lo + (hi-lo)/2; log2Bin(d) >= k {
				hi = d
			} else {
				lo = d + 1
			}
		}
		at[k] = lo
	}
	return &at
})

// binOf is log2Bin without the logarithm, by the shortest durations of the bins.
func binOf(start *[runBins]int64, d int64) int {
	// 2^n s and more, less 1 s, are in bin 8 n or after it.
	k := min(8*(bits.Len64(uint64(d)/1000+1)-1), runBins-1)
	for k+1 < runBins && d >= start[k+1] {
		k++
	}
	return k
}
