package export

import (
	"math"
	"slices"
	"strconv"
	"time"

	"weirbook/analysis/series"
)

// rec is one reading as a worker hands it over.
type rec struct {
	t   int64
	v   float64
	off uint32 // of its row in the block
	f   series.Flag
}

// Flags that only live between worker and track, in bits that package series
// does not use.
const (
	fTwice series.Flag = 1 << 15 // in a repeated hour; t is the first pass
	fHole  series.Flag = 1 << 13 // no reading, but a row of a repeated hour
)

// lateMax is how many readings out of order are gathered before they are
// sorted and condensed into a run of their own. Each tag of a shuffled file holds
// as many, of 40 bytes.
const lateMax = 1 << 15

// placed is a reading with its place.
type placed struct {
	reading
	file, line int
}

// track takes one tag's readings out of one file, in the file's order, and
// keeps them as runs.
type track struct {
	spec  *tagSpec
	file  int // index in reader.files
	led   LedgerRow
	cond  condenser
	back  *backward // takes the place of cond where the newest stands first
	main  run
	pend  placed // the last in-order reading: not condensed yet, a duplicate may follow
	has   bool
	last  int64
	late  []placed
	nLate int
	runs  []*run // sorted runs of late readings

	amb   []placed // readings of a repeated hour
	hours scattered
	clock clock

	// times of the first readings, for the cadence
	early []int64

	done     bool
	setAside func(placed, Reason)
	collect  func(placed) // second reading of a file: nothing is kept, all is told
	oneHour  int          // repeated hours of which one pass was met
}

// earlyReadings is how many of a tag's first readings in a file tell its cadence.
const earlyReadings = 256

func newTrack(spec *tagSpec, of *tableRuns) *track {
	t := &track{spec: spec, file: of.index, last: math.MinInt64}
	t.cond = condenser{how: spec.how, out: &t.main}
	if of.f.newest {
		t.back, t.last = &backward{how: spec.how, out: &t.main}, math.MaxInt64
	}
	return t
}

// follows says whether a reading at ms comes behind the last one in the file's
// order of time.
func (t *track) follows(ms int64) bool {
	if t.back != nil {
		return ms < t.last
	}
	return ms > t.last
}

// condense takes a reading on for the main run.
func (t *track) condense(x reading) {
	if t.back != nil {
		t.back.feed(x)
	} else {
		t.cond.feed(x)
	}
}

// addColumn takes the readings of one block that stand as a column, each in a
// minute of its own; it gives false, and does nothing, when they do not simply
// follow what came before.
func (t *track) addColumn(s *seg, at *lineCounter) bool {
	n := len(s.pt)
	if t.collect != nil || !t.follows(s.pt[0]) || len(t.amb) > 0 {
		return false
	}
	if k := earlyReadings - len(t.early); k > 0 {
		t.early = append(t.early, s.pt[:min(k, n)]...)
	}
	if t.has {
		t.condense(t.pend.reading)
	}
	if t.back != nil {
		t.back.column(s.pt[:n-1], s.pv[:n-1])
	} else {
		t.cond.column(s.pt[:n-1], s.pv[:n-1])
	}
	t.pend, t.has, t.last = placed{reading{s.pt[n-1], s.pv[n-1], 0}, t.file, at.line(s.poff[n-1])}, true, s.pt[n-1]
	return true
}

// add takes the readings of one block, whose lines at tells.
func (t *track) add(recs []rec, at *lineCounter, sorted, sparse, twice bool) {
	if len(t.early) < earlyReadings {
		for i := range recs {
			if len(t.early) == earlyReadings {
				break
			}
			t.early = append(t.early, recs[i].t)
		}
	}
	n := len(recs)
	if sorted && !twice && t.collect == nil && t.follows(recs[0].t) && len(t.amb) == 0 {
		if t.has {
			t.condense(t.pend.reading)
		}
		switch {
		case sparse && t.back != nil:
			t.back.bulk(recs[:n-1])
		case sparse:
			t.cond.bulk(recs[:n-1])
		default:
			for i := range recs[:n-1] {
				t.condense(reading{recs[i].t, recs[i].v, recs[i].f})
			}
		}
		l := &recs[n-1]
		t.pend, t.has, t.last = placed{reading{l.t, l.v, l.f}, t.file, at.line(l.off)}, true, l.t
		return
	}
	for i := range recs {
		r := &recs[i]
		t.one(placed{reading{r.t, r.v, r.f}, t.file, at.line(r.off)})
	}
}

func (t *track) one(p placed) {
	if p.f&fTwice != 0 {
		if n := len(t.amb); n > 0 && absDiff(p.t, t.amb[n-1].t) > 4*3600_000 {
			t.tellApart()
		}
		t.amb = append(t.amb, p)
		return
	}
	if len(t.amb) > 0 {
		t.tellApart()
	}
	t.take(p)
}

