package analysis

import (
	"fmt"
	"sort"

	"weirbook/analysis/series"
)

// markServices flags the readings that an instrument gave while it was out for
// cleaning or calibration: what it read then was not the water, and one such
// minute would make an hour's lowest residual zero, or a day's highest final
// residual that of a standard. The readings stay; nothing uses them.
func (r *Result) markServices() {
	for _, j := range r.Judgements {
		for _, sv := range j.Services {
			s := r.Series[sv.Tag]
			if s == nil {
				continue
			}
			lo, hi := s.Between(sv.Start, sv.End)
			for i := lo; i < hi; i++ {
				s.F[i] |= series.Invalid
			}
			delete(r.Frame.minutes, sv.Tag)
		}
	}
	for i := range r.Basins {
		r.Basins[i].pickResidual(r.Frame)
	}
}

// serviceRemarks says what markServices took out, a sentence a tag.
func (r *Result) serviceRemarks() []string {
	minutes, times := map[string]int64{}, map[string]int{}
	for _, j := range r.Judgements {
		for _, s := range j.Services {
			minutes[s.Tag] += (s.End - s.Start) / 60_000
			times[s.Tag]++
		}
	}
	var out []string
	for tag, n := range times {
		out = append(out, fmt.Sprintf("%s was out for service %d times, %d minutes in all; its readings of those minutes are not used.", tag, n, minutes[tag]))
	}
	sort.Strings(out)
	return out
}
