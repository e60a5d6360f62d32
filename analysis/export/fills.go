package export

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/merge"
	"weirbook/analysis/series"
)

// A number that a system writes for "no value" is not always one of the usual ones. It
// shows by standing alone: the same number again and again, far from all others.

// What counts as standing alone. Our choice.
const (
	fillRepeats  = 3    // times, at least; fewer where it lies fillFar away
	fillShare    = 0.5  // of a tag's readings, at most
	fillDistance = 1.5  // from the others' lower twentieth, in widths of their middle nine tenths
	fillFar      = 10   // the same, of a number that stands once or twice
	fillOthers   = 8    // different values that the others have, at least
	fillSample   = 1000 // of the others that are looked at
)

// settleFills finds such numbers after a pass and asks about them. It gives true where
// there are any that are not readings: the table is read again, and they are flagged.
func (r *reader) settleFills(t *table, p *merge.PassResult) (again bool) {
	if t.src != nil && t.src.FillNumbers != nil || r.opt.FillNumbers != nil {
		return false
	}
	names := tagsOf(t)
	looks := make([]*fillLooks, len(names))
	merge.SideBySide(len(names), func(i int) { looks[i] = looksOf(t, names[i], p.Lows[names[i]]) })
	for _, l := range looks {
		if l == nil {
			continue
		}
		for _, v := range slices.Sorted(maps.Keys(l.lows)) {
			again = r.fill(t, l, v, l.lows[v], l.alone(v, l.lows[v])) || again
		}
		for _, v := range []float64{l.least, l.greatest} {
			if e, is := l.extreme(v); is != among {
				again = r.fill(t, l, l.spec.Raw(v), e.N, is) || again
			}
		}
		again = r.noFills(t, l) || again
	}
	return again
}

// settleMoreFills looks once more where there were some: one may hide another.
func (r *reader) settleMoreFills(t *table, p *merge.PassResult) (again bool) {
	return len(t.fills)+len(t.readings) > 0 && r.settleFills(t, p)
}

// standing is how a number stands among a tag's others.
type standing uint8

const (
	among   standing = iota
	apart            // it is asked about
	noValue          // it is taken for no value, and asked about
)

// fill asks about a number that stands apart, once.
func (r *reader) fill(t *table, l *fillLooks, v float64, n int, is standing) (again bool) {
	name := l.spec.Name
	if is == among || slices.Contains(t.fills[name], v) || slices.Contains(t.asked[name], v) {
		return false
	}
	side := "below"
	if w, _ := l.spec.Finish(v, 0); w > l.hi {
		side = "above"
	}
	text := fmt.Sprintf("tag %s: %v stands %s, far %s its other values (most lie from %.4g to %.4g): it is ", name, v, lex.Counted(n, "time", "times"), side, l.lo, l.hi)
	if is == noValue && !l.spec.InStatedSpan(v) {
		if t.fills == nil {
			t.fills = map[string][]float64{}
		}
		t.fills[name] = append(t.fills[name], v)
		text += "taken for a number that stands for no value, and flagged. Write fill_numbers = [%v] for the file under [[source]] in plant.toml if that is right, and fill_numbers = [] if it is a reading"
		again = true
	} else {
		if t.asked == nil {
			t.asked = map[string][]float64{}
		}
		t.asked[name] = append(t.asked[name], v)
		text += "used as a reading. Write fill_numbers = [%v] for the file under [[source]] in plant.toml if it stands for no value, and fill_numbers = [] if it is a reading"
	}
	r.ask(ledger.Warning, t.M.Name, 0, ledger.Question{Key: "fill_numbers", Values: []string{fmt.Sprint(v)}}, fmt.Sprintf(text, v))
	return again
}

// noFills finds usual fill numbers that do not stand apart from a tag's readings: 9999
// among flows of 9,000 to 11,000 is one of them. They are used, and asked about.
func (r *reader) noFills(t *table, l *fillLooks) (again bool) {
	name := l.spec.Name
	l.without(math.NaN())
	for _, w := range l.flagged {
		v := l.spec.Raw(w)
		if w < l.lo-(l.hi-l.lo)/2 || w > l.hi+(l.hi-l.lo)/2 || slices.Contains(t.fills[name], v) {
			continue
		}
		if t.readings == nil {
			t.readings = map[string][]float64{}
		}
		t.readings[name] = append(t.readings[name], v)
		r.ask(ledger.Warning, t.M.Name, 0, ledger.Question{Key: "fill_numbers", Values: []string{fmt.Sprint(v)}}, fmt.Sprintf("tag %s: %v, which systems write for no value, stands among its other values (most lie from %.4g to %.4g): it is used as a reading. Write fill_numbers = [%v] for the file under [[source]] in plant.toml if it stands for no value, and fill_numbers = [] if that is right",
			name, v, l.lo, l.hi, v))
		again = true
	}
	return again
}

