package signal

import "weirbook/analysis/robust"

// Gumbel describes the largest values of each day: Gumbel's distribution (1958), its
// location and scale from quartiles, which a few bad days do not move. For the
// standard law the quartiles are −ln(−ln p): −0.3266, 0.3665, 1.2459.
type Gumbel struct{ Mode, Scale float64 }

// GumbelOf learns the law from daily maxima; NaN without any.
func GumbelOf(maxima []float64) Gumbel {
	q1, q2, q3 := robust.Quantile(maxima, 0.25), robust.Quantile(maxima, 0.5), robust.Quantile(maxima, 0.75)
	b := (q3 - q1) / 1.5725
	return Gumbel{q2 - 0.3665*b, b}
}

// Over is the level that k scales lie above the usual largest value of a day.
func (g Gumbel) Over(k float64) float64 { return g.Mode + k*g.Scale }

// DailyMaxima gives the largest value of each day (of so many values) of which a third
// is known.
func DailyMaxima(v []float64, day int) []float64 {
	var out []float64
	for d := 0; d < len(v); d += day {
		of := v[d:min(d+day, len(v))]
		if CountKnown(of)*3 >= day {
			out = append(out, robust.Quantile(of, 1))
		}
	}
	return out
}