func (t *track) take(p placed) {
	switch {
	case t.follows(p.t):
		if t.has {
			t.emit(t.condense, t.pend)
		}
		t.pend, t.has, t.last = p, true, p.t
	case p.t == t.last:
		lost, why := p, Repeated
		if !same(t.pend.reading, p.reading) {
			why = Conflicting
			if rank(p.f) < rank(t.pend.f) {
				lost, t.pend = t.pend, p
			}
		}
		t.drop(lost, why)
	default:
		p.f |= series.Late
		t.led.Late++
		t.nLate++
		t.late = append(t.late, p)
		if len(t.late) == lateMax {
			t.flushLate()
		}
	}
}

// emit hands a reading to a condenser, or to whoever collects single ones.
func (t *track) emit(feed func(reading), p placed) {
	if t.collect != nil {
		t.collect(p)
		return
	}
	feed(p.reading)
}

// drop moves a reading from used to set aside.
func (t *track) drop(p placed, why Reason) {
	t.led.Used--
	t.led.flag(p.f, -1)
	t.led.Aside[why]++
	if t.setAside != nil {
		t.setAside(p, why)
	}
}

// same says whether two readings of one time agree.
func same(a, b reading) bool {
	return (a.v == b.v || math.IsNaN(a.v) && math.IsNaN(b.v)) && (a.f^b.f)&^series.Late == 0
}

// rank orders readings of one time: the better quality is kept, and of equal
// ones the one that stands first (files by name, then rows).
func rank(f series.Flag) int {
	switch {
	case f&series.Bad != 0:
		return 3
	case f&(series.SuspectFill|series.OutsideSpan) != 0:
		return 2
	case f&series.Uncertain != 0:
		return 1
	}
	return 0
}

// flushLate sorts what came out of order into a run of its own.
func (t *track) flushLate() {
	if len(t.late) == 0 {
		return
	}
	sortPlaced(t.late)
	n := len(t.late)
	r := &run{t: make([]int64, 0, n), v: make([]float64, 0, n), f: make([]series.Flag, 0, n)}
	c := condenser{how: t.spec.how, out: r}
	for i := range t.late {
		p := t.late[i]
		if i > 0 && p.t == t.late[i-1].t {
			// The first of a time is the one kept; compare with that.
			k := i - 1
			for k > 0 && t.late[k-1].t == p.t {
				k--
			}
			why := Repeated
			if !same(t.late[k].reading, p.reading) {
				why = Conflicting
			}
			t.drop(p, why)
			continue
		}
		t.emit(c.feed, p)
	}
	c.finish()
	t.led.Condensed += c.condensed
	if len(r.t) < n/2 { // much was condensed
		r.t, r.v, r.f = slices.Clone(r.t), slices.Clone(r.v), slices.Clone(r.f)
	}
	if len(r.t) > 0 {
		t.runs = append(t.runs, r)
	}
	t.late = t.late[:0]
}

// finish closes the track at the end of its file.
func (t *track) finish() {
	if t.done {
		return
	}
	t.done = true
	if len(t.amb) > 0 {
		t.tellApart()
	}
	if t.has {
		t.emit(t.condense, t.pend)
		t.has = false
	}
	if t.back != nil {
		t.back.close(nil)
		t.led.Condensed += t.back.condensed
	}
	t.cond.finish()
	t.led.Condensed += t.cond.condensed
	t.flushLate()
	t.late = nil
	if n := len(t.main.t); t.main.like != nil && t.back == nil { // let go of columns it grew out of
		t.main.t = t.main.like.t[:n:n]
	}
}

// tellApart decides which pass of a repeated hour its readings belong to: by
// the order of the rows. Times that run once through the hour and then step
// back once are the two passes. Times that never step back are one pass, taken
// as the first and reported. Anything else cannot be told apart.
func (t *track) tellApart() {
	amb := t.amb
	t.amb = nil
	down := false // the file runs backwards
	if t.has {
		down = t.last > amb[0].t
	} else if n := len(amb); n > 1 {
		ups := 0
		for i := 1; i < n; i++ {
			if amb[i].t > amb[i-1].t {
				ups++
			}
		}
		down = 2*ups < n-1
	}
	breaks, at := 0, len(amb)
	for i := 1; i < len(amb); i++ {
		d := amb[i].t - amb[i-1].t
		if down && d >= 0 || !down && d <= 0 {
			breaks++
			at = i
		}
	}
	if t.hours.note(&t.clock, amb) || breaks > 1 {
		for _, p := range amb {
			if p.f&fHole != 0 {
				continue
			}
			p.f &^= fTwice
			t.drop(p, RepeatedHour)
		}
		return
	}
	met := false
	for i, p := range amb {
		if p.f&fHole != 0 {
			continue
		}
		met = true
		p.f &^= fTwice
		second := i >= at
		if down && breaks == 1 {
			second = i < at
		}
		if second {
			p.t += t.clock.later(p.t)
		}
		t.take(p)
	}
	if met && breaks == 0 {
		t.oneHour++
	}
}

func absDiff(a, b int64) int64 {
	if a < b {
		return b - a
	}
	return a - b
}

// text of a reading whose row is no longer at hand.
func (p placed) text() string {
	v := "no number"
	if !math.IsNaN(p.v) {
		v = strconv.FormatFloat(p.v, 'g', -1, 64)
	}
	return time.UnixMilli(p.t).UTC().Format("2006-01-02T15:04:05.999Z") + " " + v
}
