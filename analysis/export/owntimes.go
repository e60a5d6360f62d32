package export

import (
	"strings"
)

// Values with times of their own: pairs side by side (time, A, time, B), where a
// value belongs to the nearest time on its left and one pair may end before
// another; and a row a day with a column an hour, one tag.

// ownTime is where a value finds its time, when it is not the row's.
type ownTime struct {
	col, clk int    // columns of the time, or of date and time of day; -1: none
	clock    string // time of day that the heading says
}

// ownTimes finds columns of times beside the first, each with values behind it.
// One before the first is a pair that has not begun in the sample.
// A time_column of plant.toml leaves it at that one.
func (f *format) ownTimes(c *candidate, src *SourceRule) {
	first := c.times.at()
	if f.layout != wide || first < 0 || c.times.ymd != nil || c.times.hour >= 0 {
		return
	}
	own := []ownTime{{first, c.times.clk, ""}}
	at := make([]int, len(f.cols))
	values, clk, now, heads := 0, -1, 0, []string{f.cols[first].head}
	for k := range f.cols {
		x := &f.cols[k]
		stated := src != nil && src.TimeColumn != "" && !strings.EqualFold(x.head, src.TimeColumn)
		free := k != clk && !stated && (x.role == roleSkip || x.role == roleValue) && timeRank(x.head) >= 0
		switch {
		case k == first:
			now, values = 0, 0
			continue
		case free && c.blankPair(k) && f.alikeHeads(first, k):
		case free && k > first && c.alsoTime(k) && (c.moves(k) || f.alikeHeads(first, k)):
			if values == 0 { // beginning and end of one thing
				return
			}
		case x.role == roleValue && k != clk:
			values++
			at[k] = now
			continue
		default:
			continue
		}
		o := ownTime{k, -1, ""}
		if c.times.clk >= 0 {
			if k+1 >= len(f.cols) || c.kinds[k+1].clock == 0 && !c.empty(k+1) || f.cols[k+1].role != roleSkip && f.cols[k+1].role != roleValue {
				continue
			}
			o.clk = k + 1
			clk = k + 1
		}
		now = len(own)
		own, values = append(own, o), 0
		heads = append(heads, x.head)
	}
	if values == 0 && now > 0 {
		own = own[:len(own)-1]
		heads = heads[:len(own)]
	}
	if len(own) < 2 {
		return
	}
	f.own = own
	for _, o := range own[1:] {
		f.cols[o.col].role = roleSkip
		if o.clk >= 0 {
			f.cols[o.clk].role = roleSkip
		}
	}
	for k := range f.cols {
		f.cols[k].own = at[k]
	}
	f.note(Note, f.skip, "%d columns hold times (%s): every tag is read by the nearest on its left. Write time_column under [[source]] in plant.toml if one of them holds for all", len(own), some(heads))
}

// ownsTime says whether column k is one of the times of the values.
func (f *format) ownsTime(k int) bool {
	for _, o := range f.own {
		if k == o.col || k == o.clk {
			return true
		}
	}
	return false
}

// some lists the first few of many.
func some(s []string) string {
	if len(s) > 4 {
		return strings.Join(s[:4], ", ") + " …"
	}
	return strings.Join(s, ", ")
}

// alsoTime says whether column k holds times of the kind of the first.
func (c *candidate) alsoTime(k int) bool {
	q := &c.kinds[k]
	full := q.n - q.blank
	if c.times.kind != textTime {
		return isTimeHead(c.heading(k)) && c.numericTime(k, true) == c.times.kind
	}
	return full > 0 && q.number*2 < full && (q.time*10 >= full*8 || isTimeHead(c.heading(k)) && q.time*2 >= full)
}

// blankPair says whether column k is headed as a time, and neither it nor what
// stands between it and the next time holds anything in the sample: a pair may
// begin far below the others.
func (c *candidate) blankPair(k int) bool {
	if !c.empty(k) || !isTimeHead(c.heading(k)) {
		return false
	}
	n := 0
	for k++; k < c.width && (n == 0 || !isTimeHead(c.heading(k))); k++ {
		if !c.empty(k) {
			return false
		}
		n++
	}
	return n > 0
}

func (c *candidate) empty(k int) bool { return c.kinds[k].n == c.kinds[k].blank }

// moves says whether the times of column k go on from row to row, unlike the date
// of a calibration.
func (c *candidate) moves(k int) bool {
	q := &c.kinds[k]
	full := q.n - q.blank
	return full > 2 && len(q.distinct)*10 >= min(full, 300)*8
}

// alikeHeads says whether column k is headed as a time beside the first: like it,
// or by the name of what stands behind it.
func (f *format) alikeHeads(first, k int) bool {
	strip := func(h string) string { return strings.Trim(bare(h), " #_.0123456789") }
	h := strip(f.cols[k].head)
	if h == strip(f.cols[first].head) {
		return true
	}
	for i := k + 1; i < len(f.cols); i++ {
		if v := bare(f.cols[i].head); v != "" && f.cols[i].role == roleValue {
			return strings.Contains(bare(f.cols[k].head), v)
		}
	}
	return false
}

// hourColumns finds a table with a row a day and a column an hour.
func (f *format) hourColumns(c *candidate) {
	k := c.times.at()
	if f.layout != wide || k < 0 || c.times.time < 0 || c.times.kind != textTime || c.kinds[k].dateOnly*10 < c.kinds[k].time*9 {
		return
	}
	var own []ownTime
	last, plain := int64(-1), 0
	for i := range f.cols {
		if f.cols[i].role != roleValue {
			continue
		}
		h := f.cols[i].head
		if n, d := digits([]byte(h)); d > 0 && d == len(h) && n <= 24 {
			plain++
			h += ":00"
		}
		if len(h) < 5 && h != "" && h[0] <= '9' {
			h = "0" + h
		}
		tm := timeReader{clock: zoneOf(nil)}
		ct, st := tm.civil([]byte("2000-01-01 " + h))
		if st != timeOK || ct.ms <= last || !strings.Contains(h, ":") {
			return
		}
		last = ct.ms
		own = append(own, ownTime{k, -1, h})
	}
	if len(own) < 6 || plain > 0 && (plain != 24 || len(own) != 24) {
		return
	}
	f.own, f.hourly = own, true
	n := 0
	for i := range f.cols {
		if f.cols[i].role == roleValue {
			f.cols[i].own = n
			n++
		}
	}
	f.note(Note, f.skip, "the headings are times of day: a row is read as the %d readings of a day, all of one tag, at %s to %s", n, own[0].clock, own[n-1].clock)
}
