package screen

import (
	"math"
	"slices"
	"sort"

	"weirbook/analysis/series"
)

// Nearly every reading of nearly every tag is plain: a number, without a flag,
// a step in time after the last one. So the columns that the checks read are the
// series' own as long as nothing is dropped, and a first pass over them keeps
// facts about some hundred readings at a time, from which each check knows where
// it need not look. What a check finds does not depend on them.

// chunkLen is how many readings share their facts; a multiple of the 64 bits of
// a word.
const chunkLen = 512

// setAside are the flags of readings that no check looks at. What the reader
// found outside the span is looked at all the same: a record in another unit
// lies outside as a whole.
const setAside = series.Unusable &^ series.OutsideSpan

// rawFacts tell of chunkLen readings of a series as it came.
type rawFacts struct {
	flags   series.Flag // all that any of them carries
	numbers bool        // none is NaN or infinite
}

// facts tell of chunkLen readings of the columns.
type facts struct {
	low, high float64
	step      float64 // largest |change| from the reading before
	even      bool    // each follows the one before after the tag's spacing, or is no part of its run
}

// piece says that the readings of the columns from k on, up to the next piece,
// are those of the series from i on.
type piece struct{ k, i int }

// scratch holds one tag's readings while it is screened. A worker uses the same
// for each of its tags.
type scratch struct {
	// The readings that are looked at, in order. Only when copied are they the
	// scratch's own; else they are the head of the series' columns, and must not
	// be written to.
	t      []int64
	v      []float64
	copied bool
	pieces []piece
	seen   int // marks that without has looked at

	raw   []rawFacts
	flags series.Flag // all flags that the series carries

	spacing, limit int64    // ms: the tag's spacing, and the step in time from which on nothing joins two readings
	scanned        int      // the facts below reach up to here
	facts          []facts  // by chunk
	same           []uint64 // bit k%64 of word k/64: reading k has the value of the one before it, within limit
	breaks         []int    // readings that follow the one before them after more than limit

	ownT   []int64
	ownV   []float64
	spare  []piece
	sorted []float64
	values sample
	change moves
	blocks []block
	ratios []float64 // of blocks, to their usual change
	known  []float64 // those that are numbers
	rms    []float64 // of blocks, hour by hour of day
	rel    []float64
}

// load takes the readings of a series that are numbers and not set aside by the
// reader. The tag's spacing, and the step in time from which on nothing joins two
// readings, are in ms.
func (b *scratch) load(s *series.Series, spacing, limit int64) {
	b.spacing, b.limit = spacing, limit
	b.t, b.v, b.pieces, b.copied = nil, nil, b.pieces[:0], false
	b.raw, b.flags, b.seen = b.raw[:0], 0, 0
	b.forget(0)
	b.facts = slices.Grow(b.facts, len(s.V)/chunkLen+1)
	b.same = slices.Grow(b.same, len(s.V)/64+1)
	b.raw = slices.Grow(b.raw, len(s.V)/chunkLen+1)
	for lo := 0; lo < len(s.V); lo += chunkLen {
		hi := min(lo+chunkLen, len(s.V))
		raw := look(s.V[lo:hi], s.F[lo:hi])
		b.raw = append(b.raw, raw)
		b.flags |= raw.flags
		if raw.numbers && raw.flags&setAside == 0 {
			b.keep(s.T, s.V, lo, lo, hi-lo)
		} else {
			used := func(i int) bool { return s.F[i]&setAside == 0 && s.V[i]-s.V[i] == 0 }
			for i := lo; i < hi; {
				if !used(i) {
					i++
					continue
				}
				j := i + 1
				for j < hi && used(j) {
					j++
				}
				b.keep(s.T, s.V, i, i, j-i)
				i = j
			}
		}
		b.scan(len(b.v) / chunkLen * chunkLen) // while they are at hand
	}
	b.scan(len(b.v))
}

// look gathers the facts of some readings as they came.
func look(v []float64, f []series.Flag) rawFacts {
	var r rawFacts
	for ; len(f) >= 4; f = f[4:] {
		r.flags |= f[0] | f[1] | f[2] | f[3]
	}
	for _, x := range f {
		r.flags |= x
	}
	// The difference of a value and itself is zero, but not for NaN and infinity.
	var p, q, u, w float64
	for ; len(v) >= 4; v = v[4:] {
		p += v[0] - v[0]
		q += v[1] - v[1]
		u += v[2] - v[2]
		w += v[3] - v[3]
	}
	for _, x := range v {
		p += x - x
	}
	r.numbers = p+q+u+w == 0
	return r
}

// keep adds n readings to the columns: those of t and v from k on, which are the
// series' from i on. They may be the columns' own, further back.
func (b *scratch) keep(t []int64, v []float64, k, i, n int) {
	at := len(b.v)
	if last := len(b.pieces) - 1; last < 0 || b.pieces[last].i+at-b.pieces[last].k != i {
		b.pieces = append(b.pieces, piece{at, i})
	}
	if !b.copied {
		if k == at {
			b.t, b.v = t[:k+n], v[:k+n]
			return
		}
		b.copied = true
		if cap(b.ownV) < len(v) {
			b.ownT, b.ownV = make([]int64, 0, len(v)), make([]float64, 0, len(v))
		}
		b.t, b.v = append(b.ownT[:0], t[:at]...), append(b.ownV[:0], v[:at]...)
	}
	b.t, b.v = append(b.t, t[k:k+n]...), append(b.v, v[k:k+n]...)
}

