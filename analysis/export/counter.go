package export

import (
	"math"
	"sort"

	"weirbook/analysis/series"
)

// CounterRule says how a running total is differenced.
type CounterRule struct {
	// Rollover is the value at which the counter starts again at zero, in the
	// series' unit (1e6 for a six-digit counter of whole units); NaN: guessed.
	Rollover float64
	// MaxGapMS is the longest time between two readings over which a mean rate
	// is stated, milliseconds; 0: any.
	MaxGapMS int64
}

// CounterStep is what was made of one step downwards.
type CounterStep struct {
	T        int64   // of the reading after the step, Unix milliseconds
	From, To float64 // readings before and after
	Rollover float64 // the counter passed this value and went on; NaN: it was reset or corrected
}

// CounterRates turns a running total into mean rates, in the series' unit per
// day. The rate at T[i] holds until T[i+1]: the result is to be read as
// on-change. The last reading is a NaN flagged Bad, where the knowledge ends.
//
// A step downwards is a rollover when the rule states a rollover value, or when
// the reading before it stood within a tenth below a power of ten and the one
// after within a tenth of it above zero, and when passing that value gives a
// rate of at most three times the largest of the undisturbed steps. Any other
// step downwards is a reset or a correction: how much passed is not known, and
// the rate of that step is NaN, flagged Bad. A rate is never negative.
// Readings that are unusable or no numbers are passed over.
func CounterRates(s *series.Series, rule CounterRule) (*series.Series, []CounterStep) {
	out := &series.Series{Tag: s.Tag}
	var idx []int
	for i := range s.T {
		if s.Usable(i) {
			idx = append(idx, i)
		}
	}
	day := func(a, b int) float64 { return float64(s.T[b]-s.T[a]) / 86_400_000 }
	var rates []float64
	for k := 1; k < len(idx); k++ {
		if d := s.V[idx[k]] - s.V[idx[k-1]]; d >= 0 {
			rates = append(rates, d/day(idx[k-1], idx[k]))
		}
	}
	// The largest undisturbed rate, without the few that a jump upwards makes.
	sort.Float64s(rates)
	top := math.Inf(1)
	if len(rates) > 0 {
		top = 3 * rates[len(rates)-1-len(rates)/100]
	}
	var steps []CounterStep
	for k := 1; k < len(idx); k++ {
		a, b := idx[k-1], idx[k]
		d := s.V[b] - s.V[a]
		v, f := d/day(a, b), (s.F[a]|s.F[b])&(series.Uncertain|series.Late)
		if d < 0 {
			roll := rule.Rollover
			if math.IsNaN(roll) || roll == 0 {
				roll = math.Pow(10, math.Ceil(math.Log10(s.V[a])))
				if !(s.V[a] > 0.9*roll && s.V[b] < 0.1*roll && s.V[b] >= 0) {
					roll = math.NaN()
				}
			}
			v = (d + roll) / day(a, b)
			if !(v >= 0 && v <= top) {
				v, roll, f = math.NaN(), math.NaN(), f|series.Bad
			}
			steps = append(steps, CounterStep{s.T[b], s.V[a], s.V[b], roll})
		}
		if rule.MaxGapMS > 0 && s.T[b]-s.T[a] > rule.MaxGapMS {
			v, f = math.NaN(), f|series.Bad
		}
		out.Append(s.T[a], v, f)
	}
	if n := len(idx); n > 1 {
		out.Append(s.T[idx[n-1]], math.NaN(), series.Bad)
	}
	return out, steps
}
