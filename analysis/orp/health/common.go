package health

import "slices"

// unusual keeps the troubles of one tag and kind that are out of the ordinary for
// that tag. A coarse signal of a well-held process stands still for hours every
// other day, and a crude one clips at its last digit: what comes more often than once
// in three days is how the tag is, and only what lasts far longer than that is told.
func unusual(ts []Trouble, minutes int, s *Settings) []Trouble {
	allowed := max(4, minutes/(24*60*s.OrdinaryDays))
	if len(ts) <= allowed {
		return ts
	}
	long := make([]int, len(ts))
	for i, t := range ts {
		long[i] = t.Len()
	}
	slices.Sort(long)
	ordinary := long[len(long)-1-allowed]
	var out []Trouble
	for _, t := range ts {
		if float64(t.Len()) > s.OrdinaryTimes*float64(ordinary) {
			if wait := int(s.OrdinaryTimes * float64(ordinary)); t.Alarm < t.From+wait {
				t.Alarm = t.From + wait
			}
			out = append(out, t)
		}
	}
	return out
}
