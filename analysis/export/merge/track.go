package merge

import (
	"math"
	"slices"
	"strconv"
	"time"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/rows"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/series"
)

// LateMax is how many readings out of order are gathered before they are
// sorted and condensed into a run of their own. Each tag of a shuffled file holds
// as many, of 40 bytes.
const LateMax = 1 << 15

// placed is a reading with its place.
type placed struct {
	reading
	file, line int
}

// Track takes one tag's readings out of one file, in the file's order, and
// keeps them as runs.
type Track struct {
	Spec  *cell.TagSpec
	file  int // index in reader.files
	Led   ledger.LedgerRow
	cond  condenser
	back  *backward // takes the place of cond where the newest stands first
	Main  Run
	pend  placed // the last in-order reading: not condensed yet, a duplicate may follow
	has   bool
	last  int64
	late  []placed
	NLate int
	Runs  []*Run // sorted runs of late readings

	amb   []placed // readings of a repeated hour
	hours scattered
	clock stamp.Clock
	time  *stamp.TimeReader // of the file

	// times of the first readings, for the cadence
	Early []int64

	done     bool
	setAside func(placed, ledger.Reason)
	alike    func(placed)        // of a sampled tag: the file holds this result twice
	collect  func(placed)        // second reading of a file: nothing is kept, all is told
	samples  map[int64][]reading // of a sampled tag, by the time as it stands; see apart
	// BackMidnights counts midnights that stand behind the last hours of their own date.
	BackMidnights int
	Passes        []HourPass     // of repeated hours of which the file holds one
	second        map[int64]bool // clock changes whose only pass, at the file's beginning, is the second
	ending        bool           // no reading follows
	OneHour       int            // repeated hours of which one pass was met
}

// EarlyReadings is how many of a tag's first readings in a file tell its cadence.
const EarlyReadings = 256

func newTrack(spec *cell.TagSpec, of *Table) *Track {
	t := &Track{Spec: spec, file: of.Index, last: math.MinInt64, time: &of.F.Time, second: of.SecondPasses}
	t.cond = condenser{how: spec.How, out: &t.Main}
	if of.F.Newest {
		t.back, t.last = &backward{how: spec.How, out: &t.Main}, math.MaxInt64
	}
	return t
}

// follows says whether a reading at ms comes behind the last one in the file's
// order of time.
func (t *Track) follows(ms int64) bool {
	if t.back != nil {
		return ms < t.last
	}
	return ms > t.last
}

// condense takes a reading on for the main run.
func (t *Track) condense(x reading) {
	if t.back != nil {
		t.back.feed(x)
	} else {
		t.cond.feed(x)
	}
}

// addColumn takes the readings of one block that stand as a column, each in a
// minute of its own; it gives false, and does nothing, when they do not simply
// follow what came before.
func (t *Track) addColumn(s *rows.Seg, at *rows.LineCounter) bool {
	n := len(s.Pt)
	if t.collect != nil || !t.follows(s.Pt[0]) || len(t.amb) > 0 || t.Spec.Sampled() {
		return false
	}
	if k := EarlyReadings - len(t.Early); k > 0 {
		t.Early = append(t.Early, s.Pt[:min(k, n)]...)
	}
	if t.has {
		t.condense(t.pend.reading)
	}
	if t.back != nil {
		t.back.column(s.Pt[:n-1], s.Pv[:n-1])
	} else {
		t.cond.column(s.Pt[:n-1], s.Pv[:n-1])
	}
	t.pend, t.has, t.last = placed{reading{s.Pt[n-1], s.Pv[n-1], 0}, t.file, at.Line(s.Poff[n-1])}, true, s.Pt[n-1]
	return true
}

// add takes the readings of one block, whose lines at tells.
func (t *Track) add(recs []rows.Rec, at *rows.LineCounter, sorted, sparse, twice bool) {
	if len(t.Early) < EarlyReadings {
		for i := range recs {
			if len(t.Early) == EarlyReadings {
				break
			}
			t.Early = append(t.Early, recs[i].T)
		}
	}
	n := len(recs)
	if sorted && !twice && t.collect == nil && t.follows(recs[0].T) && len(t.amb) == 0 && !t.Spec.Sampled() {
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
				t.condense(reading{recs[i].T, recs[i].V, recs[i].F})
			}
		}
		l := &recs[n-1]
		t.pend, t.has, t.last = placed{reading{l.T, l.V, l.F}, t.file, at.Line(l.Off)}, true, l.T
		return
	}
	for i := range recs {
		r := &recs[i]
		t.one(placed{reading{r.T, r.V, r.F}, t.file, at.Line(r.Off)})
	}
}

