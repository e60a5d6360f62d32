package analysis

import "math"

// takeOutService blanks a basin's residual while its analyser was out for
// cleaning or calibration: what it read then was not the water, and one such
// minute would make the hour's lowest residual zero. Coverage says what is
// missing.
func (r *Result) takeOutService(b *Basin) {
	var out []float64
	for _, j := range r.Judgements {
		for _, s := range j.Services {
			if s.Tag != b.ResidualTag.Name {
				continue
			}
			if out == nil {
				out = append([]float64(nil), b.Residual...)
			}
			for i := max(r.Grid.Index(s.Start), 0); i < min(r.Grid.Index(s.End-1)+1, len(out)); i++ {
				out[i] = math.NaN()
			}
		}
	}
	if out != nil {
		b.Residual = out
	}
}