// without drops the readings that were marked as unusable so far.
func (b *scratch) without(ms []mark) {
	var gone []idxSpan // of the series
	for _, m := range ms[b.seen:] {
		if m.flag&series.Unusable != 0 {
			gone = append(gone, idxSpan{m.lo, m.hi})
		}
	}
	b.seen = len(ms)
	if len(gone) == 0 {
		return
	}
	gone = mergeSpans(gone)
	t, v, pieces := b.t, b.v, b.pieces
	b.t, b.v, b.pieces = t[:0], v[:0], b.spare[:0]
	dropped, next := false, 0
	for p, pc := range pieces {
		end := len(v)
		if p+1 < len(pieces) {
			end = pieces[p+1].k
		}
		for k := pc.k; k < end; {
			i := pc.i + k - pc.k
			for next < len(gone) && gone[next].hi <= i {
				next++
			}
			stop := end
			if next < len(gone) {
				if gone[next].lo <= i {
					if !dropped {
						b.forget(k)
						dropped = true
					}
					k = min(end, k+gone[next].hi-i)
					continue
				}
				stop = min(end, k+gone[next].lo-i)
			}
			if dropped {
				stop = min(stop, k+chunkLen)
			}
			b.keep(t, v, k, i, stop-k)
			k = stop
			if dropped {
				b.scan(len(b.v) / chunkLen * chunkLen) // while they are at hand
			}
		}
	}
	b.spare = pieces
	if dropped {
		b.scan(len(b.v))
	}
}

// forget drops the facts of the chunk that holds reading k and of those after it.
func (b *scratch) forget(k int) {
	b.scanned = min(k, b.scanned) / chunkLen * chunkLen
	b.facts, b.same = b.facts[:b.scanned/chunkLen], b.same[:b.scanned/64]
	b.breaks = b.breaks[:sort.SearchInts(b.breaks, b.scanned)]
	b.values.known, b.change.known = false, false
}

// scan gathers the facts up to reading end, a chunk at a time.
func (b *scratch) scan(end int) {
	for lo := b.scanned; lo < end; lo += chunkLen {
		hi := min(lo+chunkLen, end)
		f := b.scanValues(lo, hi)
		f.even = b.scanTimes(lo, hi)
		b.facts = append(b.facts, f)
		b.scanned = hi
	}
}

// scanValues gathers the facts of the values from lo to hi, and which of them are
// the same as the one before.
func (b *scratch) scanValues(lo, hi int) facts {
	const sign = 1 << 63
	v := b.v[lo:hi]
	before := b.v[max(lo-1, 0)]
	least, most := int64(math.MaxInt64), int64(math.MinInt64)
	var step uint64
	for w := v; len(w) > 0; w = w[min(64, len(w)):] {
		var same uint64
		word := w[:min(64, len(w))]
		for _, x := range word {
			// Numbers without their sign sort as their bits do; zero less one is
			// the only one of them to set the sign's bit.
			d := math.Float64bits(x-before) &^ sign
			same = same>>1 | (d-1)&sign
			step = max(step, d)
			k := int64(math.Float64bits(x))
			least, most = min(least, k), max(most, k)
			before = x
		}
		b.same = append(b.same, same>>(64-len(word)))
	}
	if lo == 0 {
		b.same[0] &^= 1
	}
	f := facts{low: math.Float64frombits(uint64(least)), high: math.Float64frombits(uint64(most)), step: math.Float64frombits(step)}
	if least < 0 { // below zero, the bits sort the other way round
		f.low, f.high = slices.Min(v), slices.Max(v)
	}
	return f
}

// scanTimes notes the readings that come more than the limit after the one
// before, and says whether all others come after the tag's spacing.
func (b *scratch) scanTimes(lo, hi int) (even bool) {
	t := b.t[max(lo-1, 0):hi]
	spacing, odd := b.spacing, int64(0)
	for ; len(t) >= 5; t = t[4:] {
		odd |= (t[1] - t[0]) ^ spacing | (t[2] - t[1]) ^ spacing | (t[3] - t[2]) ^ spacing | (t[4] - t[3]) ^ spacing
	}
	for k := 1; k < len(t); k++ {
		odd |= (t[k] - t[k-1]) ^ spacing
	}
	if odd == 0 && spacing <= b.limit {
		return true
	}
	odd = 0
	for k := max(lo, 1); k < hi; k++ {
		if d := b.t[k] - b.t[k-1]; d > b.limit {
			b.breaks = append(b.breaks, k)
			b.same[k/64] &^= 1 << (k % 64)
		} else {
			odd |= d ^ spacing
		}
	}
	return odd == 0
}

// idxSpan is a span of indices into the scratch columns, [lo, hi).
type idxSpan struct{ lo, hi int }

// pieceOf gives the piece that reading k of the columns lies in.
func (b *scratch) pieceOf(k int) int {
	return sort.Search(len(b.pieces), func(p int) bool { return b.pieces[p].k > k }) - 1
}

// index gives the index in the series of reading k of the columns.
func (b *scratch) index(k int) int {
	p := b.pieces[b.pieceOf(k)]
	return p.i + k - p.k
}

// mark asks for a flag on the readings of a span; those between that are not in
// the scratch columns stay as they are.
func (r *TagReport) mark(f series.Flag, b *scratch, s idxSpan) {
	p := b.pieceOf(s.lo)
	for k := s.lo; k < s.hi; p++ {
		end := s.hi
		if p+1 < len(b.pieces) {
			end = min(end, b.pieces[p+1].k)
		}
		i := b.pieces[p].i + k - b.pieces[p].k
		r.marks = append(r.marks, mark{f, i, i + end - k})
		k = end
	}
}

// after is the time of the reading that follows k, or of k itself at the end.
func (b *scratch) after(k int) int64 {
	if k+1 < len(b.t) {
		return b.t[k+1]
	}
	return b.t[k]
}