// fillLooks is what a tag's values in a table tell about fill numbers, in the unit that
// the tag is kept in.
type fillLooks struct {
	spec            *cell.TagSpec
	runs            []*merge.Run
	lows            map[float64]int // low numbers as read, counted
	n               int             // values
	others          []float64       // some of them, sorted
	lo, hi          float64         // of nine tenths of these
	least, greatest float64         // of the usable values
	flagged         []float64       // values flagged as fill numbers
}

// tagsOf names the tags of a table that may hold fill numbers.
func tagsOf(t *table) []string {
	names := map[string]bool{}
	for _, k := range t.Tracks {
		if k != nil && k.Spec.Fills() {
			names[k.Spec.Name] = true
		}
	}
	return lex.SortedKeys(names)
}

// looksOf gathers what a tag's values tell; nil where nothing stands apart that could be
// asked about, or the values are too few or too alike.
func looksOf(t *table, name string, lows map[float64]int) *fillLooks {
	l := &fillLooks{least: math.Inf(1), greatest: math.Inf(-1)}
	if len(lows) <= cell.MostLows {
		l.lows = lows
	}
	fills := false
	for _, k := range t.Tracks {
		if k != nil && k.Spec.Name == name && k.Spec.Fills() {
			l.spec = k.Spec
			l.runs = append(l.runs, k.AllRuns()...)
			fills = fills || k.Led.Fill > 0
		}
	}
	for _, run := range l.runs {
		l.n += len(run.Values())
		lo, hi := run.Range()
		l.least, l.greatest = min(l.least, lo), max(l.greatest, hi)
	}
	step := l.n/fillSample + 1
	l.others = make([]float64, 0, l.n/step+len(l.runs))
	for _, run := range l.runs {
		l.others = run.Sample(l.others, step)
		if fills {
			l.flagged = append(l.flagged, run.Flagged(series.SuspectFill)...)
		}
	}
	slices.Sort(l.others)
	slices.Sort(l.flagged)
	l.flagged = slices.Compact(l.flagged)
	if !l.without(math.NaN()) {
		return nil
	}
	return l
}

// without has lo and hi stand for the values but one; false where these are too few or
// too alike.
func (l *fillLooks) without(at float64) bool {
	i, _ := slices.BinarySearch(l.others, at)
	j := i
	for j < len(l.others) && l.others[j] == at {
		j++
	}
	n := len(l.others) - (j - i)
	other := func(k int) float64 {
		if k >= i {
			k += j - i
		}
		return l.others[k]
	}
	different := min(n, 1)
	for k := 1; k < n && different < fillOthers; k++ {
		if other(k) != other(k-1) {
			different++
		}
	}
	if different < fillOthers {
		return false
	}
	l.lo, l.hi = other(n/20), other(n-1-n/20)
	return true
}

// alone says how a low number stands that is met n times.
func (l *fillLooks) alone(v float64, n int) standing {
	at, _ := l.spec.Finish(v, 0)
	if !l.without(at) || float64(n) > fillShare*float64(max(l.n, n)) {
		return among
	}
	distance := fillDistance
	if n < fillRepeats {
		distance = fillFar
	}
	if l.lo-at > distance*(l.hi-l.lo) {
		return noValue
	}
	return among
}

// extreme says how the least or the greatest of a tag's values stands. Between it and the
// next there must be nothing half as far; a number that is not written as fill numbers
// are is only asked about.
func (l *fillLooks) extreme(at float64) (e merge.Extreme, is standing) {
	v := l.spec.Raw(at)
	up := at == l.greatest
	if !up && (v >= 0 || v <= cell.Low) || up && l.spec.Sampled() || !l.without(at) {
		return e, among
	}
	off := l.lo - at
	if up {
		off = at - l.hi
	}
	if off <= fillDistance*(l.hi-l.lo) { // as nearly always
		return e, among
	}
	e = merge.Extreme{V: at, Next: math.Inf(1)}
	if up {
		e.Next = math.Inf(-1)
	}
	for _, run := range l.runs {
		e = e.Counted(run)
	}
	like, gap := cell.LikeFill(v), math.Abs(at-e.Next)
	switch {
	case float64(e.N) > fillShare*float64(l.n), gap < off/2:
	case e.N < fillRepeats && !like:
	case off <= fillFar*(l.hi-l.lo) && (e.N < fillRepeats || !like):
	case like:
		return e, noValue
	default:
		return e, apart
	}
	return e, among
}
