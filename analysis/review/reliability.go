package review

import (
	"math"
	"sort"
	"time"

	"weirbook/analysis/contact"
	"weirbook/analysis/discharge"
	"weirbook/analysis/review/stat"
)

// Reliability is how one basin met one thing asked, or all of them.
type Reliability struct {
	Basin, What string // What: "CT", "residual" …; "all that is asked"
	Hours       Share
	Days        Share // days in which no determined hour was short
	Months      Share
	Longest     Run
	Worst       WorstHour
	Causes      map[Cause]int // short hours by cause
	NotWhy      []Count       // hours not determined by reason, most first
	Record      int           // hours of the period
}

// Share is how many of n were met.
type Share struct {
	Met, N    int
	InDoubt   int // of N, those that rest on an instrument in doubt
	MetSure   int // met, of those not in doubt
	Effective float64
	stat.Interval
}

// Value is the share met; NaN without values.
func (s Share) Value() float64 {
	if s.N == 0 {
		return math.NaN()
	}
	return float64(s.Met) / float64(s.N)
}

// Sure is the share met of the values that rest on no instrument in doubt.
func (s Share) Sure() float64 {
	if s.N == s.InDoubt {
		return math.NaN()
	}
	return float64(s.MetSure) / float64(s.N-s.InDoubt)
}

// Run is a stretch of hours.
type Run struct {
	Hours int
	Start int64 // Unix ms
}

// WorstHour is the hour furthest below what was asked.
type WorstHour struct {
	At              int64
	Value, Required float64
	Unit            string
	Known           bool
	Doubt           string // the instrument in doubt then
}

// Count is how many of a kind.
type Count struct {
	Name string
	N    int
}

// reliabilities gives a basin's, all that is asked first.
func (m *maker) reliabilities(b *Basin, p Period) []Reliability {
	all := Ask{Name: "all that is asked", Value: b.CT, Required: b.Required, Unit: "mg·min/L", Verdict: b.Verdict}
	out := []Reliability{m.reliability(b, all, p)}
	if len(b.Asks) < 2 {
		return out
	}
	for _, a := range b.Asks {
		out = append(out, m.reliability(b, a, p))
	}
	return out
}

func (m *maker) reliability(b *Basin, a Ask, p Period) Reliability {
	out := Reliability{Basin: b.Title, What: a.Name, Causes: map[Cause]int{}, Record: p.Len()}
	why := map[string]int{}
	var met, days, months []bool
	var doubt, dayDoubt, monthDoubt []bool
	run, at := 0, 0
	dayKey, monthKey := -1, -1
	dayGood, dayKnown, monthGood := true, 0, true
	monthKnown, monthHours := 0, 0
	dInDoubt, mInDoubt := false, false
	closeDay := func() {
		if dayKey >= 0 && float64(dayKnown) >= m.set.DayShare*24 {
			days, dayDoubt = append(days, dayGood), append(dayDoubt, dInDoubt)
		}
		dayGood, dayKnown, dInDoubt = true, 0, false
	}
	closeMonth := func() {
		if monthKey >= 0 && float64(monthKnown) >= m.set.MonthShare*float64(monthHours) && monthHours >= 27*24 {
			months, monthDoubt = append(months, monthGood), append(monthDoubt, mInDoubt)
		}
		monthGood, monthKnown, monthHours, mInDoubt = true, 0, 0, false
	}
	for i := p.Lo; i < p.Hi; i++ {
		t := m.rec.At(i)
		if k := t.YearDay() + 1000*t.Year(); k != dayKey {
			closeDay()
			dayKey = k
		}
		if k := int(t.Month()) + 100*t.Year(); k != monthKey {
			closeMonth()
			monthKey = k
		}
		monthHours++
		v := a.Verdict[i]
		if !determined(v) {
			if v == contact.NotDetermined {
				why[b.Why[i]]++
			}
			run = 0
			continue
		}
		ok, d := !short(v), b.Doubt[i] != ""
		met, doubt = append(met, ok), append(doubt, d)
		dayKnown, monthKnown = dayKnown+1, monthKnown+1
		dayGood, monthGood = dayGood && ok, monthGood && ok
		dInDoubt, mInDoubt = dInDoubt || d && !ok, mInDoubt || d && !ok
		if ok {
			run = 0
			continue
		}
		out.Causes[b.Cause[i]]++
		if run == 0 {
			at = i
		}
		if run++; run > out.Longest.Hours {
			out.Longest = Run{run, m.rec.Hours[at].Start}
		}
		if w := &out.Worst; !w.Known || a.Value[i]/a.Required[i] < w.Value/w.Required {
			if r := a.Value[i] / a.Required[i]; !math.IsNaN(r) {
				*w = WorstHour{m.rec.Hours[i].Start, a.Value[i], a.Required[i], a.Unit, true, b.Doubt[i]}
			}
		}
	}
	closeDay()
	closeMonth()
	out.Hours = m.share(met, doubt, float64(len(met))/24)
	out.Days = m.share(days, dayDoubt, float64(len(days)))
	out.Months = m.share(months, monthDoubt, float64(len(months)))
	for w, n := range why {
		out.NotWhy = append(out.NotWhy, Count{w, n})
	}
	sort.Slice(out.NotWhy, func(i, j int) bool {
		if out.NotWhy[i].N != out.NotWhy[j].N {
			return out.NotWhy[i].N > out.NotWhy[j].N
		}
		return out.NotWhy[i].Name < out.NotWhy[j].Name
	})
	return out
}

