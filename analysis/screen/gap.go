package screen

import (
	"fmt"
	"time"

	"weirbook/analysis/series"
)

// gaps lists where no number was exported for longer than the limit that the
// scratch was loaded with: no row, or rows without a number. Readings that carry
// a number but are not used are no gap; the messages about them tell why.
func (r *TagReport) gaps(s *series.Series, b *scratch) {
	last := -1 // number met
	see := func(lo, hi int) {
		for i := lo; i < hi; i++ {
			if s.V[i] != s.V[i] {
				continue
			}
			if last >= 0 && s.T[i]-s.T[last] > b.limit {
				r.Stretches = append(r.Stretches, Stretch{Defect: Gap, Start: s.T[last], End: s.T[i]})
			}
			last = i
		}
	}
	if len(b.v) == 0 {
		see(0, s.Len())
		return
	}
	// The columns hold numbers only: a gap lies where two of their readings are
	// as far apart, or before the first or after the last.
	see(0, b.index(0)+1)
	for _, k := range b.breaks {
		last = b.index(k - 1)
		see(last+1, b.index(k)+1)
	}
	last = b.index(len(b.v) - 1)
	see(last+1, s.Len())
}

// gapMessage sums up the gaps of a tag that are not part of a data link's.
func (r *TagReport) gapMessage(line int, set Settings) {
	var n int
	var total, longest, at, last int64
	for _, g := range r.Stretches {
		if g.Defect != Gap {
			continue
		}
		d := g.End - g.Start
		total += d
		n++
		last = g.End
		if d > longest {
			longest, at = d, g.Start
		}
	}
	if n == 0 {
		return
	}
	gaps := fmt.Sprintf("%d gaps, %s in all, the longest %s", n, long(total), long(longest))
	if n == 1 {
		gaps = "1 gap of " + long(total)
	}
	r.messages = append(r.messages, Message{
		Tag: r.Tag, Line: line, Defect: Gap, Start: at, End: last,
		Text: fmt.Sprintf("%s: %s from %s", r.Tag, gaps, set.at(at)),
		Next: "nothing is filled in; export the time again if the historian holds it",
	})
}

// long writes a duration in ms as a person would say it.
func long(ms int64) string {
	d := time.Duration(ms) * time.Millisecond
	switch {
	case d < 2*time.Hour:
		return fmt.Sprintf("%.0f min", d.Minutes())
	case d < 48*time.Hour:
		return fmt.Sprintf("%.1f h", d.Hours())
	}
	return fmt.Sprintf("%.1f days", d.Hours()/24)
}
