package screen

import (
	"fmt"
	"math"

	"weirbook/analysis/quantity"
)

// unitStretches finds stretches that leave the record's level mid by a known
// factor, hold it for UnitStretch or longer, and join the readings before and
// after them without a step once they are read in the other unit.
func (r *TagReport) unitStretches(tg Tagged, mid float64, set Settings, b *scratch) {
	_, _, names := mixups(tg.Kind)
	us := otherUnits(tg, names)
	if len(us) == 0 || mid == 0 {
		return
	}
	temp := tg.Kind == quantity.Temp
	near := func(x float64) bool {
		if temp {
			return math.Abs(x-mid) <= 10
		}
		return x/mid > 1/set.UnitFactor/1.25 && x/mid < set.UnitFactor*1.25
	}
	least := set.UnitStretch.Milliseconds()
	away := b.away(farFrom{mid, temp, tg.Kind == quantity.Flow || tg.Kind == quantity.ORP}, max(set.gapMS(r.SpacingMS), least), least)
	for _, o := range us {
		var spans []idxSpan
		for _, s := range away {
			// A dip within the stretch, such as a cleaned analyser's, does not
			// end it: most readings must fit, not each.
			fit := 0
			for _, w := range b.v[s.lo:s.hi] {
				if near(o.read(w)) {
					fit++
				}
			}
			if float64(fit) >= set.UnitShare*float64(s.hi-s.lo) && joins(b, o, s.lo, s.hi, temp) {
				spans = append(spans, s)
			}
		}
		if len(spans) == 0 {
			continue
		}
		var sum float64
		n := 0
		for _, s := range spans {
			for k := s.lo; k < s.hi; k++ {
				sum += b.v[k]
				n++
			}
		}
		u := working(tg).Symbol
		r.doubt(tg, b, spans)
		r.unitMessage(tg, b, spans,
			fmt.Sprintf("usually near %s %s, but %s on average in %s from %s to %s; read in %s instead of %s they would be %s %s",
				num(mid), u, num(sum/float64(n)), stretches(len(spans)), set.at(b.t[spans[0].lo]), set.at(b.t[spans[len(spans)-1].hi-1]),
				o.unit.Symbol, tg.Declared.Symbol, num(o.read(sum/float64(n))), u),
			fmt.Sprintf("check the unit of the files of that time; export them again in %s", tg.Declared.Symbol))
		return // one explanation is enough
	}
}

// farFrom tells the values that lie far from the usual.
type farFrom struct {
	usual float64
	temp  bool
	// Values far below the usual are no residual, no ammonia, no feed; only a
	// flow or an ORP never falls by a factor of hundreds and stays there.
	downToo bool
}

func (f farFrom) far(w float64) bool {
	if f.temp {
		return math.Abs(w-f.usual) > 15
	}
	return w/f.usual > 20 || f.downToo && w/f.usual > 0 && w/f.usual < 1.0/20
}

// none says that no value from low to high is far.
func (f farFrom) none(low, high float64) bool {
	if f.temp {
		return !f.far(low) && !f.far(high)
	}
	p, q := low/f.usual, high/f.usual
	p, q = min(p, q), max(p, q)
	return q <= 20 && !(f.downToo && p < 1.0/20 && q > 0)
}

// away gives the stretches of far values, least ms long or longer, whose readings
// follow each other within so many ms.
func (b *scratch) away(f farFrom, within, least int64) []idxSpan {
	var out []idxSpan
	var s idxSpan
	end := func() {
		if s.hi > s.lo && b.t[s.hi-1]-b.t[s.lo] >= least {
			out = append(out, s)
		}
	}
	for c, x := range b.facts {
		if f.none(x.low, x.high) {
			continue
		}
		for i := c * chunkLen; i < min((c+1)*chunkLen, len(b.v)); i++ {
			switch {
			case !f.far(b.v[i]):
			case s.hi == i && i > 0 && b.t[i]-b.t[i-1] <= within:
				s.hi++
			default:
				end()
				s = idxSpan{i, i + 1}
			}
		}
	}
	end()
	return out
}

// joins says whether the stretch [i, j), read in the other unit, carries on from
// the reading before it and into the reading after it. Water does not change its
// flow or its chlorine at a file's edge; a plant that really stops does.
func joins(b *scratch, o other, i, j int, temp bool) bool {
	const near = 2 * 3600_000 // a neighbour further away in time says nothing
	ok := func(inside, outside float64) bool {
		if temp {
			return math.Abs(inside-outside) <= 3
		}
		return inside/outside > 1/1.5 && inside/outside < 1.5
	}
	// Medians of some readings on each side, so that no single dip decides.
	const side = 15
	mid := func(lo, hi int) float64 {
		var w [side]float64
		return medianOf(w[:copy(w[:], b.v[lo:hi])])
	}
	if i > 0 && b.t[i]-b.t[i-1] < near && !ok(o.read(mid(i, min(i+side, j))), mid(max(i-side, 0), i)) {
		return false
	}
	return !(j < len(b.v) && b.t[j]-b.t[j-1] < near && !ok(o.read(mid(max(j-side, i), j)), mid(j, min(j+side, len(b.v)))))
}

func stretches(n int) string {
	if n == 1 {
		return "one stretch"
	}
	return fmt.Sprintf("%d stretches", n)
}
