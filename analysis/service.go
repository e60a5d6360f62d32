package analysis

import "math"

// withoutService blanks a column while its instrument was out for cleaning or
// calibration: what it read then was not the water, and one such minute would
// make the hour's lowest residual zero. Coverage says what is missing. The
// column given is not written to.
func (r *Result) withoutService(tag string, col []float64) []float64 {
	var out []float64
	for _, j := range r.Judgements {
		for _, s := range j.Services {
			if s.Tag != tag {
				continue
			}
			if out == nil {
				out = append([]float64(nil), col...)
			}
			for i := max(r.Grid.Index(s.Start), 0); i < min(r.Grid.Index(s.End-1)+1, len(out)); i++ {
				out[i] = math.NaN()
			}
		}
	}
	if out == nil {
		return col
	}
	return out
}

// inService says that a tag's instrument was out for service at t.
func (r *Result) inService(tag string, t int64) bool {
	for _, j := range r.Judgements {
		for _, s := range j.Services {
			if s.Tag == tag && s.Start <= t && t < s.End {
				return true
			}
		}
	}
	return false
}
