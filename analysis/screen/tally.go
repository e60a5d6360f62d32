package screen

import (
	"math/bits"
	"slices"

	"weirbook/analysis/series"
)

// tally counts the flags of a series, by their bits.
type tally struct {
	usable      int
	readings    [16]int
	first, last [16]int64 // times
}

// tallyOf counts the flags of a series as they will be when the marks are set.
// raw are the facts of its readings.
func tallyOf(s *series.Series, marks []mark, raw []rawFacts) *tally {
	var c tally
	ms := slices.Clone(marks)
	slices.SortFunc(ms, func(a, b mark) int { return a.lo - b.lo })
	var open []mark
	for i, next := 0, 0; i < s.Len(); {
		for ; next < len(ms) && ms[next].lo <= i; next++ {
			open = append(open, ms[next])
		}
		end := s.Len()
		if next < len(ms) {
			end = ms[next].lo
		}
		var f series.Flag
		open = slices.DeleteFunc(open, func(m mark) bool { return m.hi <= i })
		for _, m := range open {
			f |= m.flag
			end = min(end, m.hi)
		}
		c.span(s, i, end, f, raw)
		i = end
	}
	return &c
}

// span counts the readings [lo, hi), all of which get the flags f.
func (c *tally) span(s *series.Series, lo, hi int, f series.Flag, raw []rawFacts) {
	for lo < hi {
		end := min(hi, (lo/chunkLen+1)*chunkLen)
		if r := raw[lo/chunkLen]; r.numbers && r.flags == 0 {
			c.add(f, end-lo, s.T[lo], s.T[end-1])
			if f&series.Unusable == 0 {
				c.usable += end - lo
			}
			lo = end
			continue
		}
		for ; lo < end; lo++ {
			g := f | s.F[lo]
			if g&series.Unusable == 0 && s.V[lo]-s.V[lo] == 0 {
				c.usable++
			}
			if g != 0 {
				c.add(g, 1, s.T[lo], s.T[lo])
			}
		}
	}
}

// add counts n readings with the flags f, from time first to last.
func (c *tally) add(f series.Flag, n int, first, last int64) {
	for ; f != 0; f &= f - 1 {
		b := bits.TrailingZeros16(uint16(f))
		if c.readings[b] == 0 {
			c.first[b] = first
		}
		c.readings[b] += n
		c.last[b] = last
	}
}
