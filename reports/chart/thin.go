package chart

import "math"

// thin reduces one unbroken run of points to what a picture column can show:
// of the points that fall into one column of the given width, px, it keeps the
// first, the lowest, the highest and the last, in their order, so that no peak
// is lost. Points must come with x ascending.
func thin(pts []xy, column float64) []xy {
	if len(pts) < 8 || column <= 0 {
		return pts
	}
	out := make([]xy, 0, 1024)
	for i := 0; i < len(pts); {
		col := math.Floor(pts[i].x / column)
		lo, hi, last := i, i, i
		for j := i; j < len(pts) && math.Floor(pts[j].x/column) == col; j++ {
			if pts[j].y < pts[lo].y {
				lo = j
			}
			if pts[j].y > pts[hi].y {
				hi = j
			}
			last = j
		}
		a, b := min(lo, hi), max(lo, hi)
		prev := -1
		for _, k := range [4]int{i, a, b, last} {
			if k != prev {
				out = append(out, pts[k])
				prev = k
			}
		}
		i = last + 1
	}
	return out
}

// runs cuts times and values into unbroken runs of points on the sheet: at
// every value that is not a number, and where two readings lie more than
// maxGap ms apart (0: no such rule).
func runs(t []int64, y []float64, maxGap int64, fx func(int64) float64, fy func(float64) float64) [][]xy {
	var out [][]xy
	var cur []xy
	for i, v := range y {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			if len(cur) > 0 {
				out = append(out, cur)
				cur = nil
			}
			continue
		}
		if maxGap > 0 && len(cur) > 0 && t[i]-t[i-1] > maxGap {
			out = append(out, cur)
			cur = nil
		}
		cur = append(cur, xy{fx(t[i]), fy(v)})
	}
	if len(cur) > 0 {
		out = append(out, cur)
	}
	return out
}

// steps turns a run into one that holds each value until the next point and
// the last for hold px more.
func steps(run []xy, hold float64) []xy {
	out := make([]xy, 0, 2*len(run)+1)
	for i, p := range run {
		if i > 0 {
			out = append(out, xy{p.x, run[i-1].y})
		}
		out = append(out, p)
	}
	if n := len(run); n > 0 && hold > 0 {
		out = append(out, xy{run[n-1].x + hold, run[n-1].y})
	}
	return out
}
