package screen

import (
	"fmt"
	"time"

	"weirbook/analysis/series"
)

// gaps lists where no number was exported for longer than limit milliseconds:
// no row, or rows without a number. Readings that carry a number but are not
// used are no gap; the messages about them tell why.
func (r *TagReport) gaps(s *series.Series, limit int64) {
	last := -1
	for i, v := range s.V {
		if v != v {
			continue
		}
		if last >= 0 && s.T[i]-s.T[last] > limit {
			r.Stretches = append(r.Stretches, Stretch{Defect: Gap, Start: s.T[last], End: s.T[i]})
		}
		last = i
	}
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
