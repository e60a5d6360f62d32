package screen

import (
	"fmt"
	"math"
	"sort"

	"weirbook/analysis/series"
)

// frozenOnChange finds silences of an on-change tag that would usually have
// held FrozenChange changes or more, counted by how many changes each hour of
// day brings in the median.
func (r *TagReport) frozenOnChange(tg Tagged, set Settings, b *scratch) {
	if !canFreeze(tg.Kind) || len(b.v) < set.MinRuns {
		return
	}
	const hour = 3600_000
	h0, h1 := b.t[0]/hour, b.t[len(b.t)-1]/hour
	perHour := make([]float64, h1-h0+1)
	changes := []int{0}
	for i := 1; i < len(b.v); i++ {
		if b.v[i] != b.v[i-1] {
			perHour[b.t[i]/hour-h0]++
			changes = append(changes, i)
		}
	}
	if len(changes) < set.MinRuns {
		return
	}
	var usual [24]float64 // changes in that hour of day, median over the days
	for h := range usual {
		var n []float64
		for k := range perHour {
			if int((int64(k)+h0)%24) == h {
				n = append(n, perHour[k])
			}
		}
		if len(n) > 0 {
			sort.Float64s(n)
			usual[h] = n[len(n)/2]
		}
	}
	rest := restLevel(tg.Kind, math.Abs(b.quantiles(len(b.v), func(i int) float64 { return b.v[i] }, 0.5)[0]))
	expected := func(t0, t1 int64) float64 {
		var sum float64
		for t := t0; t < t1; {
			next := min((t/hour+1)*hour, t1)
			sum += usual[(t/hour)%24] * float64(next-t) / hour
			t = next
		}
		return sum
	}
	u := working(tg).Symbol
	for k, i := range changes {
		end, hi := b.t[len(b.t)-1], len(b.t) // after the last change, up to the last row
		if k+1 < len(changes) {
			hi = changes[k+1]
			end = b.t[hi]
		}
		start := b.t[i]
		if end-start < set.FrozenFor.Milliseconds() || b.v[i] <= rest {
			continue
		}
		missed := expected(start, end)
		if missed < set.FrozenChange {
			continue
		}
		for j := i; j < hi; j++ {
			r.marks = append(r.marks, mark{series.Frozen, b.idx[j], b.idx[j] + 1})
		}
		r.Stretches = append(r.Stretches, Stretch{FrozenAt, start, end, hi - i})
		r.messages = append(r.messages, Message{
			Tag: r.Tag, Line: tg.Line, Defect: FrozenAt, Readings: hi - i, Start: start, End: end,
			Text: fmt.Sprintf("%s: no change from %s %s for %s from %s, where it usually changes about %.0f times; marked frozen",
				r.Tag, num(b.v[i]), u, long(end-start), set.at(start), missed),
			Next: "compare with a grab sample or a second instrument of that time",
		})
	}
}

func sortSpans(ss []idxSpan) {
	sort.Slice(ss, func(i, j int) bool { return ss[i].lo < ss[j].lo })
}
