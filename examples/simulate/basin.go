package simulate

import "math"

// basin is the contact basin: equal stirred tanks in a row, flowed through, and
// a stagnant rest. In volume that has passed, the ages of what leaves a tank
// row follow a gamma distribution whatever the flow does; its 10th percentile
// is the baffling factor times the basin's volume.
type basin struct {
	cells    []cell
	cellGal  float64
	middle   int     // index of the tank with the middle probe
	consumed float64 // lb since the start
}

// t10Share is the 10th percentile of the residence time of n equal stirred
// tanks, as a share of its mean: 1 - exp(-x)·Σ x^k/k! = 0.1 for k < n, x / n.
func t10Share(n int) float64 {
	below := func(x float64) float64 {
		term, sum := math.Exp(-x), 0.0
		for k := 0; k < n; k++ {
			sum += term
			term *= x / float64(k+1)
		}
		return 1 - sum
	}
	lo, hi := 0.0, float64(n)
	for i := 0; i < 60; i++ {
		if mid := (lo + hi) / 2; below(mid) < 0.1 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo / float64(n)
}

// newBasin takes the fewest tanks whose own T10 share reaches the baffling
// factor, and leaves as much of the volume stagnant as brings it down to it.
func newBasin(p Plant) *basin {
	n := 1
	for t10Share(n) < p.Baffling {
		n++
	}
	moving := p.Baffling / t10Share(n) * p.BasinGal
	return &basin{cells: make([]cell, n), cellGal: moving / float64(n), middle: max(0, (n-1)/2)}
}

// flow passes a minute of dosed water at q MGD through the row.
func (b *basin) flow(in *cell, qMGD, speed float64) {
	gal := qMGD * galPerMinPerMGD
	steps := max(4, int(math.Ceil(gal/b.cellGal/0.08)))
	dt := 1 / float64(steps)
	share := gal * dt / b.cellGal
	for s := 0; s < steps; s++ {
		used := 0.0
		for k := len(b.cells) - 1; k > 0; k-- {
			b.cells[k].mix(&b.cells[k-1], share)
			used += b.cells[k].react(dt, speed)
		}
		b.cells[0].mix(in, share)
		used += b.cells[0].react(dt, speed)
		b.consumed += used * b.cellGal * lbPerMGDmgL / 1e6
	}
}

// stored is the chlorine in the basin, lb.
func (b *basin) stored() float64 {
	sum := 0.0
	for k := range b.cells {
		sum += b.cells[k].total()
	}
	return sum * b.cellGal * lbPerMGDmgL / 1e6
}

func (b *basin) outlet() *cell { return &b.cells[len(b.cells)-1] }
func (b *basin) mid() *cell    { return &b.cells[b.middle] }

// parcelAge gives, for each minute, the age of the parcel that leaves at its
// end: the time in which the flow before it fills the volume. NaN where the
// record is too short.
func parcelAge(flowMGD []float64, gal float64) []float64 {
	out := make([]float64, len(flowMGD))
	need := gal / galPerMinPerMGD // MGD·min
	first, sum := 0, 0.0
	for i, q := range flowMGD {
		sum += q
		for first <= i && sum-flowMGD[first] >= need {
			sum -= flowMGD[first]
			first++
		}
		if sum < need {
			out[i] = math.NaN()
			continue
		}
		// The parcel entered within minute first, when what passed after it was need.
		out[i] = float64(i-first+1) - (sum-need)/flowMGD[first]
	}
	return out
}
