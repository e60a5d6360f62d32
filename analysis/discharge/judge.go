package discharge

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// placesFor says to what the result is rounded: what the limit states, else its
// significant figures or decimals, at most what the laboratory gave. A figure
// without a limit takes the laboratory's decimals, three figures of a signal.
func (j *job) placesFor(written string) Places {
	p := Places{MaxDecimals: -1}
	lab := j.labDecimals()
	l := j.l.Limit
	switch {
	case l.Figures > 0:
		p.Figures = l.Figures
		return p
	case l.Decimals > 0 || l.Decimals == 0 && l.Figures < 0: // the plant file writes -1 for not stated
		p.Decimals = l.Decimals
		return p
	case written == "":
		p.Figures = 3
	case j.b.in.Plant.Reporting.RoundTo == "decimals":
		p.Decimals = DecimalsOf(written)
	default:
		p.Figures = Figures(written)
	}
	if !j.stat.Mass && !j.stat.Removal && lab >= 0 {
		p.MaxDecimals = lab
	}
	return p
}

// labDecimals is the most decimals among the results, in the line's unit; -1
// for a signal or without results.
func (j *job) labDecimals() int {
	n := -1
	for _, r := range j.col.results {
		if finite(r.Value.V) {
			n = max(n, DecimalsOf(shortest(j.conv(r.Value.V))))
		}
	}
	return n
}

func rounded(v float64, p Places, h HalfRule) float64 {
	x, err := strconv.ParseFloat(Round(v, p, h), 64)
	if err != nil {
		return math.NaN()
	}
	return x
}

// finish rounds, once, and holds the result against its limit.
func (j *job) finish() {
	l := j.l
	l.Report = Value{l.Value, l.Sign}.text(j.places, j.half)
	if s := j.asWritten(Value{l.Value, l.Sign}); s != "" {
		l.Report = s
	}
	l.Rounded = rounded(l.Value, j.places, j.half)
	l.RoundedTo = j.places.String() + ", " + string(j.half)
	l.Places, l.Half = j.places, j.half
	if l.Report == "" {
		l.State = NotDetermined
		if l.Sign != Exact && l.Values > 0 && finite(l.LimitValue) {
			l.State = CannotTell
		}
		if l.Values == 0 {
			l.Remarks = append(l.Remarks, j.nothing())
		}
		return
	}
	j.accuracy()
	j.partDays()
	if j.col.signal() && finite(l.Cover) && l.Cover+1e-9 < j.b.in.Settings.DayCover {
		l.Remarks = append(l.Remarks, fmt.Sprintf("Incomplete: rests on %s %% of the month, less than the %g %% asked for.",
			Round(100*l.Cover, Places{Decimals: 1, MaxDecimals: -1}, HalfUp), 100*j.b.in.Settings.DayCover))
	}
	if math.IsNaN(l.LimitValue) {
		l.State = NoLimit
		return
	}
	l.Margin = l.LimitValue - l.Rounded
	if l.AtLeast {
		l.Margin = -l.Margin
	}
	if l.LimitValue != 0 {
		l.MarginPct = 100 * l.Margin / math.Abs(l.LimitValue)
	}
	out, told := j.beyond(Value{l.Value, l.Sign})
	told = told && !j.open
	if !told && l.Sign == Less && !l.AtLeast {
		// With non-detects as zero the figure is as low as it can be.
		for _, r := range l.Spread {
			if o, _ := j.beyond(r.Value); r.Rule == Zero && o {
				out, told = true, true
			}
		}
	}
	switch {
	case out && l.AtLeast:
		l.State = Below
	case out:
		l.State = Above
	case !told:
		l.State = CannotTell
		l.Margin, l.MarginPct = math.NaN(), math.NaN()
		if j.open {
			break
		}
		l.Remarks = append(l.Remarks, fmt.Sprintf("%s %s does not tell on which side of %s it lies; the permit says how such a result is judged.", l.Report, l.Unit, l.LimitText))
	default:
		l.State = Within
	}
	if l.State == Within && l.Sign == Exact {
		if l.AtLeast && l.Value < l.LimitValue || !l.AtLeast && l.Value > l.LimitValue {
			l.Remarks = append(l.Remarks, fmt.Sprintf("Unrounded %s lies beyond the limit; it is compared as reported, rounded to %s.", shortest4(l.Value), j.places))
		}
	}
	if l.Undecided > 0 && l.State != CannotTell {
		l.Remarks = append(l.Remarks, fmt.Sprintf("%d value%s with < or > do%s not tell on which side of the limit they lie.", l.Undecided, plural(l.Undecided), verbEs(l.Undecided)))
	}
}

