package screen

import (
	"fmt"
	"math"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// outsideSpan marks readings outside the span stated for the tag, or outside
// what the kind of measurement can be when the tag states none; those that the
// reader has marked so count as well.
func (r *TagReport) outsideSpan(tg Tagged, b *scratch) {
	low, high, whose := span(tg)
	n, first, last := 0, -1, -1
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, s := range b.outside(low, high, tg.Series.F) {
		for _, x := range b.v[s.lo:s.hi] {
			lo, hi = min(lo, x), max(hi, x)
		}
		r.mark(series.OutsideSpan, b, s)
		if first < 0 {
			first = s.lo
		}
		last = s.hi - 1
		n += s.hi - s.lo
		r.Stretches = append(r.Stretches, Stretch{Defect: Span, Start: b.t[s.lo], End: b.after(last), Readings: s.hi - s.lo})
	}
	if n == 0 {
		return
	}
	u := working(tg).Symbol
	r.messages = append(r.messages, Message{
		Tag: r.Tag, Line: tg.Line, Defect: Span, Readings: n, Start: b.t[first], End: b.t[last],
		Text: fmt.Sprintf("%s: outside %s, %s to %s %s: %s, extremes %s and %s; not used",
			r.Tag, whose, num(low), num(high), u, readings(n, r.Rows), num(lo), num(hi)),
		Next: fmt.Sprintf("if they are real, widen low and high in tags.csv line %d", tg.Line),
	})
}

// outside gives the longest spans of readings that lie outside [low, high] or
// carry the flag that says so.
func (b *scratch) outside(low, high float64, f []series.Flag) []idxSpan {
	var out []idxSpan
	for c, x := range b.facts {
		lo, hi := c*chunkLen, min((c+1)*chunkLen, len(b.v))
		if x.low >= low && x.high <= high && !b.flagged(lo, hi, series.OutsideSpan) {
			continue
		}
		p := b.pieceOf(lo)
		for k := lo; k < hi; k++ {
			if p+1 < len(b.pieces) && b.pieces[p+1].k == k {
				p++
			}
			if b.v[k] >= low && b.v[k] <= high && f[b.pieces[p].i+k-b.pieces[p].k]&series.OutsideSpan == 0 {
				continue
			}
			if last := len(out) - 1; last >= 0 && out[last].hi == k {
				out[last].hi++
			} else {
				out = append(out, idxSpan{k, k + 1})
			}
		}
	}
	return out
}

// flagged says whether a reading of the columns from lo to hi, or one near them,
// carries the flag.
func (b *scratch) flagged(lo, hi int, f series.Flag) bool {
	if b.flags&f == 0 {
		return false
	}
	for _, r := range b.raw[b.index(lo)/chunkLen : b.index(hi-1)/chunkLen+1] {
		if r.flags&f != 0 {
			return true
		}
	}
	return false
}

// span is what the tag may read, and whose statement that is.
func span(tg Tagged) (low, high float64, whose string) {
	info, ok := quantity.Of(tg.Kind)
	if !ok {
		return math.Inf(-1), math.Inf(1), ""
	}
	// The kind's span is stated in its working unit; a feed kept in percent or
	// in mass has none of its own.
	low, high, whose = math.Inf(-1), math.Inf(1), "what can be measured"
	if working(tg).Dimension == info.Working.Dimension {
		low, high = info.Low, info.High
	} else if working(tg).Dimension == quantity.Percent {
		low, high = -5, 200
	}
	if !math.IsNaN(tg.Low) {
		low, whose = tg.Low, "the tag's span"
	}
	if !math.IsNaN(tg.High) {
		high, whose = tg.High, "the tag's span"
	}
	return low, high, whose
}

// working is the unit that the tag's values are kept in.
func working(tg Tagged) quantity.Unit {
	if u, err := quantity.Accept(tg.Kind, tg.Declared); err == nil {
		return u
	}
	info, _ := quantity.Of(tg.Kind)
	return info.Working
}

// num writes a number with about four figures, as a person would.
func num(v float64) string {
	switch a := math.Abs(v); {
	case a == 0 || a >= 1000 && a < 1e7:
		return fmt.Sprintf("%.0f", v)
	case a >= 100 && a < 1000:
		return fmt.Sprintf("%.5g", math.Round(v*10)/10)
	}
	return fmt.Sprintf("%.3g", v)
}
