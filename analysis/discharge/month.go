package discharge

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"strconv"
	"time"

	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
)

// Month is a monthly discharge summary: plain data, ready to be laid out.
type Month struct {
	Plant, Facility, PermitNumber string
	Year                          int
	Month                         time.Month
	Zone                          string
	Days                          []CalendarDay // of the month
	Weeks                         []Week        // that touch the month
	Lines                         []Line
	Columns                       []Column
	Sources                       []Source
	Reporting                     plant.Reporting // the permit's rules that were used
	Settings                      Settings
	Rules                         []string // the rules and settings in sentences
	Remarks                       []string
	Cautions                      []string
}

// CalendarDay is a day of the month and its length.
type CalendarDay struct {
	Date  time.Time
	Hours float64
}

// Column is one parameter at one point, day by day: from the first day of the
// first week that touches the month to the last day of the last one.
type Column struct {
	Kind     quantity.Kind
	At       string
	Title    string // "Total suspended solids, outfall (composite)"
	Short    string // "TSS outfall"
	Sample   string
	Unit     string // working unit
	Decimals int    // most decimals of its results; 3 for a signal
	Days     []Day
	MonthLo  int // Days[MonthLo:MonthHi] is the month
	MonthHi  int
	Results  []Result // of those days, by time; none for a signal
	HasLoad  bool
	FlowTag  string
	Tags     []string
}

// Source is one tag that the summary rests on.
type Source struct {
	Tag, Measures, At, Unit string
	Reading                 string
	Readings, Used          int // in the month
	LeftOut                 []Count
	Hours                   float64 // covered in the month, of a signal; NaN for samples
	HoursOf                 float64 // in the month
	DaysWhole, DaysPart     int     // days covered whole; in part but enough, the covered part standing for the day
	DaysShort               int     // days not determined
	Accuracy                string
}

// Count is how many readings carry a remark.
type Count struct {
	Reason string
	N      int
}

// First is the first day of the month, midnight UTC: only the date counts.
func (m *Month) First() time.Time { return date(m.Year, m.Month, 1) }

// Name: "March 2026".
func (m *Month) Name() string { return m.First().Format("January 2006") }

// Summarise makes the monthly summary. An error means that the input makes no
// month at all; what a single figure lacks stands in its line.
func Summarise(in Input) (*Month, error) {
	switch {
	case in.Plant == nil:
		return nil, errors.New("no plant description")
	case in.Month < time.January || in.Month > time.December || in.Year < 1900 || in.Year > 9999:
		return nil, fmt.Errorf("there is no month %d-%02d", in.Year, in.Month)
	}
	for _, t := range in.Tags {
		if t.Series == nil {
			return nil, fmt.Errorf("tag %s has no readings", t.Tag.Name)
		}
		if err := t.Series.Check(); err != nil {
			return nil, err
		}
	}
	if in.Settings == (Settings{}) {
		in.Settings = DefaultSettings(in.Plant)
	}
	// The order in which files were read must not matter.
	in.Tags = append([]TagData(nil), in.Tags...)
	sort.SliceStable(in.Tags, func(i, j int) bool { return in.Tags[i].Tag.Line < in.Tags[j].Tag.Line })
	b := newBench(in)
	m := &Month{Plant: in.Plant.Name, Facility: in.Plant.Reporting.Facility, PermitNumber: in.Plant.Reporting.PermitNumber,
		Year: in.Year, Month: in.Month, Zone: in.Plant.ZoneName, Reporting: in.Plant.Reporting, Settings: in.Settings}
	lo, hi := b.cal.month(in.Year, in.Month)
	for i := lo; i < hi; i++ {
		m.Days = append(m.Days, CalendarDay{b.cal.dates[i], b.cal.hours(i)})
	}
	m.Weeks = b.cal.weeks(in.Year, in.Month, in.Plant.Reporting)
	for _, l := range in.Plant.Limits {
		m.Lines = append(m.Lines, b.lines(l, true)...)
	}
	for _, l := range b.unlisted() {
		m.Lines = append(m.Lines, b.lines(l, false)...)
	}
	b.columnsOf(m)
	b.sourcesOf(m)
	b.words(m)
	return m, nil
}

// parts are the lines that a statistic makes: a range has two ends.
func parts(s plant.Statistic) []int {
	if s.Range {
		return []int{0, 1}
	}
	return []int{0}
}

