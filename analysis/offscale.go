package analysis

import (
	"math"
	"strings"

	"weirbook/analysis/align"
	"weirbook/analysis/contact"
	"weirbook/analysis/discharge"
	"weirbook/analysis/finding"
	"weirbook/analysis/plant"
)

// An instrument at the end of its scale reads that end whatever the water does. A figure
// that grows with it is "at least" what it comes to, one that falls with it "at most".

// ends holds for each signal the running count of minutes of the grid at the end of its
// scale; nil where it never was.
type ends map[string][]int32

// clips are findings of signals that run against an end which tags.csv does not state.
func (f *Frame) ends(clips []finding.Finding) ends {
	out := ends{}
	for _, t := range f.Plant.Tags {
		if t.Sampled() {
			continue
		}
		at := f.atEnd(t)
		for _, x := range clips {
			if x.Subject != t.Name || !strings.HasSuffix(x.Kind, "-clip") || x.AtFault != finding.FlowMeter && x.AtFault != finding.ResidualAnalyser {
				continue
			}
			if at == nil {
				at = make([]bool, f.Grid.N)
			}
			for i := max(f.Grid.Index(x.Start), 0); i < min(f.Grid.Index(x.End), len(at)); i++ {
				at[i] = true
			}
		}
		if at == nil {
			continue
		}
		n := make([]int32, len(at)+1)
		for i, x := range at {
			n[i+1] = n[i]
			if x {
				n[i+1]++
			}
		}
		out[t.Name] = n
	}
	return out
}

// within says whether a signal stood at the end of its scale for some minutes of [lo, hi)
// of the grid.
func (e ends) within(tag string, lo, hi int) bool {
	n := e[tag]
	if n == nil {
		return false
	}
	lo, hi = min(max(lo, 0), len(n)-1), min(max(hi, 0), len(n)-1)
	return hi > lo && float64(n[hi]-n[lo]) >= math.Min(endMinutes, float64(hi-lo))
}

// endMinutes is how many minutes at the end of a scale make an hour's or a day's figure a
// bound; the month's own setting.
var endMinutes = discharge.DefaultSettings(&plant.Plant{}).ScaleMinutes

// bounds are the signs of a figure that grows with some signals and falls with others,
// window by window; nil where it is a bound in none. Where it does both, nothing can be
// said: its value is taken out.
func (r *Result) bounds(ws []align.Window, values []float64, grows, falls []plant.Tag) []discharge.Sign {
	var out []discharge.Sign
	for i, w := range ws {
		more, less := r.anyAtEnd(grows, w, 0), r.anyAtEnd(falls, w, 0)
		if !more && !less || math.IsNaN(values[i]) || values[i] == 0 {
			continue
		}
		switch {
		case more && less:
			values[i] = math.NaN()
		case more:
			out = withSign(out, len(ws), i, discharge.Greater)
		default:
			out = withSign(out, len(ws), i, discharge.Less)
		}
	}
	return out
}

// AtEnd says whether a signal stood at the end of its scale from one time to another (Unix
// milliseconds).
func (r *Result) AtEnd(tag string, from, to int64) bool {
	return r.ends.within(tag, r.Grid.Index(from), r.Grid.Index(to))
}

// anyAtEnd says whether one of some signals stood at its end in a window, or up to so many
// minutes before it.
func (r *Result) anyAtEnd(tags []plant.Tag, w align.Window, before int) bool {
	for _, t := range tags {
		if r.ends.within(t.Name, r.Grid.Index(w.Start)-before, r.Grid.Index(w.End)) {
			return true
		}
	}
	return false
}

// bound gives the table's last columns, from the one numbered first on, their signs.
func (r *Result) bound(t *Table, first int, grows, falls []plant.Tag) {
	for i := first; i < len(t.Columns); i++ {
		if t.Columns[i].Signs == nil {
			t.Columns[i].Signs = r.bounds(t.Windows, t.Columns[i].Values, grows, falls)
		}
	}
}

// basinBounds gives a basin's figures their signs: with more flow than the meter can read
// the water goes through faster, in its own hours and in those in which it came in.
func (r *Result) basinBounds(t *Table, b *Basin, first int) {
	for i := first; i < len(t.Columns); i++ {
		c := &t.Columns[i]
		for k, w := range t.Windows {
			if math.IsNaN(c.Values[k]) {
				continue
			}
			fast, high := r.fast(b, w), r.anyAtEnd([]plant.Tag{b.ResidualTag}, w, 0)
			sign := discharge.Exact
			switch c.Kind {
			case BasinFlow:
				if r.anyAtEnd([]plant.Tag{b.FlowTag}, w, 0) {
					sign = discharge.Greater
				}
			case ContactTimeLeast, ContactTimeMean, ContactTimeSteady, T10Steady, ModalTimeSteady:
				if fast {
					sign = discharge.Less
				}
			case ResidualLowest:
				if high && r.lowestAtEnd(b, w) {
					sign = discharge.Greater
				}
			case CTLeast, CTMean, CTSteady, CTPath, CTLow, CTHigh, LogByTables, LogLow, LogHigh, LogByRegression, LogPredicted:
				high = high && (c.Kind == CTMean || r.lowestAtEnd(b, w))
				switch {
				case fast && high:
					c.Values[k] = math.NaN()
				case fast:
					sign = discharge.Less
				case high:
					sign = discharge.Greater
				}
			}
			c.Signs = withSign(c.Signs, len(t.Windows), k, sign)
		}
	}
}

// fast says that the flow meter stood at its end while the water that left in a window
// was in the basin.
func (r *Result) fast(b *Basin, w align.Window) bool {
	if r.ends[b.FlowTag.Name] == nil {
		return false
	}
	before := 0
	if i := min(max(r.Grid.Index(w.Start), 0), r.Grid.N-1); b.Own.Entry != nil && b.Own.Entry[i] >= 0 {
		before = i - int(b.Own.Entry[i])
	}
	return r.anyAtEnd([]plant.Tag{b.FlowTag}, w, before)
}

// lowestAtEnd says that even the lowest residual of a window stood at the end of the
// analyser's scale.
func (r *Result) lowestAtEnd(b *Basin, w align.Window) bool {
	n := r.ends[b.ResidualTag.Name]
	if n == nil {
		return false
	}
	lo, hi := max(r.Grid.Index(w.Start), 0), min(r.Grid.Index(w.End), r.Grid.N)
	known := 0
	for i := lo; i < hi; i++ {
		if !math.IsNaN(b.Residual[i]) {
			known++
		}
	}
	return known > 0 && int(n[hi]-n[lo]) >= known
}

// boundHours takes back what a bound cannot show: an hour short by a residual of "at
// least" so much, or met by a contact time of "at most".
func (r *Result) boundHours(b *Basin) {
	if r.ends[b.FlowTag.Name] == nil && r.ends[b.ResidualTag.Name] == nil {
		return
	}
	for i, w := range r.Hours {
		h := &b.Hours[i]
		fast, high := r.fast(b, w), r.lowestAtEnd(b, w)
		if !fast && !high || !h.Asked {
			continue
		}
		tag := b.ResidualTag.Name
		for k := range h.Judged {
			if h.Judged[k].AtEnd(high, fast) && fast && h.Judged[k].What != "residual" {
				tag = b.FlowTag.Name
			}
		}
		if h.Verdict = contact.Worst(h.Judged); h.Verdict == contact.NotDetermined {
			if h.Why = why(*h); h.Why == contact.OffScale.String() {
				h.Why = tag + " stood at the end of its scale"
			}
		}
	}
}
