package discharge

import (
	"fmt"
	"math"
	"time"

	"weirbook/analysis/quantity"
)

// averageMonthly: the sum of the daily discharges measured in the calendar
// month divided by their number (40 CFR 122.2).
func (j *job) averageMonthly() {
	vs, _ := j.daily(j.lo, j.hi)
	stat := func(c Choice) Figure { return c.Mean(vs) }
	f := stat(j.ch)
	j.put(f, vs, stat)
	j.l.How = fmt.Sprintf("sum of %d daily values ÷ %d", len(vs), len(vs))
	j.whole(f.Value)
}

// whole notes the month itself as the excursion of a monthly figure.
func (j *job) whole(v Value) {
	j.excursion(v, j.b.cal.dates[j.lo], j.b.cal.dates[j.hi-1], 0, 0)
}

// maximumWeekly: the highest average of the daily discharges of a calendar
// week (40 CFR 122.2); which weeks count is the permit's choice.
func (j *job) maximumWeekly(how mean) {
	get := func(w Week) []Value {
		if how == geometric && !j.col.signal() {
			vs, _ := j.results(w.lo, w.hi)
			return vs
		}
		vs, _ := j.daily(w.lo, w.hi)
		return vs
	}
	j.weekly(get, func(c Choice, w Week) Figure { return c.average(get(w), how) })
	word := "average"
	if how == geometric {
		word = "geometric mean"
	}
	j.l.How = fmt.Sprintf("highest %s of a week that begins on %s; %s", word, dayName(j.b.in.Plant.Reporting.Week), straddlingWords(j.b.in.Plant.Reporting.StraddlingWeeks)) + j.l.How
}

// weekly finds the week with the highest figure.
func (j *job) weekly(values func(Week) []Value, of func(Choice, Week) Figure) {
	var weeks []Week
	var all []Value
	for _, w := range j.b.cal.weeks(j.year, j.month, j.b.in.Plant.Reporting) {
		if !w.Counted {
			continue
		}
		vs := values(w)
		if j.b.cal.windows[w.lo].Start < j.b.from || j.b.cal.windows[w.hi-1].End > j.b.to {
			j.l.Remarks = append(j.l.Remarks, fmt.Sprintf("The week of %s reaches beyond the exports; it rests on the %d value%s they hold.", w, len(vs), plural(len(vs))))
		}
		if len(vs) > 0 {
			weeks = append(weeks, w)
			all = append(all, vs...)
		}
	}
	best := func(c Choice) (Figure, int) {
		c = c.forParts(all)
		var parts []Figure
		for _, w := range weeks {
			parts = append(parts, of(c, w))
		}
		return c.highestPart(parts)
	}
	f, k := best(j.ch)
	j.put(f, all, func(c Choice) Figure { g, _ := best(c); return g })
	if k >= 0 {
		n := len(values(weeks[k]))
		j.l.When = weeks[k].String()
		j.l.How = fmt.Sprintf("; %d week%s with values, of which the highest has %d value%s", len(weeks), plural(len(weeks)), n, plural(n))
	}
	for _, w := range weeks {
		j.excursion(of(j.ch.forParts(all), w).Value, w.First, w.Last, 0, 0)
	}
}

// geometricMonthly: the nth root of the product of the month's results (EPA DMR
// form instructions).
func (j *job) geometricMonthly() {
	vs, _ := j.results(j.lo, j.hi)
	what := "results"
	if j.col.signal() {
		vs, _ = j.daily(j.lo, j.hi)
		what = "daily means"
	}
	stat := func(c Choice) Figure { return c.GeometricMean(vs) }
	f := stat(j.ch)
	j.put(f, vs, stat)
	j.l.How = fmt.Sprintf("the nth root of the product of %d %s, n = %d", len(vs), what, len(vs))
	if j.ch.Counts && j.ch.Rule == Zero {
		j.l.How += fmt.Sprintf("; a zero counts as %s", shortest(j.ch.Floor))
	}
	j.whole(f.Value)
}

