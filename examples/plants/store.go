package plants

import (
	"math"
	"math/rand/v2"
	"sort"
)

// store keeps each tag's readings the way the plant's records do, after what
// goes wrong between instrument and record.
func (r *Record) store(ev *events) {
	s := &r.Site
	for k := range r.Tags {
		t := &r.Tags[k]
		rd := stream(r.Seed, "store "+t.Name)
		unit := math.Pow(10, float64(t.Decimals))
		for i, v := range t.V {
			t.V[i] = math.Round(v*unit) / unit
		}
		r.linkFaults(t, ev)
		second := int64(rd.IntN(60))
		shift := r.clockShift(t, ev)
		at := func(i int) int64 { return r.First + 60*int64(i) + second - 60*shift(i) }
		switch s.Storage {
		case Exception:
			t.Rows = byException(t.V, at, s.Deadband*movement(t.V), s.Heartbeat+rd.IntN(1+s.Heartbeat/4))
		case SwingingDoor:
			t.Rows = bySwingingDoor(t.V, at, s.Deadband*movement(t.V), s.Heartbeat)
		default:
			second = 0
			for i := 0; i < len(t.V); i += max(s.Every, 1) {
				if !math.IsNaN(t.V[i]) && rd.Float64() > 0.0004 {
					t.Rows = append(t.Rows, Row{Second: at(i), V: t.V[i]})
				}
			}
		}
		t.Rows = r.dropHeld(t, ev)
		if s.Quality {
			t.Rows = cardFaults(t.Rows, rd)
		}
		if r.clocked(t, ev) {
			sort.SliceStable(t.Rows, func(a, b int) bool { return t.Rows[a].Second < t.Rows[b].Second })
		}
		for _, e := range ev.list {
			if e.Kind == OtherUnit && e.Subject == t.Role {
				for j := range t.Rows {
					if m := int(t.Rows[j].Second-r.First) / 60; m >= e.From && m < e.To {
						t.Rows[j].V *= e.Size
					}
				}
			}
		}
	}
}

// linkFaults holds or blanks a stopped controller's tags, and loses the flow.
func (r *Record) linkFaults(t *Tag, ev *events) {
	for _, e := range ev.list {
		lo, hi := max(e.From, 1), min(e.To, len(t.V))
		switch {
		case e.Kind == LinkHeld && e.Subject == linkName(t.Link):
			for i := lo; i < hi; i++ {
				t.V[i] = t.V[lo-1]
			}
		case e.Kind == LinkBlank && e.Subject == linkName(t.Link), e.Kind == FlowMissing && e.Subject == t.Role:
			for i := lo; i < hi; i++ {
				t.V[i] = math.NaN()
			}
		}
	}
}

func linkName(n int) string { return "link " + string(rune('1'+n)) }

func (r *Record) clocked(t *Tag, ev *events) bool {
	for _, e := range ev.list {
		if e.Kind == ClockOff && e.Subject == linkName(t.Link) {
			return true
		}
	}
	return false
}

// clockShift gives how many minutes a tag's stamps are behind in minute i.
func (r *Record) clockShift(t *Tag, ev *events) func(int) int64 {
	return func(i int) int64 {
		for _, e := range ev.list {
			if e.Kind == ClockOff && e.Subject == linkName(t.Link) && i >= e.From && i < e.To {
				return int64(e.Size)
			}
		}
		return 0
	}
}

// dropHeld: a store by exception hears nothing of a controller that holds, not
// even heartbeats, in half of the plants.
func (r *Record) dropHeld(t *Tag, ev *events) []Row {
	if r.Site.Storage == Scan || r.Seed%2 == 0 {
		return t.Rows
	}
	out := t.Rows[:0]
	for _, row := range t.Rows {
		m, drop := int(row.Second-r.First)/60, false
		for _, e := range ev.list {
			drop = drop || e.Kind == LinkHeld && e.Subject == linkName(t.Link) && m >= e.From && m < e.To
		}
		if !drop {
			out = append(out, row)
		}
	}
	return out
}

// cardFaults: a few times a month the card answers and has no value: some
// minutes of zeros that are marked bad, at any way of storing.
func cardFaults(rows []Row, rd *rand.Rand) []Row {
	var out []Row
	next := func() int64 { return int64(12 * 86400 * rd.ExpFloat64()) }
	if len(rows) == 0 {
		return rows
	}
	from := rows[0].Second + next()
	to := from + int64(300+rd.IntN(1500))
	for k, row := range rows {
		if row.Second >= to {
			if k > 0 && len(out) > 0 && out[len(out)-1].Bad {
				out = append(out, Row{Second: to, V: rows[k-1].V}) // the value comes back
			}
			from = row.Second + next()
			to = from + int64(300+rd.IntN(1500))
		}
		if row.Second >= from && row.Second < to {
			row.V, row.Bad = 0, true
		}
		out = append(out, row)
	}
	return out
}

// movement is what a tag usually moves in an hour: the median of the spread of
// each, over those that move at all.
func movement(v []float64) float64 {
	var spread []float64
	for i := 0; i+60 <= len(v); i += 60 {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, x := range v[i : i+60] {
			if !math.IsNaN(x) {
				lo, hi = math.Min(lo, x), math.Max(hi, x)
			}
		}
		if hi > lo {
			spread = append(spread, hi-lo)
		}
	}
	if len(spread) == 0 {
		return 0
	}
	sort.Float64s(spread)
	return spread[len(spread)/2]
}

// byException keeps a value that differs from the last kept by more than the
// deadband, and one each heartbeat.
func byException(v []float64, at func(int) int64, deadband float64, heartbeat int) []Row {
	var out []Row
	last, since := math.NaN(), 0
	for i, x := range v {
		if math.IsNaN(x) {
			last = x
			continue
		}
		if math.IsNaN(last) || math.Abs(x-last) > deadband || i-since >= heartbeat {
			out = append(out, Row{Second: at(i), V: x})
			last, since = x, i
		}
	}
	return out
}

// bySwingingDoor keeps the points between which a straight line stays within
// the deviation of every reading: two doors hinged at the last kept point swing
// open, and when they are parallel the reading before is kept (Bristol, 1990).
func bySwingingDoor(v []float64, at func(int) int64, deviation float64, longest int) []Row {
	var out []Row
	pivot, prev := -1, -1
	up, low := math.Inf(-1), math.Inf(1)
	keep := func(i int) {
		out = append(out, Row{Second: at(i), V: v[i]})
		pivot, up, low = i, math.Inf(-1), math.Inf(1)
	}
	for i, x := range v {
		if math.IsNaN(x) {
			if prev >= 0 && prev != pivot {
				keep(prev)
			}
			pivot, prev = -1, -1
			continue
		}
		if pivot < 0 {
			keep(i)
			prev = i
			continue
		}
		for {
			d := float64(i - pivot)
			up = math.Max(up, (x-v[pivot]-deviation)/d)
			low = math.Min(low, (x-v[pivot]+deviation)/d)
			if (up <= low && i-pivot < longest) || prev == pivot {
				break
			}
			keep(prev)
		}
		prev = i
	}
	if prev >= 0 && prev != pivot {
		keep(prev)
	}
	return out
}
