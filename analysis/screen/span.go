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
	outside := func(k int) bool {
		return !(b.v[k] >= low && b.v[k] <= high) || tg.Series.F[b.idx[k]]&series.OutsideSpan != 0
	}
	for k := 0; k < len(b.v); k++ {
		if !outside(k) {
			continue
		}
		start := k
		for k < len(b.v) && outside(k) {
			lo, hi = min(lo, b.v[k]), max(hi, b.v[k])
			k++
		}
		r.mark(series.OutsideSpan, b, idxSpan{start, k})
		k--
		if first < 0 {
			first = start
		}
		last = k
		n += k - start + 1
		r.Stretches = append(r.Stretches, Stretch{Defect: Span, Start: b.t[start], End: b.after(k), Readings: k - start + 1})
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

// after is the time of the reading that follows k, or of k itself at the end.
func (b *scratch) after(k int) int64 {
	if k+1 < len(b.t) {
		return b.t[k+1]
	}
	return b.t[k]
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