// removal: from the month's average influent and effluent concentrations (40
// CFR 133.101(j)).
func (j *job) removal() {
	var in *column
	for _, q := range j.b.in.Plant.Points {
		if q.Influent {
			// Sampled as the effluent is, else in whatever way there is.
			for _, sample := range []string{j.l.Limit.Sample, ""} {
				if j.b.measures(j.col.kind, q.Name, sample) && in == nil {
					in = j.b.find(j.col.kind, q.Name, sample, j.l.Limit)
				}
			}
		}
	}
	if in == nil {
		j.l.Remarks = append(j.l.Remarks, fmt.Sprintf("No influent %s is measured: no point with influent = true has a tag for it.", j.l.Parameter))
		return
	}
	for i, c := range j.b.columns {
		if c == in {
			j.l.Against = i
		}
	}
	k := *j
	k.col = in
	k.unit = in.unit
	k.ch = j.b.choice(in, in.unit)
	inf, _ := k.daily(j.lo, j.hi)
	eff := *j
	eff.unit = j.col.unit
	out, _ := eff.daily(j.lo, j.hi)
	stat := func(c Choice) Figure {
		a, b := c.Mean(inf), c.Mean(out)
		f := Figure{Value: Value{V: 100 * (1 - b.V/a.V)}, Rule: b.Rule, Note: b.Note}
		if b.V == a.V && a.V == 0 || a.V <= 0 {
			f.V = math.NaN()
		}
		// Less in the effluent is more removed.
		switch {
		case b.Sign == Less && a.Sign != Less, a.Sign == Greater && b.Sign == Exact:
			f.Sign = Greater
		case b.Sign == Greater && a.Sign != Greater, a.Sign == Less && b.Sign == Exact:
			f.Sign = Less
		}
		return f
	}
	eff.ch = j.b.choice(j.col, j.col.unit)
	f := stat(eff.ch)
	j.ch = eff.ch
	j.put(f, append(append([]Value(nil), out...), inf...), stat)
	a, b := eff.ch.Mean(inf), eff.ch.Mean(out)
	j.l.How = fmt.Sprintf("100 × (1 − %s ÷ %s), the averages of %d effluent and %d influent daily values in mg/L", shortest4(b.V), shortest4(a.V), len(out), len(inf))
	j.whole(f.Value)
}

// shortest4 is a number for a sentence, to four significant figures.
func shortest4(v float64) string { return Round(v, Places{Figures: 4, MaxDecimals: -1}, HalfUp) }

// loads gives each day's mass in [lo, hi): that day's concentration times that
// day's flow (40 CFR 122.2: the total mass discharged over the day).
func (j *job) loads(c Choice, lo, hi int) (vs []Value, at []int) {
	factor := j.b.in.Settings.Factor
	if j.unit.Symbol == "kg/d" {
		factor = quantity.LitresPerGallon // MGD x mg/L x 3.785411784 = kg/d, exact
	} else if j.unit.Symbol != "lb/d" {
		factor = factor / j.unit.Scale
	}
	below := true
	for _, i := range j.days(lo, hi) {
		d := j.col.days[i]
		if !finite(d.Carried) && !d.Value.there() || !finite(d.FlowMGD) {
			continue
		}
		below = below && d.Value.Sign == Less
		sign := d.Value.Sign
		if sign == Exact && d.flowOff {
			sign = Greater
		}
		vs = append(vs, Value{d.Carried * d.FlowMGD * factor, sign})
		at = append(at, i)
	}
	if c.Rule == Fixed && (!below || c.AllBelow == "as-rule") {
		for k, i := range at {
			if vs[k].Sign == Less {
				vs[k] = Value{c.Fixed * j.col.days[i].FlowMGD * factor, Exact}
			}
		}
	}
	return vs, at
}

func (j *job) massWords() string {
	if j.unit.Symbol == "kg/d" {
		return "MGD × mg/L × 3.785412 (exact)"
	}
	return "MGD × mg/L × " + shortest(j.b.in.Settings.Factor)
}

func (j *job) massAverage() {
	ch := j.massChoice()
	raw, at := j.loads(Choice{}, j.lo, j.hi)
	stat := func(c Choice) Figure { vs, _ := j.loads(c, j.lo, j.hi); return c.Mean(vs) }
	f := stat(ch)
	j.put(f, raw, stat)
	j.l.How = fmt.Sprintf("each day's %s; sum of %d daily masses ÷ %d", j.massWords(), len(at), len(at))
	j.flowless(j.lo, j.hi)
	j.whole(f.Value)
}

// massChoice keeps the fixed number in mg/L, which is what loads needs.
func (j *job) massChoice() Choice {
	j.ch = j.b.choice(j.col, j.col.unit)
	return j.ch
}

// flowless names the days that have a result but no flow to carry it.
func (j *job) flowless(lo, hi int) {
	var ds []time.Time
	for _, i := range j.days(lo, hi) {
		if d := j.col.days[i]; d.Value.there() && !finite(d.FlowMGD) {
			ds = append(ds, d.Date)
		}
	}
	if len(ds) > 0 {
		j.l.Remarks = append(j.l.Remarks, fmt.Sprintf("No mass for %s: the day's flow is not determined.", dateList(ds)))
	}
}

func (j *job) massWeekly() {
	ch := j.massChoice()
	j.ch = ch
	get := func(w Week) []Value { vs, _ := j.loads(Choice{}, w.lo, w.hi); return vs }
	j.weekly(get, func(c Choice, w Week) Figure { vs, _ := j.loads(c, w.lo, w.hi); return c.Mean(vs) })
	j.l.How = fmt.Sprintf("each day's %s; highest average of a week that begins on %s; %s", j.massWords(), dayName(j.b.in.Plant.Reporting.Week),
		straddlingWords(j.b.in.Plant.Reporting.StraddlingWeeks)) + j.l.How
	j.flowless(j.lo, j.hi)
}
