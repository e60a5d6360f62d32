package discharge

import (
	"fmt"
	"math"
	"time"
)

// medianSevenDay: the highest median of the results of the last seven days for
// which analyses have been completed (Title 22 section 60301.230 for recycled
// water). Days without a result are passed over, so the seven may reach back
// before the month.
func (j *job) medianSevenDay() {
	vs, at := j.daily(0, j.hi)
	byDay := map[int][]Value{}
	single, rs := j.results(0, j.hi)
	for i, r := range rs {
		byDay[r.day] = append(byDay[r.day], single[i])
	}
	seven := func(i int) []Value { // results of the seven days that end with day i
		var out []Value
		for k := i - 6; k <= i; k++ {
			if r := byDay[at[k]]; len(r) > 0 {
				out = append(out, r...)
			} else {
				out = append(out, vs[k])
			}
		}
		return out
	}
	stat := func(c Choice) (Figure, int) {
		var parts []Figure
		first := len(at)
		for i := 6; i < len(at); i++ {
			if at[i] >= j.lo {
				first = min(first, i)
				parts = append(parts, Figure{Value: c.Median(seven(i)), Rule: c.single(vs)})
			}
		}
		f, k := c.highestPart(parts)
		if k >= 0 {
			k += first
		}
		return f, k
	}
	f, k := stat(j.ch)
	used, _ := j.daily(j.lo, j.hi)
	j.put(f, used, func(c Choice) Figure { g, _ := stat(c); return g })
	j.l.How = "highest median of the results of the last seven days that have one, for each such day of the month"
	if k >= 0 {
		j.l.When = span(j.b.cal.dates[at[k-6]], j.b.cal.dates[at[k]])
	} else if len(used) > 0 {
		j.l.Remarks = append(j.l.Remarks, "Fewer than seven days with a result up to the end of the month.")
	}
	for i := 6; i < len(at); i++ {
		if at[i] >= j.lo {
			j.excursion(j.ch.Median(seven(i)), j.b.cal.dates[at[i-6]], j.b.cal.dates[at[i]], 0, 0)
		}
	}
}

// oneIn30: not more than one sample in any 30 days above the number (Title 22
// section 60301.230). The figure is the largest count of such samples in 30
// days that end in the month.
func (j *job) oneIn30() {
	number := j.l.LimitValue
	j.l.LimitText = fmt.Sprintf("1 in 30 days above %s %s", j.l.Limit.Written, j.l.Unit)
	if math.IsNaN(number) {
		j.l.Remarks = append(j.l.Remarks, "The number of samples above a value needs the value: state it in the limit.")
		return
	}
	vs, rs := j.results(0, j.hi)
	var over []int // days of the samples above, in order
	var above []Excursion
	for n, v := range vs {
		r := rounded(v.V, j.places, j.half)
		switch {
		case v.Sign == Greater && r >= number, v.Sign == Exact && r > number:
			over = append(over, rs[n].day)
			if rs[n].day >= j.lo {
				above = append(above, Excursion{First: rs[n].Date, Last: rs[n].Date, Start: rs[n].T, End: rs[n].T, Value: v.V, Minutes: math.NaN(),
					Text: j.clock(rs[n].T) + ": " + v.text(j.places, j.half) + " " + j.l.Unit})
			}
		case v.Sign == Less && r > number, v.Sign == Greater:
			j.l.Undecided++
		}
	}
	most, used := 0, 0
	for _, r := range rs {
		if r.day >= j.lo {
			used++
		}
	}
	for day := j.lo; day < j.hi; day++ {
		n := 0
		for _, o := range over {
			if o > day-30 && o <= day {
				n++
			}
		}
		if n > most {
			most = n
			j.l.When = span(j.b.cal.dates[max(day-29, 0)], j.b.cal.dates[day])
		}
	}
	j.l.Values = used
	j.l.How = fmt.Sprintf("most samples above %s %s in 30 days in a row that end in the month, of %d results", j.l.Limit.Written, j.l.Unit, used)
	j.l.Unit = "samples"
	j.l.LimitValue = 1
	j.places = Places{Decimals: 0, MaxDecimals: -1}
	if used > 0 {
		j.l.Value = float64(most)
	}
	if most > 1 {
		j.l.Excursions = above
	} else if len(above) == 1 {
		j.l.Remarks = append(j.l.Remarks, "Above the number once: "+above[0].Text+".")
	}
}

