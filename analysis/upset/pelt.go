package upset

import "math"

// Changes gives the change points of y: the starts of the segments after the
// first. It minimises, over every number and place of change points,
//
//	Σ (sum of squares of each segment about its mean) + penalty · (number of change points)
//
// with segments of at least minLen values. The minimum is exact; the pruning is
// PELT: R. Killick, P. Fearnhead, I. A. Eckley, "Optimal Detection of
// Changepoints With a Linear Computational Cost", Journal of the American
// Statistical Association 107 (2012) 1590-1598, with the cost of a change in
// mean. y must hold numbers only; fewer than 2·minLen values have no change.
func Changes(y []float64, penalty float64, minLen int) []int {
	n := len(y)
	minLen = max(minLen, 1)
	if n < 2*minLen {
		return nil
	}
	// Sums about the first value keep the subtraction below exact enough for
	// series far from zero.
	s1, s2 := make([]float64, n+1), make([]float64, n+1)
	for i, v := range y {
		d := v - y[0]
		s1[i+1], s2[i+1] = s1[i]+d, s2[i]+d*d
	}
	cost := func(a, b int) float64 { // of [a, b)
		d := s1[b] - s1[a]
		return math.Max(0, s2[b]-s2[a]-d*d/float64(b-a))
	}
	best := make([]float64, n+1) // of y[:t], less one penalty at the start
	from := make([]int, n+1)
	best[0] = -penalty
	type start struct{ at, until int } // until: from this end on it cannot win
	var open []start
	for t := minLen; t <= n; t++ {
		if c := t - minLen; c == 0 || c >= minLen {
			open = append(open, start{c, n + 1})
		}
		best[t] = math.Inf(1)
		for _, c := range open {
			if v := best[c.at] + cost(c.at, t) + penalty; v < best[t] {
				best[t], from[t] = v, c.at
			}
		}
		// A start worse than the best now by a penalty or more stays worse than
		// one more change at t, which is allowed for ends at least minLen later.
		keep := open[:0]
		for _, c := range open {
			if best[c.at]+cost(c.at, t) >= best[t] {
				c.until = min(c.until, t+minLen)
			}
			if t+1 < c.until {
				keep = append(keep, c)
			}
		}
		open = keep
	}
	var out []int
	for t := from[n]; t > 0; t = from[t] {
		out = append(out, t)
	}
	for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
		out[i], out[j] = out[j], out[i]
	}
	return out
}
