package export

import (
	"math"

	"weirbook/analysis/export/lex"
	"weirbook/analysis/series"
)

// LagSettings steer EstimateLag.
type LagSettings struct {
	MaxMinutes  int     // lags tried on both sides
	StepMinutes int     // resolution: signals are averaged over this long
	HighPass    int     // hours: what is slower is taken out, so that a shared daily swing does not vote
	MinDays     int     // days with both signals that are needed
	MinT        float64 // t-value over the days from which a lag is worth asking about
	MinMinutes  int     // shorter lags can be the process: water takes time
}

// DefaultLagSettings: common practice, no source.
func DefaultLagSettings() LagSettings {
	return LagSettings{MaxMinutes: 180, StepMinutes: 5, HighPass: 6, MinDays: 5, MinT: 3, MinMinutes: 25}
}

// Lag is how far one signal's clock seems to stand behind another's.
type Lag struct {
	Minutes     int     // add this to b's times to line it up with a; NaN-free only if Days > 0
	Correlation float64 // mean of the days, at that lag
	AtZero      float64 // mean of the days, as the clocks stand
	T           float64 // t-value over the days of the gain against no lag
	Days        int     // days that voted
	Agree       int     // days whose own best lag is within two steps
	// Ask: strong enough to ask the plant whether one of the clocks is off (one
	// left on winter time stands 60 minutes behind). Nothing applies it unasked.
	Ask bool
}

// EstimateLag compares two related signals (the same flow met by two systems, a
// feed and the flow it follows). Each day votes with its correlation at every
// lag; the lag with the best mean (of Fisher's z) is given, with a t-value of
// its gain over no lag.
func EstimateLag(a, b *series.Series, set LagSettings) Lag {
	step := int64(set.StepMinutes) * lex.Minute
	if a.Len() == 0 || b.Len() == 0 || step <= 0 {
		return Lag{}
	}
	from := lex.FloorDiv(max(a.T[0], b.T[0]), 86_400_000) * 86_400_000
	to := min(a.T[a.Len()-1], b.T[b.Len()-1])
	perDay := int(86_400_000 / step)
	n := int((to-from)/step) + 1
	if n < perDay {
		return Lag{}
	}
	k := set.MaxMinutes / set.StepMinutes
	z := lagVotes(bins(a, from, step, n, set), bins(b, from, step, n, set), perDay, k)
	if len(z) < set.MinDays {
		return Lag{Days: len(z)}
	}
	best, mean := 0, make([]float64, 2*k+1)
	for l := range mean {
		for _, row := range z {
			mean[l] += row[l] / float64(len(z))
		}
		if mean[l] > mean[best] {
			best = l
		}
	}
	var sum, sq float64
	agree := 0
	for _, row := range z {
		g := row[best] - row[k]
		sum += g
		sq += g * g
		own := 0
		for l := range row {
			if row[l] > row[own] {
				own = l
			}
		}
		if own-best <= 2 && best-own <= 2 {
			agree++
		}
	}
	m := float64(len(z))
	sd := math.Sqrt(math.Max(0, sq-sum*sum/m) / (m - 1))
	out := Lag{Minutes: (best - k) * set.StepMinutes, Correlation: math.Tanh(mean[best]), AtZero: math.Tanh(mean[k]), Days: len(z), Agree: agree}
	if best != k {
		out.T = sum / m / math.Max(sd/math.Sqrt(m), 1e-9)
	}
	size := out.Minutes
	if size < 0 {
		size = -size
	}
	out.Ask = out.T >= set.MinT && size >= set.MinMinutes && agree*10 >= 6*len(z) && best != 0 && best != 2*k && out.Correlation > 0.3
	return out
}

// lagVotes gives Fisher's z of the correlation of each day with enough readings, at every
// lag from -k to k steps.
func lagVotes(x, y []float64, perDay, k int) [][]float64 {
	n := len(x)
	z := make([][]float64, 0, n/perDay)
	for d := 0; d+perDay <= n; d += perDay {
		row := make([]float64, 2*k+1)
		ok := true
		for l := -k; l <= k && ok; l++ {
			r, m := pearson(x, y, d, d+perDay, l)
			if m < perDay/2 {
				ok = false
			}
			row[l+k] = math.Atanh(math.Max(-0.999, math.Min(0.999, r)))
		}
		if ok {
			z = append(z, row)
		}
	}
	return z
}

// bins averages a signal over steps and takes out what is slower than the high
// pass; NaN where a step has no usable reading.
func bins(s *series.Series, from, step int64, n int, set LagSettings) []float64 {
	sum, cnt := make([]float64, n), make([]int, n)
	for i := range s.T {
		if k := lex.FloorDiv(s.T[i]-from, step); k >= 0 && k < int64(n) && s.Usable(i) {
			sum[k] += s.V[i]
			cnt[k]++
		}
	}
	v := make([]float64, n)
	for i := range v {
		v[i] = math.NaN()
		if cnt[i] > 0 {
			v[i] = sum[i] / float64(cnt[i])
		}
	}
	half := set.HighPass * 30 / set.StepMinutes
	cs, cn := make([]float64, n+1), make([]int, n+1)
	for i := range v {
		cs[i+1], cn[i+1] = cs[i], cn[i]
		if !math.IsNaN(v[i]) {
			cs[i+1] += v[i]
			cn[i+1]++
		}
	}
	out := make([]float64, n)
	for i := range v {
		lo, hi := max(0, i-half), min(n, i+half+1)
		out[i] = v[i] - (cs[hi]-cs[lo])/float64(max(1, cn[hi]-cn[lo]))
	}
	return out
}

// pearson correlates x over [lo, hi) with y moved later by l steps.
func pearson(x, y []float64, lo, hi, l int) (float64, int) {
	var sx, sy, sxx, syy, sxy float64
	n := 0
	for i := lo; i < hi; i++ {
		j := i - l
		if j < 0 || j >= len(y) || math.IsNaN(x[i]) || math.IsNaN(y[j]) {
			continue
		}
		n++
		sx += x[i]
		sy += y[j]
		sxx += x[i] * x[i]
		syy += y[j] * y[j]
		sxy += x[i] * y[j]
	}
	if n < 3 {
		return 0, n
	}
	m := float64(n)
	d := math.Sqrt((sxx - sx*sx/m) * (syy - sy*sy/m))
	if !(d > 0) {
		return 0, n
	}
	return (sxy - sx*sy/m) / d, n
}