// asWritten is a bound that stands so in a sheet: it is passed
// on as it stands, >2419.6 and not >2420.
func (j *job) asWritten(v Value) string {
	if v.Sign == Exact || !finite(v.V) {
		return ""
	}
	for _, r := range j.col.results {
		if r.day >= j.lo && r.day < j.hi && r.Note == "" && r.Value.Sign == v.Sign && j.conv(r.Value.V) == v.V {
			s := strings.ReplaceAll(r.Written, " ", "")
			if x, err := strconv.ParseFloat(strings.TrimPrefix(s, string(v.Sign)), 64); err == nil && x == v.V && strings.HasPrefix(s, string(v.Sign)) {
				return s
			}
			return string(v.Sign) + shortest(v.V)
		}
	}
	return ""
}

// partDays names the days of a signal, or of the flow behind a mass, of which
// only a part is covered: that part stands for the day; and those left out.
func (j *job) partDays() {
	if !j.stat.Mass && (!j.col.signal() || j.l.Unit == "min" || j.stat.Name == "one hour average" || j.stat.Name == "four day average") {
		return
	}
	var part, short []time.Time
	share := func(i int) float64 { return j.col.days[i].Cover }
	if j.stat.Mass && !j.col.signal() {
		share = func(i int) float64 { return j.col.days[i].flowCover }
	}
	for _, i := range j.days(j.lo, j.hi) {
		if j.stat.Mass && !finite(j.col.days[i].Value.V) && !j.col.signal() {
			continue // no result to carry
		}
		switch c := share(i); {
		case c > 0.999:
		case c+1e-9 >= j.b.in.Settings.DayCover:
			part = append(part, j.b.cal.dates[i])
		case !j.stat.Mass:
			short = append(short, j.b.cal.dates[i])
		}
	}
	what := ""
	if j.stat.Mass {
		what = "The flow of "
	}
	if len(part) > 0 {
		j.l.Remarks = append(j.l.Remarks, fmt.Sprintf("%s%s: the covered part stands for the whole day.", what, dateList(part)))
	}
	if len(short) > 0 {
		j.l.Remarks = append(j.l.Remarks, fmt.Sprintf("Not determined, and left out: %s.", dateList(short)))
	}
}

func verbEs(n int) string {
	if n == 1 {
		return "es"
	}
	return ""
}

func (j *job) nothing() string {
	where := fmt.Sprintf("%s at %s", j.l.Parameter, j.l.Point)
	if len(j.col.tags) == 0 {
		if s := j.l.Limit.Sample; s != "" || j.stat.OnSignal {
			return fmt.Sprintf("No %s tag measures %s.", j.col.sample, where)
		}
		return fmt.Sprintf("No tag measures %s.", where)
	}
	var tags, none []string
	for _, t := range j.col.tags {
		tags = append(tags, t.Tag.Name)
		if t.Series.Len() == 0 && len(t.Lab) == 0 {
			none = append(none, t.Tag.Name)
		}
	}
	if len(none) == len(tags) {
		return fmt.Sprintf("No result of %s in %s: %s %s in no export; check shows what they call their tags.", where, date(j.year, j.month, 1).Format("January 2006"), strings.Join(tags, ", "), map[bool]string{true: "is", false: "are"}[len(tags) == 1])
	}
	return fmt.Sprintf("No result of %s (%s) in %s.", where, strings.Join(tags, ", "), date(j.year, j.month, 1).Format("January 2006"))
}

// accuracy says whether the result lies nearer to its limit than the measurement
// is accurate (tags.csv, column accuracy).
func (j *job) accuracy() {
	l := j.l
	if len(j.col.tags) == 0 || j.unit.Dimension != j.col.unit.Dimension && !j.stat.Mass || l.Unit == "min" || l.Unit == "samples" {
		return
	}
	t := j.col.tags[0].Tag
	rel, abs := t.Percent, t.Absolute
	if math.IsNaN(rel) && math.IsNaN(abs) {
		return
	}
	zero := func(v float64) float64 {
		if math.IsNaN(v) {
			return 0
		}
		return v
	}
	if j.stat.Mass {
		// The percent part of both measurements, as independent errors.
		f := 0.0
		if j.col.flow != nil {
			f = zero(j.col.flow.Tag.Percent)
		}
		l.Accuracy = math.Abs(l.Value) * math.Hypot(zero(rel), f) / 100
	} else {
		l.Accuracy = math.Abs(l.Value)*zero(rel)/100 + zero(abs)*j.col.unit.Scale/j.unit.Scale
	}
	if d := math.Abs(l.Value - l.LimitValue); d <= l.Accuracy {
		l.WithinAccuracy = true
		l.Remarks = append(l.Remarks, fmt.Sprintf("The result lies within the measurement's accuracy (± %s %s) of the limit.", Round(l.Accuracy, Places{Figures: 2, MaxDecimals: -1}, HalfUp), l.Unit))
	}
}
