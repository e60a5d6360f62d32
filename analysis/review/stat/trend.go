package stat

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"
)

// Kendall is a Mann-Kendall test with Sen's slope. (Gilbert, "Statistical Methods
// for Environmental Pollution Monitoring", 1987, chapter 16; not read, checked
// through EPA 530/R-09-007 Example 17-6.)
type Kendall struct {
	N        int
	S, Var   float64 // Var corrected for ties
	Z, P     float64 // with the continuity correction; P two-sided
	TauA     float64 // S over all pairs; ties are not left out
	Slope    float64 // Sen's: median of the slopes of all pairs, per unit of x
	SlopeInt Interval
}

// MannKendall tests y on x, 95 % limits of the slope. Values must be known. NaN for fewer than 4.
func MannKendall(x, y []float64) Kendall {
	k := Kendall{N: len(y), S: math.NaN(), Var: math.NaN(), Z: math.NaN(), P: math.NaN(), TauA: math.NaN(), Slope: math.NaN(), SlopeInt: Interval{math.NaN(), math.NaN()}}
	if len(x) != len(y) || len(y) < 4 {
		return k
	}
	k.S, k.Var = kendallS(x, y)
	k.Z = continuity(k.S) / math.Sqrt(k.Var)
	k.P = TwoSided(k.Z)
	n := float64(len(y))
	k.TauA = k.S / (n * (n - 1) / 2)
	slopes := pairSlopes(nil, x, y)
	k.Slope, k.SlopeInt = senLimits(slopes, k.Var)
	return k
}

