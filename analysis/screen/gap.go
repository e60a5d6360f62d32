package screen

import (
	"fmt"
	"time"

	"weirbook/analysis/series"
)

// gaps lists where no row was exported for longer than limit milliseconds. Rows
// without a number are not gaps: they are counted under the export's quality.
func (r *TagReport) gaps(s *series.Series, limit int64) {
	for i := 1; i < s.Len(); i++ {
		if s.T[i]-s.T[i-1] > limit {
			r.Stretches = append(r.Stretches, Stretch{Gap, s.T[i-1], s.T[i], 0})
		}
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
