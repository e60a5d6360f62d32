package discharge

import (
	"fmt"
	"math"
)

// Chlorine criteria are averages over a time: one hour for the acute, four days
// for the chronic (EPA national recommended criteria; Oregon Table 30).

// oneHour: the highest mean of any 60 minutes in a row. A grab stands for its
// hour.
func (j *job) oneHour() {
	if !j.col.signal() {
		j.instantaneous(false)
		j.l.How += "; each grab stands for its hour"
		return
	}
	j.movingAverage(60, j.b.in.Settings.HourCover, "60 minutes in a row")
}

// fourDay: the highest mean of any 96 hours in a row; of samples, the highest
// mean of the daily values of four days in a row of which three at least have one.
func (j *job) fourDay() {
	if j.col.signal() {
		j.movingAverage(4*1440, j.b.in.Settings.DayCover, "96 hours in a row")
		return
	}
	need := int(math.Ceil(4*j.b.in.Settings.DayCover - 1e-9))
	type four struct {
		vs  []Value
		day int
	}
	var fs []four
	for day := j.lo; day < j.hi; day++ {
		if vs, _ := j.daily(day-3, day+1); len(vs) >= need {
			fs = append(fs, four{vs, day})
		}
	}
	var seen []Value
	for _, f := range fs {
		seen = append(seen, f.vs...)
	}
	best := func(c Choice) (Figure, int) {
		c = c.forParts(seen)
		var parts []Figure
		for _, f := range fs {
			parts = append(parts, c.Mean(f.vs))
		}
		return c.highestPart(parts)
	}
	f, k := best(j.ch)
	all, _ := j.daily(j.lo, j.hi)
	j.put(f, all, func(c Choice) Figure { g, _ := best(c); return g })
	j.l.How = fmt.Sprintf("highest mean of the daily values of four days in a row, of %d such spans with %d days or more", len(fs), need)
	if k >= 0 {
		j.l.When = span(j.b.cal.dates[fs[k].day-3], j.b.cal.dates[fs[k].day])
	}
	for _, f := range fs {
		j.excursion(j.ch.forParts(seen).Mean(f.vs).Value, j.b.cal.dates[f.day-3], j.b.cal.dates[f.day], 0, 0)
	}
}

// movingAverage finds the highest mean of n minutes in a row that end in the
// month, covered to the share cover. Spans on the wrong side that overlap are
// one excursion.
func (j *job) movingAverage(n int, cover float64, words string) {
	if len(j.col.tags) == 0 {
		return
	}
	m, g := j.b.minute(j.col)
	sum, num := j.col.sums()
	best, at, spansSeen := math.NaN(), -1, 0
	var out []run // in minutes: first minute of the first span, last of the last
	for _, d := range j.days(j.lo, j.hi) {
		w := j.b.cal.windows[d]
		for i := max(g.Index(w.Start), n-1); i < min(g.Index(w.End-1)+1, len(m)); i++ {
			k := num[i+1] - num[i+1-n]
			if float64(k) < cover*float64(n)-1e-9 || k == 0 {
				continue
			}
			spansSeen++
			v := j.conv((sum[i+1] - sum[i+1-n]) / float64(k))
			if at < 0 || v > best {
				best, at = v, i
			}
			if o, _ := j.beyond(Value{V: v}); !o {
				continue
			}
			if len(out) > 0 && i-n < out[len(out)-1].last {
				r := &out[len(out)-1]
				r.last, r.worst = i, math.Max(r.worst, v)
			} else {
				out = append(out, run{i - n + 1, i, v})
			}
		}
	}
	f := Figure{Value: Value{V: best}, Rule: j.ch.Rule}
	if j.beyondScale() {
		f.Sign = Greater
	}
	j.put(f, nil, nil)
	j.l.Values = spansSeen
	j.l.How = fmt.Sprintf("highest mean of any %s, moved minute by minute, each covered to %g %% or more", words, 100*cover)
	if at >= 0 {
		j.l.When = j.clock(g.Milli(at-n+1)) + " to " + j.clock(g.Milli(at)+60_000)
	}
	for _, r := range out {
		j.run(g, r)
	}
}

// sums gives the running sum and number of the minutes known, made once.
func (c *column) sums() (sum []float64, num []int32) {
	if c.sum == nil {
		c.sum, c.num = make([]float64, len(c.minutes)+1), make([]int32, len(c.minutes)+1)
		for i, v := range c.minutes {
			c.sum[i+1], c.num[i+1] = c.sum[i], c.num[i]
			if v == v {
				c.sum[i+1] += v
				c.num[i+1]++
			}
		}
	}
	return c.sum, c.num
}

// monthCover gives the share of the month's counted time that a signal covers.
func (j *job) monthCover() float64 {
	var have, of float64
	for _, i := range j.days(j.lo, j.hi) {
		w := j.b.cal.windows[i]
		of += float64(w.End - w.Start)
		if c := j.col.days[i].Cover; finite(c) {
			have += c * float64(w.End-w.Start)
		}
	}
	if of == 0 {
		return math.NaN()
	}
	return have / of
}
