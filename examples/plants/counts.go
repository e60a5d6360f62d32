package plants

import (
	"fmt"
	"math"
	"slices"
)

// The rule by which an event counts; the package's comment tells it in words.
const (
	leastMinutes = 30
	leastRows    = 3
	leastWander  = 3.0 // times a reading's own wander
	leastSecond  = 2.0 // the same of a second reading, for the process
	leastChanges = 8   // stored changes that a stuck tag would have had
)

// judgeable marks the events that can be told, by comparing the record with the same
// one made without its events.
func (r *Record) judgeable(bare *Record) {
	for k := range r.Truth {
		e := &r.Truth[k]
		e.Excused = r.excuse(e, bare)
		e.Counts = e.Excused == ""
	}
}

func (r *Record) excuse(e *Event, bare *Record) string {
	to := min(e.To+r.travel(e), r.N)
	rest := 0
	for i := max(e.From, 0); i < min(e.To, r.N); i++ {
		if r.Resting[i] {
			rest++
		}
	}
	switch {
	case e.To-e.From < leastMinutes:
		return fmt.Sprintf("shorter than %d min", leastMinutes)
	case 2*rest > e.To-e.From:
		return "no water, or out of season"
	}
	switch e.Kind {
	case LinkHeld, LinkBlank, FlowMissing, OtherUnit, ClockOff:
		return r.excuseData(e, bare)
	}
	if e.Kind == ProbeNoise { // it stands far above a probe's minute noise, where enough is stored to see it
		for k := range r.Tags {
			if t := &r.Tags[k]; t.Role == e.Subject && rowsIn(r, t, e.From, to) >= leastChanges {
				return ""
			}
		}
		return "too few stored readings"
	}
	most, second := 0.0, 0.0
	for k := range r.Tags {
		t, b := &r.Tags[k], &bare.Tags[k]
		if stuck(e.Kind) {
			if t.Role == e.Subject && changes(bare, b, e) >= leastChanges {
				return ""
			}
			continue
		}
		if rowsIn(r, t, e.From, to) < leastRows {
			continue
		}
		x := r.moved(e, t, b, to)
		second = math.Max(second, math.Min(x, most))
		most = math.Max(most, x)
	}
	if stuck(e.Kind) {
		return "the tag would hardly have moved"
	}
	if most < leastWander {
		return fmt.Sprintf("moves no reading by %.0f times its wander", leastWander)
	}
	if !ofInstrument(e) && second < leastSecond {
		return "moves one reading only, as a fault of that instrument would"
	}
	if ofInstrument(e) && !r.witness(e) {
		return "nothing else at the plant says otherwise"
	}
	return ""
}

// rowsIn counts the stored readings of a stretch of minutes.
func rowsIn(r *Record, t *Tag, from, to int) int {
	n := 0
	for _, row := range t.Rows {
		if m := int(row.Second-r.First) / 60; m >= from && m < to {
			n++
		}
	}
	return n
}

// changes counts how often a stored reading would have differed from the one
// before it, had the event not been.
func changes(r *Record, t *Tag, e *Event) int {
	n, last := 0, math.NaN()
	for _, row := range t.Rows {
		if m := int(row.Second-r.First) / 60; m >= e.From && m < e.To {
			if row.V != last {
				n++
			}
			last = row.V
		}
	}
	return n
}

func stuck(k Kind) bool { return k == ProbeFrozen || k == StuckMeter || k == FlowStuck }

// ofInstrument says that an event is of one instrument.
func ofInstrument(e *Event) bool {
	switch e.AtFault {
	case faultProbe, faultAnalyser, faultFlow:
		return true
	}
	return false
}

// travel is how long after its cause an event still shows, minutes.
func (r *Record) travel(e *Event) int {
	if e.AtFault != faultProcess {
		return 0
	}
	s := &r.Site
	return int(1.5 * s.BasinGal * float64(s.Trains) / (s.FlowMGD * 1e6 / 1440))
}

// moved is the largest mean shift of a reading over half an hour of the event,
// in units of its wander: that of the instrument for its own event, else the
// spread of the same half hours on the other days of the record without it.
func (r *Record) moved(e *Event, t, b *Tag, to int) float64 {
	wander := r.instrumentWander(e, t)
	if math.IsNaN(wander) {
		wander = spread(b.V)
	}
	if !(wander > 0) {
		return 0
	}
	most := 0.0
	for i := max(e.From, 0); i+30 <= min(to, r.N); i += 10 {
		sum, n := 0.0, 0
		for j := i; j < i+30; j++ {
			if d := t.V[j] - b.V[j]; !math.IsNaN(d) {
				sum += d
				n++
			}
		}
		if n > 15 {
			most = math.Max(most, math.Abs(sum)/float64(n)/wander)
		}
	}
	return most
}

// instrumentWander is what an instrument wanders by itself; NaN where the event is not
// its own.
func (r *Record) instrumentWander(e *Event, t *Tag) float64 {
	if !ofInstrument(e) || e.Subject != t.Role {
		return math.NaN()
	}
	switch e.AtFault {
	case faultProbe:
		return r.Site.Wander + 2
	case faultAnalyser:
		return (r.Site.AnalyserSD + 0.02) * median(t.V)
	}
	return 0.02 * median(t.V)
}

// witness says that something else speaks during an instrument's event: another
// residual, a probe (for an analyser), a grab, the feed, a second flow.
func (r *Record) witness(e *Event) bool {
	for _, t := range r.Tags {
		switch e.AtFault {
		case faultProbe, faultAnalyser:
			if t.Role != e.Subject && (t.Role == total || t.Role == free || t.Role == orp || t.Role == middle) && t.Train == 0 {
				return true
			}
		case faultFlow:
			if t.Role != e.Subject && (t.Role == inflow || t.Role == flow || t.Role == total || t.Role == free) {
				return true
			}
		}
	}
	for _, g := range r.Grabs {
		if m := int(g.Second-r.First) / 60; m >= e.From && m < e.To && !g.Blunder {
			return true
		}
	}
	return false
}

// excuseData: what goes wrong between instrument and record needs tags that
// would have moved.
func (r *Record) excuseData(e *Event, bare *Record) string {
	n := 0
	for k := range r.Tags {
		t := &r.Tags[k]
		if e.Subject == linkName(t.Link) || e.Subject == t.Role {
			n += changes(bare, &bare.Tags[k], e)
		}
	}
	if n < leastChanges {
		return "the tags concerned would hardly have moved"
	}
	return ""
}

// spread is the scaled median absolute deviation of half-hour means from the
// median of the same half hour of the day.
func spread(v []float64) float64 {
	var slots [48][]float64
	for i := 0; i+30 <= len(v); i += 30 {
		sum, n := 0.0, 0
		for _, x := range v[i : i+30] {
			if !math.IsNaN(x) {
				sum += x
				n++
			}
		}
		if n > 15 {
			slots[i/30%48] = append(slots[i/30%48], sum/float64(n))
		}
	}
	var dev []float64
	for _, s := range slots {
		m := median(s)
		for _, x := range s {
			dev = append(dev, math.Abs(x-m))
		}
	}
	return 1.4826 * median(dev)
}

func median(v []float64) float64 {
	w := make([]float64, 0, len(v))
	for _, x := range v {
		if !math.IsNaN(x) {
			w = append(w, x)
		}
	}
	if len(w) == 0 {
		return math.NaN()
	}
	slices.Sort(w)
	return w[len(w)/2]
}