// lines makes the line or lines of one limit, with the year to date.
func (b *bench) lines(l plant.Limit, listed bool) []Line {
	st, ok := plant.StatisticOf(l.Statistic)
	if !ok {
		return nil // refused when the plant was read
	}
	var out []Line
	for _, part := range parts(st) {
		line := b.line(l, st, part, b.in.Year, b.in.Month)
		line.ForPlant = listed
		for mo := time.January; mo <= b.in.Month; mo++ {
			if b.cal.windows[b.cal.at[date(b.in.Year, mo+1, 0)]].End <= b.from {
				continue // before the exports begin
			}
			past := line
			if mo != b.in.Month {
				past = b.line(l, st, part, b.in.Year, mo)
			}
			if past.Report != "" || mo == b.in.Month {
				lo, hi := b.cal.month(b.in.Year, mo)
				// Samples are days apart, so a month without its first days may be whole.
				part := b.from > b.cal.windows[lo+6].End || b.to < b.cal.windows[hi-7].Start
				line.ToDate = append(line.ToDate, MonthFigure{b.in.Year, mo, past.Value, past.Report, past.State, part})
			}
		}
		out = append(out, line)
	}
	return out
}

func (b *bench) line(l plant.Limit, st plant.Statistic, part int, year int, mo time.Month) Line {
	nan := math.NaN()
	info, _ := quantity.Of(l.Parameter)
	line := Line{Limit: l, Parameter: info.Title, Point: b.in.Plant.Title(l.At), Statistic: l.Statistic, Against: -1, Column: -1,
		Unit: l.Unit, AtLeast: st.AtLeast, Value: nan, Rounded: nan, LimitValue: l.Value, Margin: nan, MarginPct: nan, Accuracy: nan, Cover: nan,
		Law: lawOf(l.Statistic), LimitText: l.Written}
	if line.LimitText == "" && finite(l.Value) {
		line.LimitText = shortest(l.Value)
	}
	sample := l.Sample
	if st.OnSignal {
		sample = "continuous"
	}
	col := b.find(l.Parameter, l.At, sample)
	j := &job{b: b, l: &line, col: col, stat: st, year: year, month: mo, half: HalfRule(b.in.Plant.Reporting.Rounding), all: l.Season == ""}
	for i, c := range b.columns {
		if c == col {
			line.Column = i
		}
	}
	j.unit = col.unit
	if u, err := quantity.ParseUnit(l.Unit); err == nil && l.Unit != "" {
		j.unit = u
	}
	j.ch = b.choice(col, j.unit)
	j.lo, j.hi = b.cal.month(year, mo)
	if !j.all {
		j.season, _ = plant.ParseSeason(l.Season)
	}
	j.places = j.placesFor(line.LimitText)
	if !j.seasonTouches() {
		j.run1(part, false)
		line.State = NotInSeason
		return line
	}
	j.run1(part, true)
	j.finish()
	return line
}

// run1 computes the statistic; without results it only names the parts.
func (j *job) run1(part int, compute bool) {
	if !compute {
		j.l.LimitText = j.l.Limit.Written
		if j.stat.Range {
			j.l.Part = []string{"lowest", "highest"}[part]
			if j.stat.OnSignal {
				j.l.Part = []string{"time outside, total", "longest excursion"}[part]
			}
		}
		j.l.Sampling = "not in season"
		return
	}
	switch j.stat.Name {
	case "average monthly":
		j.averageMonthly()
	case "maximum weekly average":
		j.maximumWeekly(arithmetic)
	case "maximum daily":
		j.extremeDaily(false)
	case "minimum daily":
		j.extremeDaily(true)
	case "instantaneous maximum":
		j.instantaneous(false)
	case "instantaneous minimum":
		j.instantaneous(true)
	case "range":
		j.rangeOf(part == 0)
	case "range continuous":
		j.acidity(part == 1)
	case "geometric mean monthly":
		j.geometricMonthly()
	case "geometric mean weekly":
		j.maximumWeekly(geometric)
	case "median 7 day":
		j.medianSevenDay()
	case "not more than one in 30 days":
		j.oneIn30()
	case "removal monthly minimum":
		j.removal()
	case "mass average monthly":
		j.massAverage()
	case "mass maximum weekly":
		j.massWeekly()
	case "mass maximum daily":
		j.massDaily()
	case "one hour average":
		j.oneHour()
	case "four day average":
		j.fourDay()
	default:
		j.percentile()
	}
	j.sampling()
}

func (j *job) seasonTouches() bool {
	for i := j.lo; i < j.hi; i++ {
		if j.inSeason(j.b.cal.dates[i]) {
			return true
		}
	}
	return false
}

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
		n = max(n, DecimalsOf(shortest(j.conv(r.Value.V))))
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
	l.Rounded = rounded(l.Value, j.places, j.half)
	l.RoundedTo = j.places.String() + ", " + string(j.half)
	if l.Report == "" {
		l.State = NotDetermined
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
	return fmt.Sprintf("No result of %s in %s.", where, date(j.year, j.month, 1).Format("January 2006"))
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