// apart sets results of one time that differ a millisecond apart each: replicates, and
// the bottles of a day of which a sheet gives the date alone, are all results. Those
// that are alike stand at one time and count once, as rows do that are written twice.
func (t *Track) apart(p *placed) (moved bool) {
	if t.samples == nil {
		t.samples = map[int64][]reading{}
	}
	at := p.t
	for _, x := range t.samples[at] {
		if same(x, p.reading) {
			p.t = x.t
			return x.t != at
		}
	}
	p.t += int64(len(t.samples[at]))
	t.samples[at] = append(t.samples[at], p.reading)
	return p.t != at
}

func (t *Track) one(p placed) {
	if p.f&rows.FTwice != 0 {
		if n := len(t.amb); n > 0 && lex.AbsDiff(p.t, t.amb[n-1].t) > 4*3600_000 {
			t.separateHours()
		}
		t.amb = append(t.amb, p)
		return
	}
	if len(t.amb) > 0 {
		t.separateHours()
	}
	t.accept(p)
}

func (t *Track) accept(p placed) {
	if t.Spec.Sampled() && t.apart(&p) {
		if t.late = append(t.late, p); len(t.late) == LateMax { // not late, but out of the file's order
			t.flushLate()
		}
		return
	}
	switch {
	case t.follows(p.t):
		if t.has {
			t.emit(t.condense, t.pend)
		}
		t.pend, t.has, t.last = p, true, p.t
	case p.t == t.last:
		lost, why := p, ledger.Repeated
		if t.alike != nil {
			t.alike(p)
		}
		if !same(t.pend.reading, p.reading) {
			why = ledger.Conflicting
			if rank(p.f) < rank(t.pend.f) {
				lost, t.pend = t.pend, p
			}
		}
		t.drop(lost, why)
	default:
		if back := t.last - p.t; back > halfDay && back < 2*halfDay && t.time.Midnight(p.t) {
			t.BackMidnights++
		}
		p.f |= series.Late
		t.Led.Late++
		t.NLate++
		t.late = append(t.late, p)
		if len(t.late) == LateMax {
			t.flushLate()
		}
	}
}

const halfDay = 12 * 60 * lex.Minute

// OpeningMidnight says whether the main run holds a midnight that follows the hours
// before it.
func (t *Track) OpeningMidnight() bool {
	for i := 1; i < len(t.Main.T); i++ {
		if ms := t.Main.T[i]; ms-t.Main.T[i-1] < halfDay && t.time.Midnight(ms) {
			return true
		}
	}
	return false
}

// emit hands a reading to a condenser, or to whoever collects single ones.
func (t *Track) emit(feed func(reading), p placed) {
	if t.collect != nil {
		t.collect(p)
		return
	}
	feed(p.reading)
}

