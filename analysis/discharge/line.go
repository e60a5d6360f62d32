package discharge

import (
	"math"
	"time"

	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
)

// State says how a result lies to its limit. It is a statement about two
// numbers, not about the permit.
type State string

// States.
const (
	Within        State = "within limit"
	Above         State = "above limit"
	Below         State = "below limit"
	CannotTell    State = "cannot be told"
	NotDetermined State = "not determined"
	NotInSeason   State = "not in season"
	NotDue        State = "not due"
	NoLimit       State = "no limit"
)

// Idle says that the line asks for nothing this month.
func (s State) Idle() bool { return s == NotInSeason || s == NotDue }

// Outside says that the result is on the wrong side.
func (s State) Outside() bool { return s == Above || s == Below }

// Excursion is one value on the wrong side of a limit.
type Excursion struct {
	First, Last time.Time // dates, both included (equal for one day)
	Start, End  int64     // Unix milliseconds where the time of day is known; else 0
	Value       float64   // in the line's unit; for a pH excursion its farthest reading
	Minutes     float64   // of an excursion of a signal; NaN
	Text        string    // "27 March 2026: 0.14 mg/L"
}

// Line is one line of the summary: a statistic of a parameter at a point, and
// its limit. Numbers are in Unit; NaN and "" stand for not determined.
type Line struct {
	Limit     plant.Limit
	Parameter string // title
	Point     string // title
	Statistic string // the permit's words
	Part      string // "lowest", "highest", "time outside, total" … of a range; else empty
	Column    int    // in Month.Columns; -1
	Against   int    // the influent's, of a removal; -1
	Unit      string
	AtLeast   bool
	ForPlant  bool // false: not in plant.toml, added because the parameter is measured

	Value      float64 // unrounded
	Sign       Sign
	Report     string // rounded, with its sign: what is copied into the form
	Rounded    float64
	RoundedTo  string // in words
	Places     Places // to which it was rounded, and how
	Half       HalfRule
	Numberless int // results without a number among those that went in
	LimitValue float64
	LimitText  string
	State      State
	Margin     float64 // to the good side positive
	MarginPct  float64 // of the limit
	When       string  // of the value that decides: a date, a week

	Excursions []Excursion
	// OnLineBeyond is in how many hours of the month an instrument on line read
	// beyond the limit of a line that is held against samples.
	OnLineBeyond int
	Undecided    int // values whose sign hides on which side they lie

	Values     int // values that went in: days, weeks, results
	NonDetects int
	Rule       Rule // the non-detect rule used; empty where nothing was below
	RuleText   string
	Spread     []RuleFigure // under every rule; empty where nothing was below
	SpreadText string

	Taken, Required int // samples; Required 0: nothing stated
	Missing         int
	MissingSaid     int    // of the missing, those for which the laboratory's sheet holds a reason
	Sampling        string // in words, with what is missing

	Accuracy       float64 // of the measurement at the result; NaN: not stated
	WithinAccuracy bool
	Cover          float64 // share of the time covered, of a signal; NaN

	How     string // how it was computed
	Law     string // the definition followed
	Remarks []string
	ToDate  []MonthFigure // January to this month
}

// MonthFigure is the same line in one month of the year.
type MonthFigure struct {
	Year   int
	Month  time.Month
	Value  float64
	Report string
	State  State
	Part   bool // the exports hold only a part of the month
}

// job is one line in the making.
type job struct {
	b      *bench
	l      *Line
	col    *column
	stat   plant.Statistic
	unit   quantity.Unit
	ch     Choice
	places Places
	open   bool // see Figure
	half   HalfRule
	lo, hi int // days of the month in the calendar
	season plant.Season
	all    bool // no season
	year   int
	month  time.Month
}

func (j *job) inSeason(d time.Time) bool { return j.all || j.season.Holds(d.Month(), d.Day()) }

