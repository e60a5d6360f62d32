package export

import (
	"bytes"
	"strings"
)

// timeCols is where a table's times stand and how they are written.
type timeCols struct {
	found                         bool
	kind                          timeKind
	time, date, clk, hour, minute int
	half                          int // says AM or PM
	ymd                           []int
	form                          clockForm // of clk
	serialDate                    bool      // date is a spreadsheet's serial number, whole days
}

func noTimes() timeCols {
	return timeCols{time: -1, date: -1, clk: -1, hour: -1, minute: -1, half: -1}
}

// heading gives the text above column k: of the nearest line above the rows
// that is as wide as they are and not one itself.
func (c *candidate) heading(k int) string {
	for i, fs := range c.fields {
		if len(fs) == c.width && i < 80 {
			h := cleanName(fs[k])
			if h != "" && !numeric(fs[k]) {
				if tm := (timeReader{clock: zoneOf(nil)}); len(h) < 60 {
					if _, st := tm.civil([]byte(h)); st != timeOK {
						return h
					}
				}
			}
		}
	}
	return ""
}

func numeric(b []byte) bool {
	t := trim(b)
	_, n := parseNumber(t, '.')
	return n > 0 && n == len(t)
}

// findTimes finds the columns that hold the times.
func (c *candidate) findTimes(src *SourceRule) {
	t := &c.times
	*t = noTimes()
	heads := make([]string, c.width)
	for k := range heads {
		heads[k] = c.heading(k)
	}
	defer c.findHalf(heads)
	if src != nil && src.TimeColumn != "" {
		for k, h := range heads {
			if strings.EqualFold(h, src.TimeColumn) {
				t.time, t.kind, t.found = k, c.numericTime(k, true), true
				if c.kinds[k].time > 0 {
					t.kind = textTime
				}
				c.splitDate(k, heads)
				return
			}
		}
	}
	// Text times first; a plain number can also be a date in disguise
	// (20260101), which only counts where nothing else does.
	best, bestShare := -1, 0.0
	for k := range c.kinds {
		q := &c.kinds[k]
		full := q.n - q.blank
		if full == 0 || q.time*10 < full*6 {
			continue
		}
		share := float64(q.time) / float64(q.n)
		if q.number > full/2 && !isTimeHead(heads[k]) && k > 1 {
			continue
		}
		if isTimeHead(heads[k]) {
			share += 0.5
		}
		share += timeRank(heads[k])
		if q.zeroDay() {
			share -= 0.8
		}
		if share > bestShare+1e-9 {
			best, bestShare = k, share
		}
	}
	// Of pairs with times of their own, the first may end before the others.
	for k := 0; k < best; k++ {
		q := &c.kinds[k]
		if full := q.n - q.blank; full > 0 && q.time == full && isTimeHead(heads[k]) && isTimeHead(heads[best]) && timeRank(heads[k]) >= timeRank(heads[best]) && c.numbersWithin(k, best) {
			best = k
		}
	}
	if best >= 0 {
		t.time, t.found = best, true
		c.splitDate(best, heads)
		return
	}
	// Year, month and day in three columns.
	y, m, d := -1, -1, -1
	for k, h := range heads {
		switch bare(h) {
		case "year", "yyyy", "yr", "jahr", "año", "année", "年":
			y = k
		case "month", "mm", "mon", "mo", "monat", "mes", "mois", "月":
			m = k
		case "day", "dd", "tag", "dia", "día", "jour", "日":
			d = k
		case "hour", "hr", "hh", "stunde", "hora", "heure", "時":
			t.hour = k
		case "minute", "min", "mi", "分":
			t.minute = k
		}
	}
	if y >= 0 && m >= 0 && d >= 0 {
		t.ymd, t.found = []int{y, m, d}, true
		if t.hour < 0 {
			t.minute = -1
			for k := range c.kinds {
				if q := &c.kinds[k]; q.clock*10 >= (q.n-q.blank)*6 && q.clock > 0 {
					t.clk = k
				}
			}
			if t.clk < 0 {
				if k, form := c.clockColumn(y, heads); k >= 0 {
					t.clk, t.form = k, form
				}
			}
		}
		return
	}
	t.hour, t.minute = -1, -1
	// Numbers: spreadsheet serials and epochs, in a column headed as a time or
	// in the first one.
	for k := range c.kinds {
		if isTimeHead(heads[k]) {
			if kind := c.numericTime(k, true); kind != textTime {
				t.time, t.kind, t.found = k, kind, true
				if j, form := c.clockColumn(k, heads); kind == serialTime && j >= 0 && c.kinds[k].wholeNumbers() {
					t.time, t.date, t.clk, t.form = -1, k, j, form
					t.kind, t.serialDate = textTime, true
				}
				return
			}
		}
	}
	for k := 0; k < min(2, c.width); k++ {
		if kind := c.numericTime(k, false); kind != textTime {
			t.time, t.kind, t.found = k, kind, true
			return
		}
	}
}

// numbersWithin says whether numbers stand between columns a and b.
func (c *candidate) numbersWithin(a, b int) bool {
	for k := a + 1; k < b; k++ {
		if c.kinds[k].number > 0 {
			return true
		}
	}
	return false
}