func sign(v float64) float64 {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

func continuity(s float64) float64 { return s - sign(s) }

// TwoSided is the chance of a normal value as far from zero as z.
func TwoSided(z float64) float64 { return math.Min(1, 2*Phi(-math.Abs(z))) }

// kendallS is the sum of the signs of all pairs, and its variance with ties in y.
func kendallS(x, y []float64) (s, v float64) {
	n := float64(len(y))
	for i := range y {
		for j := i + 1; j < len(y); j++ {
			s += sign(y[j]-y[i]) * sign(x[j]-x[i])
		}
	}
	v = n * (n - 1) * (2*n + 5)
	for _, t := range ties(y) {
		v -= t * (t - 1) * (2*t + 5)
	}
	return s, v / 18
}

// ties gives the sizes of groups of equal values, ones included.
func ties(y []float64) []float64 {
	n := map[float64]float64{}
	for _, v := range y {
		n[v]++
	}
	var out []float64
	for _, t := range n {
		out = append(out, t)
	}
	sort.Float64s(out)
	return out
}

func pairSlopes(out, x, y []float64) []float64 {
	for i := range y {
		for j := i + 1; j < len(y); j++ {
			if x[j] != x[i] {
				out = append(out, (y[j]-y[i])/(x[j]-x[i]))
			}
		}
	}
	return out
}

// senLimits is the median of slopes with its 95 % limits: the slopes at ranks
// (N-C)/2 and (N+C)/2 + 1, between ranks in proportion; C = z·sqrt(Var).
func senLimits(slopes []float64, variance float64) (float64, Interval) {
	if len(slopes) == 0 {
		return math.NaN(), Interval{math.NaN(), math.NaN()}
	}
	sort.Float64s(slopes)
	n := float64(len(slopes))
	c := Z(0.975) * math.Sqrt(variance)
	m1, m2 := (n-c)/2, (n+c)/2+1
	in := Interval{atRank(slopes, m1), atRank(slopes, m2)}
	return Quantile(slopes, 0.5, Type7), in
}

// atRank is the value at a rank from 1, between ranks in proportion; NaN beyond
// the ends, where the limits are open.
func atRank(sorted []float64, r float64) float64 {
	if r < 1 || r > float64(len(sorted)) {
		return math.NaN()
	}
	lo := int(math.Floor(r))
	v := sorted[lo-1]
	if f := r - float64(lo); f > 0 {
		v += f * (sorted[lo] - v)
	}
	return v
}

// Seasonal is a seasonal Kendall test. (Hirsch, Slack and Smith, Water Resour.
// Res. 18 (1982) 107; the covariance between seasons by Hirsch and Slack, 20
// (1984) 727.)
type Seasonal struct {
	Seasons, N    int // seasons with two or more years, values in them
	S, Var        float64
	Z, P          float64 // seasons taken as independent, with the continuity correction
	VarSerial     float64 // with the covariance between seasons; NaN unless every season has every year
	ZSerial       float64 // without the continuity correction
	PSerial       float64
	Heterogeneity float64 // sum Zi² - m·mean(Z)², chi-square with m - 1
	PHet          float64
	Slope         float64
	SlopeInt      Interval
	BySeason      []float64 // S of each season
}

// SeasonalKendall tests values by season (0, 1, …) and year. Each season's values
// are compared with one another only.
func SeasonalKendall(season []int, year, y []float64) Seasonal {
	nan := math.NaN()
	out := Seasonal{S: nan, Var: nan, Z: nan, P: nan, VarSerial: nan, ZSerial: nan, PSerial: nan, Heterogeneity: nan, PHet: nan, Slope: nan, SlopeInt: Interval{nan, nan}}
	groups := map[int][2][]float64{}
	top := 0
	for i, s := range season {
		g := groups[s]
		g[0], g[1] = append(g[0], year[i]), append(g[1], y[i])
		groups[s], top = g, max(top, s)
	}
	var slopes, zs []float64
	var sum, variance float64
	var used [][2][]float64
	for s := 0; s <= top; s++ {
		g := groups[s]
		if len(g[1]) < 2 {
			out.BySeason = append(out.BySeason, nan)
			continue
		}
		si, vi := kendallS(g[0], g[1])
		sum, variance = sum+si, variance+vi
		out.N += len(g[1])
		out.Seasons++
		out.BySeason = append(out.BySeason, si)
		if vi > 0 {
			zs = append(zs, si/math.Sqrt(vi))
		}
		slopes = pairSlopes(slopes, g[0], g[1])
		used = append(used, g)
	}
	if out.Seasons == 0 || !(variance > 0) {
		return out
	}
	out.S, out.Var = sum, variance
	out.Z = continuity(sum) / math.Sqrt(variance)
	out.P = TwoSided(out.Z)
	out.Slope, out.SlopeInt = senLimits(slopes, variance)
	if m := float64(len(zs)); m > 1 {
		bar, sq := Mean(zs), 0.0
		for _, z := range zs {
			sq += z * z
		}
		out.Heterogeneity = math.Max(0, sq-m*bar*bar)
		out.PHet = distuv.ChiSquared{K: m - 1}.Survival(out.Heterogeneity)
	}
	out.serial(used)
	return out
}

// serial adds the covariance between seasons: [K + 4·sum Rg·Rh - n(n+1)²]/3 for
// each pair of seasons with the same n years.
func (out *Seasonal) serial(groups [][2][]float64) {
	n := len(groups[0][1])
	for _, g := range groups {
		if len(g[1]) != n {
			return
		}
		for i := range g[0] {
			if g[0][i] != groups[0][0][i] {
				return
			}
		}
	}
	ranks := make([][]float64, len(groups))
	for i, g := range groups {
		ranks[i] = midranks(g[1])
	}
	v := out.Var
	fn := float64(n)
	for a := range groups {
		for b := range groups {
			if a == b {
				continue
			}
			k, r := 0.0, 0.0
			ya, yb := groups[a][1], groups[b][1]
			for i := 0; i < n; i++ {
				r += ranks[a][i] * ranks[b][i]
				for j := i + 1; j < n; j++ {
					k += sign((ya[j] - ya[i]) * (yb[j] - yb[i]))
				}
			}
			v += (k + 4*r - fn*(fn+1)*(fn+1)) / 3
		}
	}
	if v > 0 {
		out.VarSerial = v
		out.ZSerial = out.S / math.Sqrt(v)
		out.PSerial = TwoSided(out.ZSerial)
	}
}

// midranks ranks values from 1; equal ones share the mean of their ranks.
func midranks(v []float64) []float64 {
	idx := make([]int, len(v))
	for i := range idx {
		idx[i] = i
	}
	sort.SliceStable(idx, func(a, b int) bool { return v[idx[a]] < v[idx[b]] })
	out := make([]float64, len(v))
	for i := 0; i < len(idx); {
		j := i
		for j < len(idx) && v[idx[j]] == v[idx[i]] {
			j++
		}
		for k := i; k < j; k++ {
			out[idx[k]] = float64(i+j+1) / 2
		}
		i = j
	}
	return out
}

// Step is a change point by Pettitt's statistic K = max |U_t|, U_t = 2·(ranks up
// to t) - t(n+1). (Pettitt, Appl. Statist. 28 (1979) 126; formula from memory.)
type Step struct {
	At   int     // index of the first value after the change
	K, P float64 // P ≈ 2·exp(-6K²/(n³+n²)), for independent values
}

// ChangePoint finds the likeliest step in the level of values in time.
func ChangePoint(y []float64) Step {
	n := len(y)
	out := Step{At: -1, K: math.NaN(), P: math.NaN()}
	if n < 8 {
		return out
	}
	u, best := 0.0, -1.0
	r := midranks(y)
	for t := 0; t < n-1; t++ {
		u += 2*r[t] - float64(n+1)
		if math.Abs(u) > best {
			best, out.At = math.Abs(u), t+1
		}
	}
	fn := float64(n)
	out.K = best
	out.P = StepP(best, n, fn)
	return out
}

// StepP is the chance of a statistic K as large without a step, for n values worth
// effective independent ones.
func StepP(k float64, n int, effective float64) float64 {
	fn := float64(n)
	return math.Min(1, 2*math.Exp(-6*k*k*effective/fn/(fn*fn*fn+fn*fn)))
}
