package draft

import (
	"math"
	"slices"
	"sort"

	"weirbook/analysis/export"
	"weirbook/analysis/lab"
	"weirbook/analysis/series"
)

// looks is how a tag's values behave.
type looks struct {
	n                      int
	p1, p5, p50, p95, p999 float64
	min, max               float64
	whole                  float64 // share of whole numbers
	distinct               int     // distinct values, counted to 50
	rising                 float64 // share of steps that do not fall, of those that change
	gain                   float64 // rise from first to last over the largest value
	still                  float64 // share of steps without change
	cadence                float64 // s
	ragged                 float64 // share of steps that are not the cadence
	perDay                 float64 // readings per day between first and last
	words                  bool    // states in words
	limits                 bool    // results with < or >
	fills                  int
	sameHour               bool    // all at one time of day
	stillSoon              float64 // share of steps without change, of those well short of the heartbeat
	edge                   bool    // changes over such steps begin at a smallest one: a deadband
	deadband               float64 // a small change between stored values; 0 if not known
	heartbeat              float64 // s, the longest usual step
}

func look(t export.TagInfo, s *series.Series) looks {
	l := looks{cadence: t.Cadence, limits: t.Limits > 0, p50: math.NaN(), min: math.NaN(), max: math.NaN()}
	for _, w := range t.Words {
		if m, _ := lab.Of(w.Text); m.Below() || m == lab.TooMany { // a result, and no state
			l.limits = true
			continue
		}
		if w.N*2 > t.Rows {
			l.words = true
		}
	}
	if s == nil {
		return l
	}
	var v []float64
	var changes, up, steps, ragged int
	prev := math.NaN()
	var prevT int64
	l.sameHour = s.Len() > 0
	seen := map[float64]bool{}
	var gaps, jumps []float64
	for i := range s.T {
		if s.F[i]&series.SuspectFill != 0 {
			l.fills++
		}
		if !s.Usable(i) {
			continue
		}
		x := s.V[i]
		v = append(v, x)
		if len(seen) < 50 {
			seen[x] = true
		}
		if s.T[i]%86_400_000 != s.T[0]%86_400_000 {
			l.sameHour = false
		}
		if !math.IsNaN(prev) {
			steps++
			if x != prev {
				changes++
				if x > prev {
					up++
				}
			}
			gaps = append(gaps, float64(s.T[i]-prevT)/1000)
			jumps = append(jumps, math.Abs(x-prev))
			if d := float64(s.T[i]-prevT) / 1000; math.Abs(d-t.Cadence) > 0.2*t.Cadence {
				ragged++
			}
		}
		prev, prevT = x, s.T[i]
	}
	l.n = len(v)
	if l.n == 0 {
		return l
	}
	first, last := v[0], v[l.n-1]
	if d := float64(s.T[s.Len()-1]-s.T[0]) / 86_400_000; d > 0 {
		l.perDay = float64(l.n) / d
	}
	l.distinct = len(seen)
	if steps > 0 {
		l.still = float64(steps-changes) / float64(steps)
		l.ragged = float64(ragged) / float64(steps)
	}
	if changes > 0 {
		l.rising = float64(up) / float64(changes)
	}
	l.exception(gaps, jumps)
	sort.Float64s(v)
	q := func(p float64) float64 { return v[int(p*float64(l.n-1)+0.5)] }
	l.p1, l.p5, l.p50, l.p95, l.p999 = q(0.01), q(0.05), q(0.5), q(0.95), q(0.999)
	l.min, l.max = v[0], v[l.n-1]
	l.gain = (last - first) / math.Max(math.Abs(l.max), 1e-9)
	if t.Numbers > 0 {
		l.whole = float64(t.Whole) / float64(t.Numbers)
	}
	return l
}

// exception looks at how the stored points lie: steps in s, and the changes over them.
func (l *looks) exception(gaps, jumps []float64) {
	if len(gaps) < 20 {
		return
	}
	sorted := slices.Clone(gaps)
	sort.Float64s(sorted)
	l.heartbeat = sorted[len(sorted)*98/100]
	soon, still := 0, 0
	var moved, short []float64
	for i, d := range gaps {
		if d < 0.9*l.heartbeat {
			soon++
			short = append(short, jumps[i])
			if jumps[i] == 0 {
				still++
			}
		}
		if jumps[i] > 0 {
			moved = append(moved, jumps[i])
		}
	}
	if soon > 0 {
		l.stillSoon = float64(still) / float64(soon)
	}
	if n := len(short); n > 0 {
		sort.Float64s(short)
		l.edge = short[n/50] >= 0.3*short[n/4]
	}
	if len(moved) > 0 {
		sort.Float64s(moved)
		l.deadband = moved[len(moved)/10]
	}
	if sorted[len(sorted)*95/100] < 0.9*l.heartbeat && sorted[len(sorted)*90/100] <= sorted[len(sorted)/2]*1.5 {
		l.heartbeat = 0 // gaps, and no heartbeat
	}
}

// likeORP: whole numbers, most of them between 200 and 900.
func (l looks) likeORP() bool {
	return l.whole > 0.9 && l.p5 >= 150 && l.p95 <= 950 && l.p50 >= 200 && l.p50 <= 900 && l.distinct >= 5
}

// likeCounter: it only rises, but for a few drops, and rises by much.
func (l looks) likeCounter() bool {
	return l.n >= 10 && l.rising > 0.97 && l.still < 0.9 && (l.gain > 0.001 || l.distinct >= 10) && l.max > l.min
}

// likeState: two or three values, or words.
func (l looks) likeState() bool {
	return l.words || l.n >= 4 && l.distinct <= 3 && l.whole == 1 && l.max <= 3 && l.min >= 0
}

// likeGrab: a few results a day, or results with < and >.
func (l looks) likeGrab() bool {
	return l.limits || l.n > 0 && l.perDay > 0 && l.perDay <= 13 && l.cadence >= 3600 || l.n == 1
}
