package merge

import (
	"math"
	"slices"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/rows"
	"weirbook/analysis/series"
)

// unusableRead are the flags that the reader itself sets on values it keeps out
// of a condensed mean.
const unusableRead = series.Bad | series.OutsideSpan | series.SuspectFill

// reading is one reading on its way into a run.
type reading struct {
	t int64
	v float64
	f series.Flag
}

func (r reading) usable() bool { return r.f&unusableRead == 0 && !math.IsNaN(r.v) }

// Run is a stretch of readings in strictly increasing time.
//
// Tags of one table are mostly read at the same times. A run keeps its times in
// another's column for as long as they are the same: t then ends where the run
// does, so that the first time of its own moves it to a column of its own.
type Run struct {
	T    []int64
	like *Run // whose times these are so far; nil: its own
	v    []float64
	f    []series.Flag // shorter than t: the rest is 0

	least, greatest float64 // of the usable values, where ranged
	ranged          bool
}

// Values are the readings, in order of time.
func (r *Run) Values() []float64 { return r.v }

func (r *Run) push(x reading) {
	if n := len(r.T); r.like != nil && len(r.like.T) > n && r.like.T[n] == x.t {
		r.T = r.like.T[: n+1 : n+1]
	} else {
		r.ownTimes(1)
		r.T = append(r.T, x.t)
	}
	r.v = append(r.v, x.v)
	if x.usable() {
		r.reach(x.v, x.v)
	}
	if x.f != 0 {
		r.padFlags(len(r.T) - 1)
		r.f = append(r.f, x.f)
	} else if len(r.f) > 0 && len(r.f) == len(r.T)-1 {
		r.f = append(r.f, 0)
	}
}

// ownTimes moves the times to a column of their own, with room for as many as there is
// for values: a row that one tag lacks must not cost growing step by step.
func (r *Run) ownTimes(more int) {
	if r.like == nil {
		return
	}
	r.like = nil
	t := make([]int64, len(r.T), max(cap(r.v), len(r.T)+more))
	copy(t, r.T)
	r.T = t
}

func (r *Run) padFlags(n int) {
	if len(r.f) >= n && cap(r.f) > 0 {
		return
	}
	fresh := false
	if room := max(n, cap(r.v)); cap(r.f) < room {
		fresh = true
		f := make([]series.Flag, len(r.f), room)
		copy(f, r.f)
		r.f = f
	}
	old := len(r.f)
	r.f = r.f[:n]
	if !fresh { // untouched memory stays untouched
		clear(r.f[old:])
	}
}

func (r *Run) flag(i int) series.Flag {
	if i < len(r.f) {
		return r.f[i]
	}
	return 0
}

func (r *Run) at(i int) reading { return reading{r.T[i], r.v[i], r.flag(i)} }

// condenser turns readings in strictly increasing time into a run with at most
// two readings a minute (more only where a state or counter really changes).
//
// A minute with two or more usable readings becomes one reading, flagged
// Condensed: the mean over that minute of the straight line through them
// (continuous; the line from a reading of the minute before and to one of the
// minute after is followed when it is at most a minute old, and a bad reading
// breaks it), standing at the middle of the minute, or the mean of the levels
// held (on-change), standing at the minute's start. Unusable readings stay out
// of the mean. A minute with one reading keeps it as it is.
type condenser struct {
	how cell.Condensing
	out *Run

	min       int64 // the open minute
	n, use    int   // readings and usable ones in it
	first     [2]reading
	firstUse  reading
	firstBad  reading
	flags     series.Flag // of the usable ones
	badFlags  series.Flag
	ref, area float64 // area is of value - ref, in value·ms
	weight    float64
	sum       float64 // of value - ref

	prev   reading // the last one fed
	have   bool
	after  reading // on-change: what holds from the next minute's start
	afterN bool

	condensed int // readings that went into a minute's mean or repeated a state
}

