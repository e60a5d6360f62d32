package screen

import (
	"math"
	"sort"
	"sync"

	"weirbook/analysis/quantity"
)

// flowLevels holds the median level of each flow tag, of those that some check
// asked for or that were screened already.
type flowLevels struct {
	tags  []Tagged
	once  []sync.Once
	level []float64
}

func newFlows(tags []Tagged) *flowLevels {
	return &flowLevels{tags, make([]sync.Once, len(tags)), make([]float64, len(tags))}
}

// tell keeps the level of tag k, which b was loaded with.
func (f *flowLevels) tell(k int, b *scratch) {
	if f.tags[k].Kind == quantity.Flow {
		f.once[k].Do(func() { f.level[k] = b.picked().mid })
	}
}

// beside gives the median level of the flow tags other than k; NaN where there is
// none.
func (f *flowLevels) beside(k int) float64 {
	var ls []float64
	var b scratch
	for j, tg := range f.tags {
		if j == k || tg.Kind != quantity.Flow || tg.Series.Len() == 0 {
			continue
		}
		f.once[j].Do(func() {
			b.load(tg.Series, 0, math.MaxInt64)
			f.level[j] = b.picked().mid
		})
		if f.level[j] > 0 {
			ls = append(ls, f.level[j])
		}
	}
	sort.Float64s(ls)
	if len(ls) == 0 {
		return math.NaN()
	}
	return ls[len(ls)/2]
}
