package sample

import (
	"bytes"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/export/stamp"
)

// TimeCols is where a table's times stand and how they are written.
type TimeCols struct {
	found                         bool
	Kind                          stamp.TimeKind
	Time, Date, Clk, Hour, Minute int
	Half                          int   // says AM or PM
	Milli, Off                    int   // milliseconds; offset from UTC
	OffUnit                       int64 // ms that a plain number of Off counts in
	Ymd                           []int
	Form                          clockForm // of clk
	SerialDate                    bool      // date is a spreadsheet's serial number, whole days
}

func NoTimes() TimeCols {
	return TimeCols{Time: -1, Date: -1, Clk: -1, Hour: -1, Minute: -1, Half: -1, Milli: -1, Off: -1}
}

// heading gives the text above column k: of the nearest line above the rows
// that is as wide as they are and not one itself.
func (c *Candidate) heading(k int) string {
	for i, fs := range c.Fields {
		if len(fs) == c.Width && i < 80 {
			h := record.CleanName(fs[k])
			if h != "" && !cell.Numeric(fs[k]) {
				if tm := (stamp.TimeReader{Clock: stamp.ZoneOf(nil)}); len(h) < 60 {
					if _, st := tm.Civil([]byte(h)); st != stamp.TimeOK {
						return h
					}
				}
			}
		}
	}
	return ""
}

// findTimes finds the columns that hold the times.
func (c *Candidate) findTimes(src *rule.SourceRule) {
	t := &c.Times
	*t = NoTimes()
	heads := make([]string, c.Width)
	for k := range heads {
		heads[k] = c.heading(k)
	}
	defer func() {
		c.findHalf(heads)
		c.findBeside(heads)
	}()
	if src != nil && src.TimeColumn != "" && c.statedTime(src.TimeColumn, heads) {
		return
	}
	// Text times first; a plain number can also be a date in disguise
	// (20260101), which only counts where nothing else does.
	if best := c.textTimes(heads); best >= 0 {
		t.Time, t.found = best, true
		c.splitDate(best, heads)
		return
	}
	if !c.yearMonthDay(heads) {
		c.numberTimes(heads)
	}
}

// statedTime takes the column that plant.toml names.
func (c *Candidate) statedTime(name string, heads []string) bool {
	for k, h := range heads {
		if strings.EqualFold(h, name) {
			t := &c.Times
			t.Time, t.Kind, t.found = k, c.numericTime(k, true), true
			if c.Kinds[k].Time > 0 {
				t.Kind = stamp.TextTime
			}
			c.splitDate(k, heads)
			return true
		}
	}
	return false
}

// textTimes finds the column of times written as text; -1 if there is none.
func (c *Candidate) textTimes(heads []string) int {
	best, bestShare := -1, 0.0
	for k := range c.Kinds {
		q := &c.Kinds[k]
		full := q.Full()
		if full == 0 || q.Time*10 < full*6 || q.Number > full/2 && !IsTimeHead(heads[k]) && k > 1 {
			continue
		}
		share := float64(q.Time)/float64(q.N) + TimeRank(heads[k])
		if IsTimeHead(heads[k]) {
			share += 0.5
		}
		if q.zeroDay() {
			share -= 0.8
		}
		if share > bestShare+1e-9 {
			best, bestShare = k, share
		}
	}
	// Of pairs with times of their own, the first may end before the others.
	for k := 0; k < best; k++ {
		q := &c.Kinds[k]
		if full := q.Full(); full > 0 && q.Time == full && IsTimeHead(heads[k]) && IsTimeHead(heads[best]) && TimeRank(heads[k]) >= TimeRank(heads[best]) && c.numbersWithin(k, best) {
			best = k
		}
	}
	return c.endOfSampling(best, heads)
}

// datePart tells what a heading names of a date or a time of day in parts.
var datePart = func() map[string]string {
	m := map[string]string{}
	for part, words := range map[string]string{"year": "year yyyy yr jahr año année 年", "month": "month mm mon mo monat mes mois 月",
		"day": "day dd tag dia día jour 日", "hour": "hour hr hh stunde hora heure 時", "minute": "minute min mi 分"} {
		for _, w := range strings.Fields(words) {
			m[w] = part
		}
	}
	return m
}()

// yearMonthDay finds year, month and day in three columns, and the time of day beside
// them.
func (c *Candidate) yearMonthDay(heads []string) bool {
	at := map[string]int{}
	for k, h := range heads {
		if part := datePart[cell.Bare(h)]; part != "" {
			at[part] = k
		}
	}
	column := func(part string) int {
		if k, ok := at[part]; ok {
			return k
		}
		return -1
	}
	y, m, d := column("year"), column("month"), column("day")
	if y < 0 || m < 0 || d < 0 {
		return false
	}
	t := &c.Times
	t.Ymd, t.found = []int{y, m, d}, true
	if t.Hour = column("hour"); t.Hour >= 0 {
		t.Minute = column("minute")
		return true
	}
	for k := range c.Kinds {
		if q := &c.Kinds[k]; q.Clock*10 >= q.Full()*6 && q.Clock > 0 {
			t.Clk = k
		}
	}
	if t.Clk < 0 {
		if k, form := c.clockColumn(y, heads); k >= 0 {
			t.Clk, t.Form = k, form
		}
	}
	return true
}