func (c *condenser) feed(x reading) {
	switch c.how {
	case cell.KeepAll:
		c.out.push(x)
		return
	case cell.KeepChange:
		if c.have && lex.FloorDiv(x.t, lex.Minute) == c.min && x.f == c.prev.f && x.v == c.prev.v {
			c.condensed++
			return
		}
		c.min, c.prev, c.have = lex.FloorDiv(x.t, lex.Minute), x, true
		c.out.push(x)
		return
	case cell.KeepTotal:
		c.feedTotal(x)
		return
	}
	m := lex.FloorDiv(x.t, lex.Minute)
	usable := x.usable()
	switch {
	case !c.have || !c.prev.usable():
		if c.n > 0 && m != c.min {
			c.close()
		}
	case c.how == cell.KeepLevel:
		if m == c.min {
			c.level(c.prev.t, x.t)
		} else {
			c.level(c.prev.t, (c.min+1)*lex.Minute)
			c.close()
			c.open(m, c.prev.v)
			c.level(m*lex.Minute, x.t)
		}
	case usable && x.t-c.prev.t <= lex.Minute:
		if m == c.min {
			c.line(c.prev.t, c.prev.v, x.t, x.v)
		} else {
			edge := m * lex.Minute
			ve := c.prev.v + (x.v-c.prev.v)*(float64(edge-c.prev.t)/float64(x.t-c.prev.t))
			c.line(c.prev.t, c.prev.v, edge, ve)
			c.close()
			c.open(m, x.v)
			c.line(edge, ve, x.t, x.v)
		}
	default:
		if c.n > 0 && m != c.min {
			c.close()
		}
	}
	if c.n == 0 && c.weight == 0 {
		c.open(m, x.v)
	}
	if c.n < 2 {
		c.first[c.n] = x
	}
	c.n++
	if usable {
		if c.use == 0 {
			c.firstUse = x
		}
		c.use++
		c.flags |= x.f
		c.sum += x.v - c.ref
	} else {
		if c.n-c.use == 1 {
			c.firstBad = x
		}
		c.badFlags |= x.f
	}
	c.prev, c.have = x, true
}

func (c *condenser) open(m int64, ref float64) {
	c.min, c.n, c.use, c.flags, c.badFlags = m, 0, 0, 0, 0
	c.area, c.weight, c.sum = 0, 0, 0
	if math.IsNaN(ref) {
		ref = 0
	}
	c.ref = ref
}

func (c *condenser) line(t0 int64, v0 float64, t1 int64, v1 float64) {
	w := float64(t1 - t0)
	c.area += ((v0 - c.ref) + (v1 - c.ref)) / 2 * w
	c.weight += w
}

func (c *condenser) level(t0, t1 int64) {
	w := float64(t1 - t0)
	c.area += (c.prev.v - c.ref) * w
	c.weight += w
}

// close writes the open minute.
func (c *condenser) close() {
	if c.n == 0 {
		c.weight = 0
		return
	}
	dropped := false
	switch {
	case c.n == 1:
		c.write(c.first[0])
	case c.use >= 2:
		x := reading{t: c.min*lex.Minute + lex.Minute/2, v: c.ref + c.area/c.weight, f: c.flags | series.Condensed}
		if c.weight == 0 { // bad readings between them all
			x.v = c.ref + c.sum/float64(c.use)
		}
		if c.how == cell.KeepLevel {
			x.t = c.min * lex.Minute
		}
		c.write(x)
		c.condensed += c.n
		dropped = true
	case c.n == 2:
		c.write(c.first[0])
		c.write(c.first[1])
	case c.use == 1:
		a, b := c.firstUse, c.firstBad
		if b.t < a.t {
			a, b = b, a
		}
		c.write(a)
		c.write(b)
		c.condensed += c.n - 2
		dropped = true
	default:
		x := c.firstBad
		x.f |= c.badFlags | series.Condensed
		c.write(x)
		c.condensed += c.n - 1
	}
	if dropped && c.how == cell.KeepLevel {
		c.after, c.afterN = reading{(c.min + 1) * lex.Minute, c.prev.v, c.prev.f | series.Condensed}, true
	}
	c.n, c.weight = 0, 0
}

// write puts out a reading, before it what an on-change tag holds from the end
// of a condensed minute.
func (c *condenser) write(x reading) {
	if c.afterN {
		c.afterN = false
		if c.after.t < x.t {
			c.out.push(c.after)
		}
	}
	c.out.push(x)
}

func (c *condenser) feedTotal(x reading) {
	m := lex.FloorDiv(x.t, lex.Minute)
	if c.have && m == c.min && x.f == c.prev.f && x.v >= c.prev.v {
		if c.n > 0 {
			c.condensed++
		}
		c.prev, c.n = x, 1
		return
	}
	if c.n > 0 { // the last of the minute, or of the climb, is still due
		c.out.push(c.prev)
	}
	c.out.push(x)
	c.min, c.prev, c.have, c.n = m, x, true, 0
}