// splitDate looks for the time of day beside a column of plain dates.
func (c *candidate) splitDate(k int, heads []string) {
	t := &c.times
	q := &c.kinds[k]
	take := func(clk int, form clockForm) {
		t.time, t.date, t.clk, t.form = -1, k, clk, form
	}
	if q.dateOnly*10 < q.time*9 {
		// Dates with a midnight behind each, beside a column that is headed as the
		// time of day.
		if q.midnight*10 >= q.time*9 {
			if j, form := c.clockColumn(k, heads); j >= 0 {
				take(j, form)
			}
		}
		return
	}
	for i := 1; i < len(c.kinds); i++ { // the next one behind the date
		j := (k + i) % len(c.kinds)
		if r := &c.kinds[j]; r.clock > 0 && r.clock*10 >= (r.n-r.blank)*6 {
			take(j, clockPlain)
			return
		}
	}
	for j := range c.kinds {
		r := &c.kinds[j]
		h := bare(heads[j])
		if j != k && (h == "hour" || h == "hr" || h == "he" || h == "hour ending" || h == "stunde" || h == "hora" || h == "heure" || h == "hh") && r.number > 0 && r.min >= 0 && r.max <= 24 {
			t.time, t.date, t.hour = -1, k, j
			for m := range c.kinds {
				if x := &c.kinds[m]; m != j && m != k && minuteHeads[bare(heads[m])] && x.number > 0 && x.number >= x.n-x.blank-1 && x.min >= 0 && x.max <= 59 {
					t.minute = m
				}
			}
			return
		}
	}
	if j, form := c.clockColumn(k, heads); j >= 0 {
		take(j, form)
		return
	}
	for j := range c.kinds {
		if j != k && clockHeads[bare(heads[j])] && c.kinds[j].hoursOfDay(q) {
			t.time, t.date, t.hour = -1, k, j
			return
		}
	}
}

// numericTime says which kind of number a column of times holds; textTime if
// none.
func (c *candidate) numericTime(k int, headed bool) timeKind {
	q := &c.kinds[k]
	if q.number == 0 || q.number*10 < (q.n-q.blank)*6 {
		return textTime
	}
	if !headed && len(q.distinct) < 2 && q.n > 4 {
		return textTime
	}
	switch {
	case q.min >= 20000 && q.max <= 80000 && (headed || q.max-q.min < 4000 && q.rising < q.number-1):
		return serialTime
	case q.min >= 1e8 && q.max <= 4.2e9:
		return epochTime
	case q.min >= 1e11 && q.max <= 4.2e12:
		return milliTime
	case q.min >= 1e14 && q.max <= 4.2e15:
		return microTime
	case q.min >= 1e17 && q.max <= 4.2e18:
		return nanoTime
	}
	return textTime
}

// cell writes a row's time as one cell.
func (t *timeCols) cell(fs [][]byte) []byte {
	return t.join(nil, func(i int) []byte {
		if i >= 0 && i < len(fs) {
			return fs[i]
		}
		return nil
	})
}

// reads says whether a row's time can be read, in either order of day and
// month.
func (t *timeCols) reads(fs [][]byte) bool {
	cell := t.cell(fs)
	tm := timeReader{clock: zoneOf(nil), kind: t.kind}
	_, st := tm.read(cell)
	if st == timeBad && t.kind == textTime {
		tm = timeReader{clock: zoneOf(nil), order: dayFirst}
		_, st = tm.read(cell)
		if st == timeBad {
			tm = timeReader{clock: zoneOf(nil), order: yearFirst}
			_, st = tm.read(cell)
		}
	}
	if t.kind != textTime && st == timeOK {
		v, _ := parseNumber(bytes.TrimSpace(cell), '.')
		switch t.kind {
		case serialTime:
			return v >= 10000
		case epochTime:
			return v >= 1e8
		}
	}
	return st == timeOK
}

// join writes the row's time as one cell, out of one or several columns.
func (t *timeCols) join(dst []byte, get func(int) []byte) []byte {
	dst = t.joinParts(dst, get)
	if t.half < 0 || len(dst) == 0 {
		return dst
	}
	half := trim(get(t.half))
	if len(half) == 0 { // ten in the morning or in the evening
		return dst[:0]
	}
	dst = append(append(dst, ' '), half...)
	if len(half) == 1 {
		dst = append(dst, 'm')
	}
	return dst
}

func (t *timeCols) joinParts(dst []byte, get func(int) []byte) []byte {
	if t.time >= 0 {
		return append(dst, get(t.time)...)
	}
	if t.date >= 0 {
		day := unwrapped(trim(get(t.date)))
		if t.serialDate {
			dst = appendSerialDate(dst, day)
		} else {
			dst = appendDate(dst, day)
		}
	} else {
		for i, c := range t.ymd {
			x := trim(get(c))
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
	case t.clk >= 0:
		clock := unwrapped(trim(get(t.clk)))
		if len(clock) == 0 && t.form == clockPlain {
			return dst
		}
		dst = appendClock(append(dst, ' '), clock, t.form)
	case t.hour >= 0:
		h := trim(get(t.hour))
		if len(h) == 0 {
			return dst[:0]
		}
		dst = append(dst, ' ')
		if len(h) == 1 {
			dst = append(dst, '0')
		}
		dst = append(dst, h...)
		dst = append(dst, ':')
		m := trim(get(t.minute))
		for i := len(m); i < 2; i++ {
			dst = append(dst, '0')
		}
		dst = append(dst, m...)
	}
	return dst
}
