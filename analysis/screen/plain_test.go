package screen

import (
	"math"
	"slices"
	"sort"

	"weirbook/analysis/series"
)

// What the scratch finds by its facts, found here as one would write it down
// first: every reading copied, every reading looked at. skip_test.go holds the
// one against the other.

// plain are the columns of the readings that are looked at.
type plain struct {
	idx []int
	t   []int64
	v   []float64
}

func plainLoad(s *series.Series) plain {
	var p plain
	for i, v := range s.V {
		if s.F[i]&(series.Unusable&^series.OutsideSpan) == 0 && v-v == 0 {
			p.idx, p.t, p.v = append(p.idx, i), append(p.t, s.T[i]), append(p.v, v)
		}
	}
	return p
}

func (p plain) without(ms []mark) plain {
	gone := map[int]bool{}
	for _, m := range ms {
		for i := m.lo; i < m.hi && m.flag&series.Unusable != 0; i++ {
			gone[i] = true
		}
	}
	var q plain
	for k, i := range p.idx {
		if !gone[i] {
			q.idx, q.t, q.v = append(q.idx, i), append(q.t, p.t[k]), append(q.v, p.v[k])
		}
	}
	return q
}

// marks are those of a span: one for each span of the series without a hole.
func (p plain) marks(f series.Flag, s idxSpan) []mark {
	var out []mark
	for _, i := range p.idx[s.lo:s.hi] {
		if n := len(out); n > 0 && out[n-1].hi == i {
			out[n-1].hi++
		} else {
			out = append(out, mark{f, i, i + 1})
		}
	}
	return out
}

// spans gives the longest spans of readings that are so, joined as joined says.
func (p plain) spans(is func(k int) bool, joined func(k int) bool) []idxSpan {
	var out []idxSpan
	for k := range p.v {
		if !is(k) {
			continue
		}
		if n := len(out); n > 0 && out[n-1].hi == k && joined(k) {
			out[n-1].hi++
		} else {
			out = append(out, idxSpan{k, k + 1})
		}
	}
	return out
}

func (p plain) outside(low, high float64, f []series.Flag) []idxSpan {
	return p.spans(func(k int) bool {
		return !(p.v[k] >= low && p.v[k] <= high) || f[p.idx[k]]&series.OutsideSpan != 0
	}, func(int) bool { return true })
}

func (p plain) away(f farFrom, within, least int64) []idxSpan {
	all := p.spans(func(k int) bool { return f.far(p.v[k]) }, func(k int) bool { return p.t[k]-p.t[k-1] <= within })
	return slices.DeleteFunc(all, func(s idxSpan) bool { return p.t[s.hi-1]-p.t[s.lo] < least })
}

func (p plain) jumps(floor, noise float64, limit int64, set Settings) []idxSpan {
	v := p.v
	var found []idxSpan
	for i := 1; i+1 < len(v); i++ {
		if math.Abs(v[i]-v[i-1]) < floor || p.t[i]-p.t[i-1] > limit {
			continue
		}
		for k := i + 1; k <= i+set.SpikeReadings && k < len(v) && p.t[k]-p.t[k-1] <= limit; k++ {
			height := math.Inf(1)
			for _, x := range v[i:k] {
				height = min(height, math.Abs(x-v[i-1]), math.Abs(x-v[k]))
			}
			if height < floor || math.Abs(v[k]-v[i-1]) > height/3 {
				continue
			}
			if dist, sigma := hampel(v, i, set.SpikeWidth); dist < set.SpikeSigma*max(sigma, noise) {
				continue
			}
			found = append(found, idxSpan{i, k})
			i = k - 1
			break
		}
	}
	return found
}

func plainGaps(s *series.Series, limit int64) []Stretch {
	var out []Stretch
	last := -1
	for i, v := range s.V {
		if v != v {
			continue
		}
		if last >= 0 && s.T[i]-s.T[last] > limit {
			out = append(out, Stretch{Defect: Gap, Start: s.T[last], End: s.T[i]})
		}
		last = i
	}
	return out
}

func (p plain) runs(rest float64, limit, long int64) *runs {
	var r runs
	for _, s := range p.spans(func(int) bool { return true }, func(k int) bool { return p.v[k] == p.v[k-1] && p.t[k]-p.t[k-1] <= limit }) {
		r.all++
		if p.v[s.lo] <= rest {
			continue
		}
		d := p.t[s.hi-1] - p.t[s.lo]
		if d == 0 {
			r.single++
		} else {
			r.byTime[log2Bin(d)]++
		}
		if d >= long {
			r.long = append(r.long, s)
		}
	}
	return &r
}

func (p plain) cut(width, limit, spacing int64) []block {
	var out []block
	for i := 0; i < len(p.v); {
		end := (p.t[i]/width + 1) * width
		j, n := i, 0
		var ss, sum float64
		for ; j < len(p.v) && (j == i || p.t[j] < end); j++ {
			sum += p.v[j]
			if j > i && p.t[j]-p.t[j-1] <= limit {
				d := p.v[j] - p.v[j-1]
				ss += d * d
				n++
			}
		}
		bl := block{span: idxSpan{i, j}, hour: hourOfDay(p.t[i] / 3600_000), level: sum / float64(j-i)}
		bl.whole = int64(n)*spacing >= width*3/4
		if n > 0 {
			bl.rms = math.Sqrt(ss / float64(n))
		}
		out = append(out, bl)
		i = j
	}
	return out
}

func plainTally(s *series.Series, ms []mark) *tally {
	f := slices.Clone(s.F)
	for _, m := range ms {
		for i := m.lo; i < m.hi; i++ {
			f[i] |= m.flag
		}
	}
	var c tally
	for i := range f {
		if f[i]&series.Unusable == 0 && s.V[i]-s.V[i] == 0 {
			c.usable++
		}
		for b := range 16 {
			if f[i]&(1<<b) != 0 {
				if c.readings[b] == 0 {
					c.first[b] = s.T[i]
				}
				c.readings[b]++
				c.last[b] = s.T[i]
			}
		}
	}
	return &c
}

// plainQuantiles sorts the sample.
func plainQuantiles(n int, get func(int) float64, ps ...float64) []float64 {
	var x []float64
	for i := 0; i < n; i += n/sampled + 1 {
		x = append(x, get(i))
	}
	sort.Float64s(x)
	out := make([]float64, len(ps))
	for i, p := range ps {
		out[i] = math.NaN()
		if len(x) > 0 {
			out[i] = x[int(math.Round(p*float64(len(x)-1)))]
		}
	}
	return out
}

// usualLevel is the median within the span, mid where the span holds hardly any.
func (p plain) usualLevel(tg Tagged, mid float64) float64 {
	low, high, _ := span(tg)
	step := len(p.v)/sampled + 1
	var in []float64
	for i := 0; i < len(p.v); i += step {
		if p.v[i] >= low && p.v[i] <= high {
			in = append(in, p.v[i])
		}
	}
	if 20*len(in) < len(p.v)/step {
		return mid
	}
	return plainQuantiles(len(in), func(i int) float64 { return in[i] }, 0.5)[0]
}

// resolution is the hundredth part of the changes that are not zero.
func (p plain) resolution() float64 {
	var x []float64
	for i := 1; i < len(p.v); i += len(p.v)/sampled + 1 {
		if d := math.Abs(p.v[i] - p.v[i-1]); d > 0 {
			x = append(x, d)
		}
	}
	if len(x) == 0 {
		return 0
	}
	sort.Float64s(x)
	return x[len(x)/100]
}