// finish writes what is open. The condenser can be fed no more.
func (c *condenser) finish() {
	if c.how == cell.KeepTotal {
		if c.n > 0 {
			c.out.push(c.prev)
		}
		return
	}
	if c.n > 0 {
		if c.how == cell.KeepLevel && c.prev.usable() {
			c.level(c.prev.t, (c.min+1)*lex.Minute)
		}
		c.close()
	}
	if c.afterN {
		c.afterN = false
		c.out.push(c.after)
	}
}

// bulk feeds readings of which no two share a minute, in strictly increasing
// time and later than all before. It gives the same run as feed, faster.
func (c *condenser) bulk(recs []rows.Rec) {
	n := len(recs)
	switch {
	case c.how == cell.KeepAll:
		c.out.bulk(recs)
		return
	case n < 3 || !c.alike(recs[0].T):
		for i := range recs {
			c.feed(reading{recs[i].T, recs[i].V, recs[i].F})
		}
		return
	}
	c.close()
	c.out.bulk(recs[:n-2])
	c.alone(reading{recs[n-2].T, recs[n-2].V, recs[n-2].F})
	c.feed(reading{recs[n-1].T, recs[n-1].V, recs[n-1].F})
}

// column is bulk for plain readings that stand as columns.
func (c *condenser) column(ts []int64, vs []float64) {
	n := len(ts)
	switch {
	case c.how == cell.KeepAll:
		c.out.column(ts, vs)
		return
	case n < 3 || !c.alike(ts[0]):
		for i, t := range ts {
			c.feed(reading{t, vs[i], 0})
		}
		return
	}
	c.close()
	c.out.column(ts[:n-2], vs[:n-2])
	c.alone(reading{ts[n-2], vs[n-2], 0})
	c.feed(reading{ts[n-1], vs[n-1], 0})
}

// alike says whether a reading at t, and those behind it that have a minute each,
// are kept as they are, and so is what is open.
func (c *condenser) alike(t int64) bool {
	return (c.how == cell.KeepLine || c.how == cell.KeepLevel) && !c.afterN && (c.n == 0 || c.n == 1 && lex.FloorDiv(t, lex.Minute) != c.min)
}

// alone opens the minute of a reading as feed would have left it, but for the
// line or level that leads to it: it counts only where more readings follow in
// the same minute.
func (c *condenser) alone(x reading) {
	c.open(lex.FloorDiv(x.t, lex.Minute), x.v)
	c.first[0], c.n = x, 1
	if x.usable() {
		c.firstUse, c.use, c.flags, c.sum = x, 1, x.f, x.v-c.ref
	} else {
		c.firstBad, c.badFlags = x, x.f
	}
	c.prev, c.have = x, true
}

// column appends plain readings.
func (o *Run) column(ts []int64, vs []float64) {
	n := len(o.T)
	end := n + len(ts)
	o.v = append(o.v, vs...)
	o.reachAll(vs)
	if o.like != nil && len(o.like.T) >= end && slices.Equal(o.like.T[n:end], ts) {
		o.T = o.like.T[:end:end]
		return
	}
	o.ownTimes(len(ts))
	o.T = append(o.T, ts...)
}

// bulk appends readings.
func (o *Run) bulk(recs []rows.Rec) {
	n := len(o.T)
	end := n + len(recs)
	o.v = slices.Grow(o.v, len(recs))[:end]
	v := o.v[n:]
	from, span := o.within()
	for i := range recs {
		if x := recs[i].V; math.Float64bits(x)-from > span && recs[i].F&unusableRead == 0 && !math.IsNaN(x) {
			o.reach(x, x)
			from, span = o.within()
		}
	}
	var any series.Flag
	if o.sameTimes(recs) {
		o.T = o.like.T[:end:end]
		for i := range recs {
			v[i] = recs[i].V
			any |= recs[i].F
		}
	} else {
		o.ownTimes(len(recs))
		o.T = slices.Grow(o.T, len(recs))[:end]
		t := o.T[n:]
		for i := range recs {
			r := &recs[i]
			t[i], v[i] = r.T, r.V
			any |= r.F
		}
	}
	if any == 0 {
		return // flags follow when one comes
	}
	o.padFlags(end)
	for i := range recs {
		o.f[n+i] = recs[i].F
	}
}

// sameTimes says whether the next readings stand at the times of the run that
// this one is like.
func (o *Run) sameTimes(recs []rows.Rec) bool {
	n := len(o.T)
	if o.like == nil || len(o.like.T) < n+len(recs) {
		return false
	}
	t := o.like.T[n : n+len(recs)]
	for i := range recs {
		if t[i] != recs[i].T {
			return false
		}
	}
	return true
}
