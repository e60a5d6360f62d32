package orp

import "slices"

// unusual keeps the troubles of one tag and kind that are out of the ordinary for
// that tag. A coarse signal of a well-held process stands still for hours every
// other day, and a crude one clips at its last digit: what comes more often than once
// in three days is how the tag is, and only what lasts far longer than that is told.
func unusual(ts []trouble, minutes int, s *Settings) []trouble {
	allowed := max(4, minutes/(24*60*s.OrdinaryDays))
	if len(ts) <= allowed {
		return ts
	}
	long := make([]int, len(ts))
	for i, t := range ts {
		long[i] = t.len()
	}
	slices.Sort(long)
	ordinary := long[len(long)-1-allowed]
	var out []trouble
	for _, t := range ts {
		if float64(t.len()) > s.OrdinaryTimes*float64(ordinary) {
			if wait := int(s.OrdinaryTimes * float64(ordinary)); t.alarm < t.from+wait {
				t.alarm = t.from + wait
			}
			out = append(out, t)
		}
	}
	return out
}
