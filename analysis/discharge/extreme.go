package discharge

import (
	"fmt"
	"math"
	"time"
)

// maximumDaily: the highest daily discharge (40 CFR 122.2); low turns it round.
func (j *job) extremeDaily(low bool) {
	vs, at := j.daily(j.lo, j.hi)
	stat := pick(vs, low)
	f, k := stat(j.ch)
	j.put(f, vs, func(c Choice) Figure { g, _ := stat(c); return g })
	word := "highest"
	if low {
		word = "lowest"
	}
	j.l.How = fmt.Sprintf("%s of %d daily values", word, len(vs))
	for n, i := range at {
		d := j.col.days[i].Date
		j.excursion(vs[n], d, d, 0, 0)
	}
	if k >= 0 {
		j.l.When = j.col.days[at[k]].Date.Format("2 January 2006")
	}
}

func pick(vs []Value, low bool) func(Choice) (Figure, int) {
	return func(c Choice) (Figure, int) {
		if low {
			return c.Lowest(vs)
		}
		return c.Highest(vs)
	}
}

// massDaily: the highest mass of a day.
func (j *job) massDaily() {
	ch := j.massChoice()
	vs, at := j.loads(Choice{}, j.lo, j.hi)
	stat := func(c Choice) (Figure, int) { ls, _ := j.loads(c, j.lo, j.hi); return c.Highest(ls) }
	f, k := stat(ch)
	j.put(f, vs, func(c Choice) Figure { g, _ := stat(c); return g })
	j.l.How = fmt.Sprintf("each day's %s; highest of %d days", j.massWords(), len(vs))
	for n, i := range at {
		d := j.col.days[i].Date
		j.excursion(vs[n], d, d, 0, 0)
	}
	if k >= 0 {
		j.l.When = j.col.days[at[k]].Date.Format("2 January 2006")
	}
	j.flowless(j.lo, j.hi)
}

// instantaneous: the highest or lowest single result; of a signal the highest
// or lowest minute.
func (j *job) instantaneous(low bool) {
	if j.col.signal() {
		j.instantaneousSignal(low)
		return
	}
	vs, rs := j.results(j.lo, j.hi)
	stat := pick(vs, low)
	f, k := stat(j.ch)
	j.put(f, vs, func(c Choice) Figure { g, _ := stat(c); return g })
	word := "highest"
	if low {
		word = "lowest"
	}
	j.l.How = fmt.Sprintf("%s of %d results", word, len(vs))
	for n, r := range rs {
		j.excursion(vs[n], r.Date, r.Date, r.T, r.T)
	}
	if k >= 0 {
		j.l.When = j.clock(rs[k].T)
	}
}

func (j *job) clock(t int64) string {
	return time.UnixMilli(t).In(j.b.cal.loc).Format("2 January 2006 15:04")
}

func (j *job) instantaneousSignal(low bool) {
	if len(j.col.tags) == 0 {
		return
	}
	m, g := j.b.minute(j.col)
	best, at, n := math.NaN(), -1, 0
	var runs spans
	for _, d := range j.days(j.lo, j.hi) {
		w := j.b.cal.windows[d]
		for i := max(g.Index(w.Start), 0); i < min(g.Index(w.End-1)+1, len(m)); i++ {
			v := j.conv(m[i])
			if v != v {
				continue
			}
			n++
			if at < 0 || !low && v > best || low && v < best {
				best, at = v, i
			}
			if out, _ := j.beyond(Value{V: v}); out {
				runs.add(i, v, low)
			}
		}
	}
	f := Figure{Value: Value{V: best}, Rule: j.ch.Rule}
	if !low && j.beyondScale() {
		f.Sign = Greater
	}
	j.put(f, nil, nil)
	j.l.Values = n
	j.l.How = fmt.Sprintf("highest of %d minute means", n)
	if low {
		j.l.How = fmt.Sprintf("lowest of %d minute means", n)
	}
	if at >= 0 {
		j.l.When = j.clock(g.Milli(at))
	}
	for _, r := range runs.list {
		j.run(g, r)
	}
}

// spans collects neighbouring minutes into runs.
type spans struct{ list []run }

type run struct {
	first, last int
	worst       float64
}

func (s *spans) add(i int, v float64, low bool) {
	if n := len(s.list); n > 0 && s.list[n-1].last == i-1 {
		r := &s.list[n-1]
		r.last = i
		if !low && v > r.worst || low && v < r.worst {
			r.worst = v
		}
		return
	}
	s.list = append(s.list, run{i, i, v})
}

// run notes a stretch of minutes as one excursion.
func (j *job) run(g interface{ Milli(int) int64 }, r run) {
	a, b := g.Milli(r.first), g.Milli(r.last)+60_000
	n := float64(r.last - r.first + 1)
	day := func(t int64) time.Time {
		x := time.UnixMilli(t).In(j.b.cal.loc)
		return date(x.Year(), x.Month(), x.Day())
	}
	j.l.Excursions = append(j.l.Excursions, Excursion{First: day(a), Last: day(b - 1), Start: a, End: b, Value: r.worst, Minutes: n,
		Text: fmt.Sprintf("%s for %s min: %s %s", j.clock(a), shortest(n), Round(r.worst, Places{Figures: 3, MaxDecimals: -1}, j.half), j.l.Unit)})
}