// settleCauses looks again at short hours that no account explains. Where the
// contact time itself was short of what is asked, it was flow or volume. Where a
// quarter of the week about it was short, there is no normal to hold it against: the
// plant as usually run does not reach what is asked.
func (m *maker) settleCauses(b *Basin) {
	var time *Ask
	for i := range b.Asks {
		if b.Asks[i].Name == "contact time" {
			time = &b.Asks[i]
		}
	}
	const half = 84 // hours
	n, known := 0, 0
	count := func(i, by int) {
		if i >= 0 && i < len(b.Verdict) && determined(b.Verdict[i]) {
			known += by
			if short(b.Verdict[i]) {
				n += by
			}
		}
	}
	for i := range half {
		count(i, 1)
	}
	for i := range b.Verdict {
		count(i+half, 1)
		count(i-half-1, -1)
		switch {
		case b.Cause[i] != CauseUnknown || !short(b.Verdict[i]):
		case time != nil && short(time.Verdict[i]):
			b.Cause[i] = CauseFlow
		case float64(n) > 0.25*float64(known):
			b.Cause[i] = CauseUsual
		}
	}
}

// share counts what was met, with the exact interval of as many independent values
// as the ones and noughts in their order are worth, and no more than blocks of them:
// hours as days. Where none was missed, or none met, they tell nothing of their own
// dependence, and blocks are what is left.
func (m *maker) share(met, doubt []bool, blocks float64) Share {
	s := Share{N: len(met), Effective: math.NaN(), Interval: stat.Interval{Low: math.NaN(), High: math.NaN()}}
	v := make([]float64, len(met))
	for i, ok := range met {
		if ok {
			s.Met++
			v[i] = 1
		}
		if doubt[i] {
			s.InDoubt++
		} else if ok {
			s.MetSure++
		}
	}
	if s.N == 0 {
		return s
	}
	s.Effective = math.Min(blocks, float64(s.N))
	if s.Met > 0 && s.Met < s.N && s.N > 10 {
		// Short hours come in episodes: no more than one value a block, whatever their
		// neighbours tell.
		s.Effective = math.Min(s.Effective, stat.EffectiveN(s.N, stat.Lag1(v)))
	}
	s.Effective = math.Max(1, s.Effective)
	s.Interval = stat.ClopperPearson(s.Value()*s.Effective, s.Effective, m.set.Confidence)
	return s
}

// LimitMonths is how often the monthly summary held a limit of the permit.
type LimitMonths struct {
	Parameter, Point, Statistic, Unit string
	Limit                             string
	AtLeast                           bool
	Within                            Share
	Months                            []LimitMonth
	Undecided                         int // months in which it cannot be told
	CV                                float64
	Reliability                       float64 // coefficient at the level of the limit
	Expected                          float64 // share of months expected within, log-normal
	Mean                              float64
}

// LimitMonth is one limit in one month, by its legal definition.
type LimitMonth struct {
	Year                              int
	Month                             time.Month
	Parameter, Point, Statistic, Unit string
	AtLeast                           bool
	Limit                             float64
	LimitText                         string
	Value                             float64
	Below                             bool // less than Value
	State                             discharge.State
}

// limits groups the months by limit.
func (m *maker) limits(p Period) []LimitMonths {
	var out []LimitMonths
	at := map[string]int{}
	for _, x := range m.rec.LimitMonths {
		start := time.Date(x.Year, x.Month, 1, 0, 0, 0, 0, m.rec.Plant.Zone).UnixMilli()
		if p.Len() == 0 || start < m.rec.Start(p) || start >= m.rec.End(p) {
			continue
		}
		k := x.Parameter + "|" + x.Point + "|" + x.Statistic
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k] = i
			out = append(out, LimitMonths{Parameter: x.Parameter, Point: x.Point, Statistic: x.Statistic, Unit: x.Unit, Limit: x.LimitText, AtLeast: x.AtLeast})
		}
		out[i].Months = append(out[i].Months, x)
	}
	for i := range out {
		l := &out[i]
		var met, doubt []bool
		var v []float64
		limit := math.NaN()
		for _, x := range l.Months {
			switch x.State {
			case discharge.Within, discharge.Above, discharge.Below:
				met, doubt = append(met, x.State == discharge.Within), append(doubt, false)
				if !x.Below && x.Value > 0 {
					v = append(v, x.Value)
				}
				limit = x.Limit
			case discharge.CannotTell:
				l.Undecided++
			}
		}
		l.Within = m.share(met, doubt, float64(len(met)))
		l.CV, l.Mean, l.Reliability, l.Expected = math.NaN(), math.NaN(), math.NaN(), math.NaN()
		if len(v) >= 6 && len(v) == len(met) && limit > 0 {
			l.CV, l.Mean = stat.CV(v), stat.Mean(v)
			l.Reliability = stat.Reliability(l.CV, 0.95)
			if l.AtLeast {
				l.Expected = stat.ExpectedAbove(l.Mean, l.CV, limit)
			} else {
				l.Expected = stat.ExpectedWithin(l.Mean, l.CV, limit)
			}
		}
	}
	return out
}
