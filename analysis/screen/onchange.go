package screen

import (
	"fmt"
	"math"
	"sort"

	"weirbook/analysis/series"
)

// frozenOnChange finds silences of an on-change tag that would usually have
// held FrozenChange changes or more, counted by how many changes each hour of
// day brings in the median, and that stand out from the tag's other silences.
func (r *TagReport) frozenOnChange(tg Tagged, set Settings, b *scratch) {
	if !canFreeze(tg.Kind) || len(b.v) < max(set.MinRuns, 1) {
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
			if hourOfDay(int64(k)+h0) == h {
				n = append(n, perHour[k])
			}
		}
		if len(n) > 0 {
			sort.Float64s(n)
			usual[h] = n[len(n)/2]
		}
	}
	rest := restLevel(tg.Kind, math.Abs(b.picked().mid))
	expected := func(t0, t1 int64) float64 {
		var sum float64
		for t := t0; t < t1; {
			next := min((t/hour+1)*hour, t1)
			sum += usual[hourOfDay(t/hour)] * float64(next-t) / hour
			t = next
		}
		return sum
	}
	type silence struct {
		lo, hi int
		end    int64
	}
	var quiet []silence
	var missed []float64
	for k, i := range changes {
		end, hi := b.t[len(b.t)-1], len(b.t) // after the last change, up to the last row
		if k+1 < len(changes) {
			hi = changes[k+1]
			end = b.t[hi]
		}
		if end-b.t[i] < set.FrozenFor.Milliseconds()/4 || b.v[i] <= rest {
			continue
		}
		quiet = append(quiet, silence{i, hi, end})
		missed = append(missed, expected(b.t[i], end))
	}
	need := standOut(missed, set.FrozenChange, set.FrozenGap)
	u := working(tg).Symbol
	for k, q := range quiet {
		start := b.t[q.lo]
		if missed[k] < need || q.end-start < set.FrozenFor.Milliseconds() {
			continue
		}
		r.mark(series.Frozen, b, idxSpan{q.lo, q.hi})
		r.Stretches = append(r.Stretches, Stretch{Defect: FrozenAt, Start: start, End: q.end, Readings: q.hi - q.lo,
			What: fmt.Sprintf("stood at %s %s, where it usually changes about %.0f times,", num(b.v[q.lo]), u, missed[k])})
	}
}

// hourOfDay is the hour of the day (UTC) of an hour counted from 1970; hours
// before that count too.
func hourOfDay(h int64) int { return int((h%24 + 24) % 24) }

func sortSpans(ss []idxSpan) {
	sort.Slice(ss, func(i, j int) bool { return ss[i].lo < ss[j].lo })
}
