package upset

import "math/bits"

// Group is a tree of parts: a part (Part, no Members), or a group of groups that
// are put in one right after the other.
type Group struct {
	Part    int
	Members []Group
}

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
	g := Group{}
	for i := 0; i < n; i++ {
		g.Members = append(g.Members, Group{Part: i})
	}
	return Nested(g, n, f)
}

// Nested is the same over the orders in which each group's parts stand together,
// in the tree g: what a group as a whole contributes is settled first, and then
// shared out inside it. Parts of a group that cancel leave the others untouched.
// The parts add up as in Shapley.
//
// G. Owen, "Values of games with a priori unions", in Essays in Mathematical
// Economics and Game Theory, Berlin 1977, 76-88; groups within groups: E.
// Winter, International Journal of Game Theory 18 (1989) 227-240.
func Nested(g Group, n int, f func(set uint) float64) []float64 {
	values := make([]float64, 1<<n)
	known := make([]bool, 1<<n)
	value := func(set uint) float64 {
		if !known[set] {
			values[set], known[set] = f(set), true
		}
		return values[set]
	}
	out := make([]float64, n)
	share(g, 0, 1, value, out)
	return out
}

// share adds to out what the parts of g contribute after the parts in before,
// which has the given weight among all orders.
func share(g Group, before uint, weight float64, value func(uint) float64, out []float64) {
	if len(g.Members) == 0 {
		out[g.Part] += weight * (value(before|1<<g.Part) - value(before))
		return
	}
	m := len(g.Members)
	sets := make([]uint, m)
	for k, x := range g.Members {
		sets[k] = x.set()
	}
	for k, x := range g.Members {
		for others := uint(0); others < 1<<m; others++ {
			if others&(1<<k) != 0 {
				continue
			}
			in := before
			for j := range sets {
				if others&(1<<j) != 0 {
					in |= sets[j]
				}
			}
			share(x, in, weight*orders(bits.OnesCount(others), m), value, out)
		}
	}
}

// orders is the share of the orders of m in which given k stand before one given
// and the rest after it: k! (m-k-1)! / m!.
func orders(k, m int) float64 {
	w := 1 / float64(m)
	for j := 1; j <= k; j++ {
		w *= float64(j) / float64(m-j)
	}
	return w
}

func (g Group) set() uint {
	if len(g.Members) == 0 {
		return 1 << g.Part
	}
	var s uint
	for _, x := range g.Members {
		s |= x.set()
	}
	return s
}