// numberTimes finds spreadsheet serials and epochs, in a column headed as a time or in
// the first one.
func (c *Candidate) numberTimes(heads []string) {
	t := &c.Times
	for k := range c.Kinds {
		kind := stamp.TextTime
		if IsTimeHead(heads[k]) {
			kind = c.numericTime(k, true)
		}
		if kind == stamp.TextTime {
			continue
		}
		t.Time, t.Kind, t.found = k, kind, true
		if j, form := c.clockColumn(k, heads); kind == stamp.SerialTime && j >= 0 && c.Kinds[k].wholeNumbers() {
			t.Time, t.Date, t.Clk, t.Form = -1, k, j, form
			t.Kind, t.SerialDate = stamp.TextTime, true
		}
		return
	}
	for k := 0; k < min(2, c.Width); k++ {
		if kind := c.numericTime(k, false); kind != stamp.TextTime {
			t.Time, t.Kind, t.found = k, kind, true
			return
		}
	}
}

// numbersWithin says whether numbers stand between columns a and b.
func (c *Candidate) numbersWithin(a, b int) bool {
	for k := a + 1; k < b; k++ {
		if c.Kinds[k].Number > 0 {
			return true
		}
	}
	return false
}

// splitDate looks for the time of day beside a column of plain dates.
func (c *Candidate) splitDate(k int, heads []string) {
	t := &c.Times
	q := &c.Kinds[k]
	take := func(clk int, form clockForm) {
		t.Time, t.Date, t.Clk, t.Form = -1, k, clk, form
	}
	if q.DateOnly*10 < q.Time*9 {
		// Dates with a midnight behind each, beside a column that is headed as the
		// time of day.
		if q.midnight*10 >= q.Time*9 {
			if j, form := c.clockColumn(k, heads); j >= 0 {
				take(j, form)
			}
		}
		return
	}
	for i := 1; i < len(c.Kinds); i++ { // the next one behind the date
		j := (k + i) % len(c.Kinds)
		if anyWord(heads[k], endWords) && anyWord(heads[j], beginWords) {
			continue
		}
		if r := &c.Kinds[j]; r.Clock > 0 && r.Clock*10 >= r.Full()*6 {
			if ClockHeads[cell.Bare(heads[j])] && r.byHand() {
				take(j, clockByHand)
			} else {
				take(j, ClockPlain)
			}
			return
		}
	}
	if j := c.hourBeside(k, heads); j >= 0 {
		t.Time, t.Date, t.Hour = -1, k, j
		t.Minute = c.minuteBeside(k, j, heads)
		return
	}
	if j, form := c.clockColumn(k, heads); j >= 0 {
		take(j, form)
		return
	}
	for j := range c.Kinds {
		if j != k && ClockHeads[cell.Bare(heads[j])] && c.Kinds[j].hoursOfDay(q) {
			t.Time, t.Date, t.Hour = -1, k, j
			return
		}
	}
}

var hourHeads = lex.Set("hour", "hr", "he", "hour ending", "stunde", "hora", "heure", "hh")

// hourBeside finds a column of hours beside one of dates; -1 if there is none.
func (c *Candidate) hourBeside(dates int, heads []string) int {
	for j := range c.Kinds {
		if r := &c.Kinds[j]; j != dates && hourHeads[cell.Bare(heads[j])] && r.Number > 0 && r.min >= 0 && r.max <= 24 {
			return j
		}
	}
	return -1
}

// minuteBeside finds a column of minutes beside dates and hours; -1 if there is none.
func (c *Candidate) minuteBeside(dates, hours int, heads []string) int {
	minute := -1
	for m := range c.Kinds {
		if x := &c.Kinds[m]; m != hours && m != dates && MinuteHeads[cell.Bare(heads[m])] && x.Number > 0 && x.Number >= x.Full()-1 && x.min >= 0 && x.max <= 59 {
			minute = m
		}
	}
	return minute
}