// days lists the days of [lo, hi) that count: in season, with discharge.
func (j *job) days(lo, hi int) []int {
	var out []int
	for i := max(lo, 0); i < min(hi, len(j.col.days)); i++ {
		if !j.col.days[i].NoDischarge && j.inSeason(j.col.days[i].Date) {
			out = append(out, i)
		}
	}
	return out
}

// conv turns a number of the column's working unit into the line's.
func (j *job) conv(v float64) float64 {
	x, err := quantity.Convert(v, j.col.unit, j.unit)
	if err != nil {
		return math.NaN()
	}
	return x
}

// daily gives the daily values of [lo, hi), and the days they are of.
func (j *job) daily(lo, hi int) (vs []Value, at []int) {
	for _, i := range j.days(lo, hi) {
		if d := j.col.days[i]; d.Value.there() {
			vs = append(vs, Value{j.conv(d.Value.V), d.Value.Sign})
			at = append(at, i)
		}
	}
	return vs, at
}

// results gives the single results of the days [lo, hi); of a signal its daily
// values.
func (j *job) results(lo, hi int) (vs []Value, rs []Result) {
	for _, r := range j.col.results {
		if r.day >= lo && r.day < hi && r.Note == "" && j.inSeason(r.Date) {
			vs = append(vs, Value{j.conv(r.Value.V), r.Value.Sign})
			rs = append(rs, r)
		}
	}
	return vs, rs
}

// put sets the figure and everything that follows from it.
func (j *job) put(f Figure, vs []Value, stat func(Choice) Figure) {
	l := j.l
	l.Value, l.Sign = f.V, f.Sign
	l.Values, l.NonDetects = len(vs), ofSign(vs, Less)
	l.Numberless = numberless(vs, Less) + numberless(vs, Greater)
	j.open = f.Open
	if f.Note != "" {
		l.Remarks = append(l.Remarks, capital(f.Note)+".")
	}
	if l.NonDetects > 0 {
		l.Rule = f.Rule
		l.RuleText = f.Rule.Words(j.ch.Fixed)
		l.Spread = j.ch.spread(stat)
		l.SpreadText = spreadText(l.Spread, j.places, j.half)
	}
}

func spreadText(sp []RuleFigure, p Places, h HalfRule) string {
	s := ""
	for _, r := range sp {
		t := r.Value.text(p, h)
		if t == "" {
			t = "none"
		}
		if s != "" {
			s += ", "
		}
		s += string(r.Rule) + " " + t
	}
	return s
}

// beyond says whether a value lies on the wrong side of the limit, compared as
// it is reported, and whether that can be told in spite of its sign.
func (j *job) beyond(v Value) (outside, told bool) {
	r := rounded(v.V, j.places, j.half)
	lim := j.l.LimitValue
	if math.IsNaN(lim) || !finite(r) {
		return false, math.IsNaN(lim) || v.Sign == Exact
	}
	if v.Sign == Less && !j.l.AtLeast && v.V <= j.l.Limit.ComplianceLevel*(1+1e-9) {
		return false, true // below the permit's compliance level
	}
	if j.l.AtLeast {
		switch v.Sign {
		case Less:
			return r <= lim, r <= lim
		case Greater:
			return false, r >= lim
		}
		return r < lim, true
	}
	switch v.Sign {
	case Less:
		return false, r <= lim
	case Greater:
		return r >= lim, r >= lim
	}
	return r > lim, true
}

// excursion notes a value when it lies on the wrong side.
func (j *job) excursion(v Value, first, last time.Time, start, end int64) {
	out, told := j.beyond(v)
	if !told {
		j.l.Undecided++
	}
	if !out {
		return
	}
	text := v.text(j.places, j.half)
	if s := j.asWritten(v); s != "" {
		text = s
	}
	t := span(first, last)
	if start != 0 && start == end {
		t = time.UnixMilli(start).In(j.b.cal.loc).Format("2 January 2006 15:04")
	}
	j.l.Excursions = append(j.l.Excursions, Excursion{First: first, Last: last, Start: start, End: end, Value: v.V, Minutes: math.NaN(),
		Text: t + ": " + text + " " + j.l.Unit})
}