// drop moves a reading from used to set aside.
func (t *Track) drop(p placed, why ledger.Reason) {
	t.Led.Used--
	t.Led.Flag(p.f, -1)
	t.Led.Aside[why]++
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
func (t *Track) flushLate() {
	if len(t.late) == 0 {
		return
	}
	SortPlaced(t.late)
	n := len(t.late)
	r := &Run{T: make([]int64, 0, n), v: make([]float64, 0, n), f: make([]series.Flag, 0, n)}
	c := condenser{how: t.Spec.How, out: r}
	for i := range t.late {
		p := t.late[i]
		if i > 0 && p.t == t.late[i-1].t {
			// The first of a time is the one kept; compare with that.
			k := i - 1
			for k > 0 && t.late[k-1].t == p.t {
				k--
			}
			why := ledger.Repeated
			if !same(t.late[k].reading, p.reading) {
				why = ledger.Conflicting
			} else if t.alike != nil {
				t.alike(p)
			}
			t.drop(p, why)
			continue
		}
		t.emit(c.feed, p)
	}
	c.finish()
	t.Led.Condensed += c.condensed
	if len(r.T) < n/2 { // much was condensed
		r.T, r.v, r.f = slices.Clone(r.T), slices.Clone(r.v), slices.Clone(r.f)
	}
	if len(r.T) > 0 {
		t.Runs = append(t.Runs, r)
	}
	t.late = t.late[:0]
}

// Finish closes the track at the end of its file.
func (t *Track) Finish() {
	if t.done {
		return
	}
	t.done = true
	t.ending = true
	if len(t.amb) > 0 {
		t.separateHours()
	}
	if t.has {
		t.emit(t.condense, t.pend)
		t.has = false
	}
	if t.back != nil {
		t.back.close(nil)
		t.Led.Condensed += t.back.condensed
	}
	t.cond.finish()
	t.Led.Condensed += t.cond.condensed
	t.flushLate()
	t.late = nil
	if n := len(t.Main.T); t.Main.like != nil && t.back == nil { // let go of columns it grew out of
		t.Main.T = t.Main.like.T[:n:n]
	}
}

// HourPass is one pass of a repeated hour, where a file holds only one.
type HourPass struct {
	Change       int64 // when the clock is set back, Unix seconds
	Begins, Ends bool  // no reading of the tag stands before it in the file, none behind it
	readings     []placed
}

// Continues says whether this pass steps back behind another file's and differs from it:
// that one is the first, then, and this the second.
func (h *HourPass) Continues(o *HourPass) bool {
	if h.Change != o.Change || !h.Begins || !o.Ends || len(h.readings) == 0 || len(o.readings) == 0 || h.readings[0].t > o.readings[len(o.readings)-1].t {
		return false
	}
	for _, p := range h.readings {
		for _, q := range o.readings {
			if p.t == q.t && !same(p.reading, q.reading) {
				return true
			}
		}
	}
	return false
}

// separateHours decides which pass of a repeated hour its readings belong to: by
// the order of the rows. Times that run once through the hour and then step
// back once are the two passes. Times that never step back are one pass, taken
// as the first and reported, if no other file holds that. Anything else cannot be
// told apart.
func (t *Track) separateHours() {
	amb := t.amb
	t.amb = nil
	down := t.hourRunsDown(amb)
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
			if p.f&rows.FHole != 0 {
				continue
			}
			p.f &^= rows.FTwice
			t.drop(p, ledger.RepeatedHour)
		}
		return
	}
	pass := HourPass{Change: t.clock.ChangeAfter(amb[0].t), Begins: !t.has, Ends: t.ending}
	if breaks == 0 && pass.Begins && t.second[pass.Change] {
		at = 0
	}
	for i, p := range amb {
		if p.f&rows.FHole != 0 {
			continue
		}
		p.f &^= rows.FTwice
		pass.readings = append(pass.readings, p)
		second := i >= at
		if down && breaks == 1 {
			second = i < at
		}
		if second {
			p.t += t.clock.Later(p.t)
		}
		t.accept(p)
	}
	if len(pass.readings) > 0 && breaks == 0 && at > 0 {
		t.OneHour++
		if !down {
			t.Passes = append(t.Passes, pass)
		}
	}
}

// hourRunsDown says whether the readings of a repeated hour stand newest first.
func (t *Track) hourRunsDown(amb []placed) bool {
	if t.has {
		return t.last > amb[0].t
	}
	ups := 0
	for i := 1; i < len(amb); i++ {
		if amb[i].t > amb[i-1].t {
			ups++
		}
	}
	return len(amb) > 1 && 2*ups < len(amb)-1
}

// text of a reading whose row is no longer at hand.
func (p placed) text() string {
	v := "no number"
	if !math.IsNaN(p.v) {
		v = strconv.FormatFloat(p.v, 'g', -1, 64)
	}
	return time.UnixMilli(p.t).UTC().Format("2006-01-02T15:04:05.999Z") + " " + v
}

// Groups cuts the track's readings where it is silent for longer than silence (ms).
func (t *Track) Groups(silence int64) []series.Group {
	out := series.Groups(t.Main.T, silence)
	for _, x := range t.Runs {
		out = append(out, series.Groups(x.T, silence)...)
	}
	return out
}