// percentile: the value that the given share of the month's results does not
// pass (nearest rank).
func (j *job) percentile() {
	vs, _ := j.results(j.lo, j.hi)
	what := "results"
	if j.col.signal() {
		vs, _ = j.daily(j.lo, j.hi)
		what = "daily means"
	}
	p := j.stat.Percent / 100
	stat := func(c Choice) Figure { return c.Quantile(vs, p) }
	f := stat(j.ch)
	j.put(f, vs, stat)
	above := 0
	for _, v := range vs {
		if out, _ := j.beyond(v); out {
			above++
		}
	}
	j.l.How = fmt.Sprintf("the smallest of %d %s with at least %g %% of them at or below it", len(vs), what, j.stat.Percent)
	if f.Rule == MLE && j.l.NonDetects > 0 {
		j.l.How = fmt.Sprintf("the %g %% point of the lognormal distribution fitted to %d %s", j.stat.Percent, len(vs), what)
	}
	if len(vs) > 0 && !math.IsNaN(j.l.LimitValue) {
		j.l.Remarks = append(j.l.Remarks, fmt.Sprintf("%d of %d %s (%s %%) lie above %s.", above, len(vs), what,
			Round(100*float64(above)/float64(len(vs)), Places{Decimals: 1, MaxDecimals: -1}, HalfUp), j.l.LimitText))
	}
	j.whole(f.Value)
}

// rolling: the highest mean of so many days in a row that end in the month, of the
// daily values measured in them; geometric, of the single results. A span that
// begins before the exports is left out.
func (j *job) rolling() {
	n, how, word := j.stat.Days, arithmetic, "mean"
	if j.stat.Geometric {
		how, word = geometric, "geometric mean"
	}
	values := func(day int) []Value {
		if j.stat.Geometric && !j.col.signal() {
			vs, _ := j.results(day-n+1, day+1)
			return vs
		}
		vs, _ := j.daily(day-n+1, day+1)
		return vs
	}
	var days []int
	var seen []Value
	early := 0
	for day := j.lo; day < j.hi; day++ {
		switch vs := values(day); {
		case len(vs) == 0:
		case day-n+1 < 0 || j.b.cal.windows[day-n+1].End <= j.b.from:
			early++
		default:
			days = append(days, day)
			seen = append(seen, vs...)
		}
	}
	best := func(c Choice) (Figure, int) {
		c = c.forParts(seen)
		var parts []Figure
		for _, d := range days {
			parts = append(parts, c.average(values(d), how))
		}
		return c.highestPart(parts)
	}
	f, k := best(j.ch)
	used := values(j.hi - 1)
	if k >= 0 {
		used = values(days[k])
	}
	j.put(f, used, func(c Choice) Figure { g, _ := best(c); return g })
	j.l.How = fmt.Sprintf("highest %s of %d days in a row that end in the month, of %d such spans; the highest rests on %d values", word, n, len(days), len(used))
	if k >= 0 {
		j.l.When = span(j.b.cal.dates[days[k]-n+1], j.b.cal.dates[days[k]])
	}
	if early > 0 {
		j.l.Remarks = append(j.l.Remarks, fmt.Sprintf("%d span%s of %d days begin%s before the exports and %s left out; put the month before among the exports.",
			early, plural(early), n, map[bool]string{true: "s"}[early == 1], map[bool]string{true: "is", false: "are"}[early == 1]))
	}
	for _, d := range days {
		j.excursion(j.ch.forParts(seen).average(values(d), how).Value, j.b.cal.dates[d-n+1], j.b.cal.dates[d], 0, 0)
	}
}

// overMonths: the mean of the calendar quarter or year that ends with the month.
func (j *job) overMonths() {
	first := date(j.year, j.month-time.Month(j.stat.Months)+1, 1)
	lo := max(j.b.cal.at[first], 0)
	vs, _ := j.daily(lo, j.hi)
	how, word := arithmetic, "daily values"
	if j.stat.Geometric {
		how, word = geometric, "results"
		if !j.col.signal() {
			vs, _ = j.results(lo, j.hi)
		}
	}
	stat := func(c Choice) Figure { return c.average(vs, how) }
	f := stat(j.ch)
	j.put(f, vs, stat)
	j.l.How = fmt.Sprintf("mean of %d %s of %s", len(vs), word, span(first, j.b.cal.dates[j.hi-1]))
	if j.stat.Geometric {
		j.l.How = "geometric " + j.l.How
	}
	if j.b.cal.windows[lo].End <= j.b.from {
		j.l.Remarks = append(j.l.Remarks, fmt.Sprintf("The exports begin on %s, after the period does: the figure rests on a part of it.", time.UnixMilli(j.b.from).In(j.b.cal.loc).Format("2 January 2006")))
	}
	j.excursion(f.Value, first, j.b.cal.dates[j.hi-1], 0, 0)
}
