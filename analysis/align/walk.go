package align

import (
	"math"
	"sort"

	"weirbook/analysis/series"
)

// piece is a span over which the signal is known: a straight line from v0 at t0
// to v1 at t1 (equal for a hold). Times in Unix milliseconds, [t0, t1).
type piece struct {
	t0, t1    int64
	v0, v1    float64
	uncertain bool // rests on a reading of uncertain quality
	bridged   bool // unusable readings were passed over, or held up to
}

// at gives the value at t, t0 <= t <= t1. The ends come out bit for bit.
func (p *piece) at(t int64) float64 {
	switch {
	case t == p.t0 || p.v0 == p.v1:
		return p.v0
	case t == p.t1:
		return p.v1
	}
	return p.v0 + float64((p.v1-p.v0)*(float64(t-p.t0)/float64(p.t1-p.t0)))
}

// walker hands out the pieces of one series in time order. It is a small value:
// copying it remembers a place.
type walker struct {
	s      *series.Series
	mask   series.Flag
	maxGap int64
	hold   bool
	stop   bool
	from   int // reading that starts cur
	i      int // usable reading that starts the next piece; len(T) when done
	cur    piece
	done   bool
}

// walk starts at the first piece; w.done is set when there is none.
func walk(s *series.Series, r Rule) walker {
	w := walker{s: s, mask: r.mask(), maxGap: r.MaxGap.Milliseconds(), hold: r.holds(), stop: r.stops()}
	if !r.spreads() || w.maxGap <= 0 {
		w.done = true
		return w
	}
	w.i = w.usableFrom(0)
	w.next()
	return w
}

func (w *walker) usable(i int) bool {
	v := w.s.V[i]
	return w.s.F[i]&w.mask == 0 && v-v == 0 // neither NaN nor infinite
}

func (w *walker) usableFrom(i int) int {
	for i < len(w.s.T) && !w.usable(i) {
		i++
	}
	return i
}

// next moves to the following piece; pieces are never empty.
func (w *walker) next() {
	t, n, p := w.s.T, len(w.s.T), &w.cur
	for w.i < n {
		i := w.i
		j := w.usableFrom(i + 1)
		w.i, w.from = j, i
		p.t0, p.v0, p.v1 = t[i], w.s.V[i], w.s.V[i]
		p.bridged, p.uncertain = j != i+1, w.s.F[i]&series.Uncertain != 0
		switch {
		case w.hold:
			// A value holds until the next reading that says something else,
			// the last one of all for as long as values are believed to hold.
			end := int64(math.MaxInt64)
			if w.stop && i+1 < n {
				end = t[i+1]
				p.bridged = false
			} else if j < n {
				end = t[j]
			}
			p.t1 = min(end, t[i]+w.maxGap)
		case w.stop && i+1 < n && j != i+1:
			if t[i+1]-t[i] > w.maxGap {
				continue
			}
			p.t1 = t[i+1]
		case j < n && t[j]-t[i] <= w.maxGap:
			p.t1, p.v1 = t[j], w.s.V[j]
			p.uncertain = p.uncertain || w.s.F[j]&series.Uncertain != 0
		default:
			continue // too far, or nothing follows: not known
		}
		return
	}
	w.done = true
}

// far is how many readings ahead a place must lie to be searched for, not
// walked to.
const far = 16

// seek moves forward to the first piece that ends after t.
func (w *walker) seek(t int64) {
	for !w.done && w.cur.t1 <= t {
		if w.i+far < len(w.s.T) && w.s.T[w.i+far] <= t {
			w.jump(t)
		}
		w.next()
	}
}

// jump makes the next piece the one that starts at the last usable reading at
// or before t: pieces do not overlap, so all before it end by t. It never goes
// back.
func (w *walker) jump(t int64) {
	rest := w.s.T[w.i:]
	i := w.i + sort.Search(len(rest), func(k int) bool { return rest[k] > t }) - 1
	for i > w.i && !w.usable(i) {
		i--
	}
	w.i = max(w.i, i)
}

// goOn moves to the piece that starts at the usable reading i, or the next there
// is.
func (w *walker) goOn(i int) {
	w.i = i
	w.next()
}

// At gives the signal's value at t (Unix milliseconds), NaN where it is not
// known. A reading at t itself is taken as it stands, also when nothing near
// enough follows it.
func At(s *series.Series, r Rule, t int64) float64 {
	i := s.Find(t)
	w := walker{s: s, mask: r.mask(), maxGap: r.MaxGap.Milliseconds(), hold: r.holds(), stop: r.stops()}
	if i < s.Len() && s.T[i] == t {
		if w.usable(i) {
			return s.V[i]
		}
		if w.stop {
			return math.NaN()
		}
	}
	if !r.spreads() {
		return math.NaN()
	}
	for i--; i >= 0 && t-s.T[i] <= w.maxGap && !w.usable(i); i-- {
	}
	if i < 0 || t-s.T[i] > w.maxGap || !w.usable(i) {
		return math.NaN()
	}
	w.i = i
	w.next()
	if w.done || w.cur.t0 > t || w.cur.t1 <= t {
		return math.NaN()
	}
	return w.cur.at(t)
}
