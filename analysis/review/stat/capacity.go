package stat

import (
	"math"
	"sort"
)

// MinutesPerDay turns days into minutes: T = 1440·BF·V/Q, V in MG, Q in MGD.
const MinutesPerDay = 1440

// CapacityLine is the flow (MGD) at which CT binds when the residual falls along
// intercept + slope·Q: Q = a·k/(CT - slope·k), k = 1440·BF·V. effective is BF·V in
// MG, ct in mg·min/L. NaN where no flow binds.
func CapacityLine(intercept, slope, effective, ct float64) float64 {
	k := MinutesPerDay * effective
	q := intercept * k / (ct - slope*k)
	if !(q > 0) || math.IsInf(q, 0) {
		return math.NaN()
	}
	return q
}

// CapacityTime is the flow (MGD) at which a least contact time binds.
func CapacityTime(effective, minutes float64) float64 {
	return MinutesPerDay * effective / minutes
}

// DecayCeiling is the largest CT that a residual of c0 mg/L decaying at k per
// minute reaches at the outlet, c0/(k·e), at T = 1/k.
func DecayCeiling(c0, k float64) float64 { return c0 / (k * math.E) }

// CapacityDecay is the flow (MGD) at which CT binds when the residual leaving is
// c0·exp(-k·T): the root with the shorter time. NaN where the decay lets no flow
// reach ct.
func CapacityDecay(c0, k, effective, ct float64) float64 {
	if k <= 0 {
		return CapacityLine(c0, 0, effective, ct)
	}
	if !(ct > 0) || ct > DecayCeiling(c0, k) {
		return math.NaN()
	}
	lo, hi := 0.0, 1/k
	for i := 0; i < 200; i++ {
		mid := (lo + hi) / 2
		if c0*math.Exp(-k*mid)*mid < ct {
			lo = mid
		} else {
			hi = mid
		}
	}
	return MinutesPerDay * effective / ((lo + hi) / 2)
}

// QuantileLine is the line below which the share tau of the points lie: it
// minimises the sum of r·(tau - [r<0]). (Koenker and Bassett, Econometrica 46
// (1978) 33.)
type QuantileLine struct {
	Tau, Intercept, Slope, Loss float64
	N                           int
}

// At is the line at x.
func (l QuantileLine) At(x float64) float64 { return l.Intercept + l.Slope*x }

// QuantileUsable says that n points can tell a quantile line: five or more on its
// thinner side.
func QuantileUsable(n int, tau float64) bool { return float64(n)*math.Min(tau, 1-tau) >= 5-1e-9 }

// FitQuantile fits the line; NaN for fewer than three points or one x only. See
// QuantileUsable.
func FitQuantile(x, y []float64, tau float64) QuantileLine {
	f := newQuantileFit(x, y, tau)
	out := QuantileLine{Tau: tau, Intercept: math.NaN(), Slope: math.NaN(), Loss: math.NaN(), N: len(x)}
	if f == nil {
		return out
	}
	// The loss at the best intercept is convex in the slope. Narrow the slope down
	// first, then walk from point to point to the very line.
	lo, hi := f.slopes()
	const golden = 0.6180339887498949
	a, b := hi-golden*(hi-lo), lo+golden*(hi-lo)
	la, lb := f.best(a), f.best(b)
	for i := 0; i < 80 && hi-lo > 1e-12*math.Max(math.Abs(lo), math.Abs(hi)); i++ {
		if la.loss < lb.loss {
			hi, b, lb = b, a, la
			a = hi - golden*(hi-lo)
			la = f.best(a)
		} else {
			lo, a, la = a, b, lb
			b = lo + golden*(hi-lo)
			lb = f.best(b)
		}
	}
	cur := la
	if lb.loss < la.loss {
		cur = lb
	}
	for i := 0; i < 50; i++ {
		next := f.turn(cur.pivot)
		if next.loss >= cur.loss*(1-1e-14) {
			break
		}
		cur = next
	}
	out.Slope, out.Intercept, out.Loss = cur.slope, y[cur.pivot]-cur.slope*x[cur.pivot], cur.loss
	return out
}

type quantileFit struct {
	x, y []float64
	tau  float64
	r    []float64
	idx  []int
}

type quantileTry struct {
	slope, loss float64
	pivot       int // a point on the line
}

func newQuantileFit(x, y []float64, tau float64) *quantileFit {
	if len(x) < 3 {
		return nil
	}
	same := true
	for _, v := range x {
		same = same && v == x[0]
	}
	if same {
		return nil
	}
	f := &quantileFit{x: x, y: y, tau: tau, r: make([]float64, len(x)), idx: make([]int, len(x))}
	return f
}

// slopes brackets the slope: wide enough for any line of the data.
func (f *quantileFit) slopes() (lo, hi float64) {
	l := Fit(f.x, f.y)
	x, y := Sorted(f.x), Sorted(f.y)
	n := len(x)
	w := 10*l.SD/SD(f.x) + 1e-9*(y[n-1]-y[0]+1)/(x[n-1]-x[0])
	return l.Slope - w, l.Slope + w
}

// best is the best intercept for a slope: the quantile of y - slope·x.
func (f *quantileFit) best(slope float64) quantileTry {
	for i := range f.r {
		f.r[i] = f.y[i] - slope*f.x[i]
		f.idx[i] = i
	}
	sort.Slice(f.idx, func(a, b int) bool { return f.r[f.idx[a]] < f.r[f.idx[b]] })
	k := int(math.Ceil(f.tau*float64(len(f.r)))) - 1
	p := f.idx[min(max(k, 0), len(f.idx)-1)]
	return quantileTry{slope, f.loss(p, slope), p}
}

func (f *quantileFit) loss(p int, slope float64) float64 {
	a := f.y[p] - slope*f.x[p]
	sum := 0.0
	for i := range f.x {
		if r := f.y[i] - a - slope*f.x[i]; r < 0 {
			sum += r * (f.tau - 1)
		} else {
			sum += r * f.tau
		}
	}
	return sum
}

// turn turns the line about a point to the best slope, where it meets another
// point: a weighted quantile of the slopes from the point to all others.
func (f *quantileFit) turn(p int) quantileTry {
	type ray struct {
		slope, w float64
		right    bool
		i        int
	}
	rays := make([]ray, 0, len(f.x))
	grad := 0.0 // of the loss for a slope of -infinity
	for i := range f.x {
		d := f.x[i] - f.x[p]
		if d == 0 {
			continue
		}
		rays = append(rays, ray{(f.y[i] - f.y[p]) / d, math.Abs(d), d > 0, i})
		if d > 0 {
			grad -= f.tau * d
		} else {
			grad -= (1 - f.tau) * -d
		}
	}
	sort.Slice(rays, func(a, b int) bool { return rays[a].slope < rays[b].slope })
	for _, r := range rays {
		if grad += r.w; grad >= 0 {
			return quantileTry{r.slope, f.loss(p, r.slope), r.i}
		}
	}
	last := rays[len(rays)-1]
	return quantileTry{last.slope, f.loss(p, last.slope), last.i}
}
