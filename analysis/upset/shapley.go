package upset

import "math/bits"

// Shapley splits the change of f between "none of the n parts is as it was then"
// and "all are" among the parts: each gets its mean contribution over every
// order in which the parts could be put in one after the other. The parts add up
// to f(all) - f(none) exactly, whatever f is and whatever the order in which
// they are listed. f takes a set of parts as bits. n must not be above 16.
//
// L. S. Shapley, "A value for n-person games", in Contributions to the Theory of
// Games II, Princeton 1953, 307-317; as a split of a quantity into causes A. F.
// Shorrocks, Journal of Economic Inequality 11 (2013) 99-126.
func Shapley(n int, f func(set uint) float64) []float64 {
	values := make([]float64, 1<<n)
	for set := range values {
		values[set] = f(uint(set))
	}
	weight := make([]float64, n) // for sets of k others: k! (n-k-1)! / n!
	for k := range weight {
		w := 1 / float64(n)
		for j := 1; j <= k; j++ { // 1 / (n · C(n-1, k))
			w *= float64(j) / float64(n-j)
		}
		weight[k] = w
	}
	parts := make([]float64, n)
	for i := range parts {
		bit := uint(1) << i
		for set := uint(0); set < 1<<n; set++ {
			if set&bit == 0 {
				parts[i] += weight[bits.OnesCount(set)] * (values[set|bit] - values[set])
			}
		}
	}
	return parts
}
