package upsets

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"weirbook/analysis/upset"
	"weirbook/examples/simulate"
)

// Report prints the score: by kind and in all. Not known counts the episodes
// whose cause is said to be not known, rather than another one named.
func Report(outs []Outcome, seed uint64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "first seed %d, %d invented upsets; onsets closer than %v count as one\n\n", seed, len(outs), Tie)
	fmt.Fprintf(&b, "%-20s %8s %16s %10s %16s\n", "kind", "episodes", "first mover", "not known", "first three")
	row := func(name string, keep func(simulate.Kind) bool) {
		n, first, unknown, known, order := 0, 0, 0, 0, 0
		for _, o := range outs {
			if !keep(o.Case.Kind) || !o.Episode {
				continue
			}
			n++
			if o.FirstRight {
				first++
			} else if o.Cause.Kind == upset.CauseUnknown {
				unknown++
			}
			if o.OrderKnown {
				known++
				if o.OrderRight {
					order++
				}
			}
		}
		fmt.Fprintf(&b, "%-20s %8d %16s %10d %16s\n", name, n, share(first, n), unknown, share(order, known))
	}
	seen := map[simulate.Kind]bool{}
	for _, o := range outs {
		if k := o.Case.Kind; !seen[k] {
			seen[k] = true
			row(string(k), func(x simulate.Kind) bool { return x == k })
		}
	}
	row("all", func(simulate.Kind) bool { return true })
	var late []float64
	for _, o := range outs {
		if o.FirstRight && !math.IsNaN(o.Late) {
			late = append(late, math.Abs(o.Late))
		}
	}
	if len(late) > 0 {
		sort.Float64s(late)
		fmt.Fprintf(&b, "\nfirst mover's time off by %.0f min in the median, %.0f min in nine of ten\n", late[len(late)/2], late[int(0.9*float64(len(late)-1))])
	}
	return b.String()
}

func share(a, n int) string {
	if n == 0 {
		return "none"
	}
	return fmt.Sprintf("%d of %d, %.0f%%", a, n, 100*float64(a)/float64(n))
}