// numericTime says which kind of number a column of times holds; TextTime if
// none.
func (c *Candidate) numericTime(k int, headed bool) stamp.TimeKind {
	q := &c.Kinds[k]
	if q.Number == 0 || q.Number*10 < q.Full()*6 {
		return stamp.TextTime
	}
	if !headed && len(q.Distinct) < 2 && q.N > 4 {
		return stamp.TextTime
	}
	switch {
	case q.min >= 20000 && q.max <= 80000 && (headed || q.max-q.min < 4000 && q.Rising < q.Number-1):
		return stamp.SerialTime
	case q.min >= 1e8 && q.max <= 4.2e9:
		return stamp.EpochTime
	case q.min >= 1e11 && q.max <= 4.2e12:
		return stamp.MilliTime
	case q.min >= 1e14 && q.max <= 4.2e15:
		return stamp.MicroTime
	case q.min >= 1e17 && q.max <= 4.2e18:
		return stamp.NanoTime
	}
	return stamp.TextTime
}

// cell writes a row's time as one cell.
func (t *TimeCols) cell(fs [][]byte) []byte {
	return t.Join(nil, func(i int) []byte {
		if i >= 0 && i < len(fs) {
			return fs[i]
		}
		return nil
	})
}

// reads says whether a row's time can be read, in either order of day and
// month.
func (t *TimeCols) reads(fs [][]byte) bool {
	cell := t.cell(fs)
	tm := stamp.TimeReader{Clock: stamp.ZoneOf(nil), Kind: t.Kind}
	_, st := tm.Read(cell)
	if st == stamp.TimeBad && t.Kind == stamp.TextTime {
		tm = stamp.TimeReader{Clock: stamp.ZoneOf(nil), Order: stamp.DayFirst}
		_, st = tm.Read(cell)
		if st == stamp.TimeBad {
			tm = stamp.TimeReader{Clock: stamp.ZoneOf(nil), Order: stamp.YearFirst}
			_, st = tm.Read(cell)
		}
	}
	if t.Kind != stamp.TextTime && st == stamp.TimeOK {
		v, _ := lex.ParseNumber(bytes.TrimSpace(cell), '.')
		switch t.Kind {
		case stamp.SerialTime:
			return v >= 10000
		case stamp.EpochTime:
			return v >= 1e8
		}
	}
	return st == stamp.TimeOK
}

// Joined says whether the time is to be put together with what stands in columns of
// their own.
func (t *TimeCols) Joined() bool { return t.Half >= 0 || t.Milli >= 0 || t.Off >= 0 }

// Join writes the row's time as one cell, out of one or several columns.
func (t *TimeCols) Join(dst []byte, get func(int) []byte) []byte {
	dst = t.joinParts(dst, get)
	if !t.Joined() || len(dst) == 0 {
		return dst
	}
	if t.Milli >= 0 {
		dst = joinMilli(dst, lex.Trim(get(t.Milli)))
	}
	if t.Half >= 0 {
		half := lex.Trim(get(t.Half))
		if len(half) == 0 { // ten in the morning or in the evening
			return dst[:0]
		}
		dst = append(append(dst, ' '), half...)
		if len(half) == 1 {
			dst = append(dst, 'm')
		}
	}
	if t.Off >= 0 {
		dst = joinOffset(dst, lex.Trim(get(t.Off)), t.OffUnit)
	}
	return dst
}

func (t *TimeCols) joinParts(dst []byte, get func(int) []byte) []byte {
	if t.Time >= 0 {
		return append(dst, get(t.Time)...)
	}
	if t.Date >= 0 {
		day := stamp.Unwrapped(lex.Trim(get(t.Date)))
		if t.SerialDate {
			dst = appendSerialDate(dst, day)
		} else {
			dst = appendDate(dst, day)
		}
	} else {
		for i, c := range t.Ymd {
			x := wholePart(lex.Trim(get(c)))
			if i > 0 {
				dst = append(dst, '-')
				if len(x) == 1 {
					dst = append(dst, '0')
				}
			}
			dst = append(dst, x...)
		}
	}
	switch {
	case t.Clk >= 0:
		clock := stamp.Unwrapped(lex.Trim(get(t.Clk)))
		if len(clock) == 0 && t.Form == ClockPlain {
			return dst
		}
		dst = appendClock(append(dst, ' '), clock, t.Form)
	case t.Hour >= 0:
		h := wholePart(lex.Trim(get(t.Hour)))
		if len(h) == 0 {
			return dst[:0]
		}
		dst = append(dst, ' ')
		if len(h) == 1 {
			dst = append(dst, '0')
		}
		dst = append(dst, h...)
		dst = append(dst, ':')
		m := wholePart(lex.Trim(get(t.Minute)))
		for i := len(m); i < 2; i++ {
			dst = append(dst, '0')
		}
		dst = append(dst, m...)
	}
	return dst
}

// wholePart takes the decimals off 1972.0, as a program writes a column that it keeps
// as fractions.
func wholePart(b []byte) []byte {
	i := bytes.IndexAny(b, ".,")
	if i <= 0 || len(bytes.Trim(b[i+1:], "0")) > 0 {
		return b
	}
	return b[:i]
}
