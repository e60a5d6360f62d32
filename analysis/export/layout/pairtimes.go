package layout

import (
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/export/sample"
	"weirbook/analysis/export/stamp"
)

// Values with times of their own: pairs side by side (time, A, time, B), where a
// value belongs to the nearest time on its left and one pair may end before
// another; and a row a day with a column an hour, one tag.

// PairTime is where a value finds its time, when it is not the row's.
type PairTime struct {
	Col, Clk int    // columns of the time, or of date and time of day; -1: none
	Clock    string // time of day that the heading says
}

// findPairTimes finds columns of times beside the first, each with values behind it.
// One before the first is a pair that has not begun in the sample.
// A time_column of plant.toml leaves it at that one.
func (f *Layout) findPairTimes(c *sample.Candidate, src *rule.SourceRule) {
	first := c.Times.At()
	if f.Shape != Wide || first < 0 || c.Times.Ymd != nil || c.Times.Hour >= 0 {
		return
	}
	own := []PairTime{{first, c.Times.Clk, ""}}
	at := make([]int, len(f.Cols))
	values, clk, now, heads := 0, -1, 0, []string{f.Cols[first].Head}
	for k := range f.Cols {
		x := &f.Cols[k]
		stated := src != nil && src.TimeColumn != "" && !strings.EqualFold(x.Head, src.TimeColumn)
		free := k != clk && !stated && (x.Role == RoleSkip || x.Role == RoleValue) && sample.TimeRank(x.Head) >= 0
		switch {
		case k == first:
			now, values = 0, 0
			continue
		case free && c.BlankPair(k) && f.alikeHeads(first, k):
		case free && k > first && c.AlsoTime(k) && (c.Moves(k) || f.alikeHeads(first, k)):
			if values == 0 { // beginning and end of one thing
				return
			}
		case x.Role == RoleValue && k != clk:
			values++
			at[k] = now
			continue
		default:
			continue
		}
		o := PairTime{k, -1, ""}
		if c.Times.Clk >= 0 {
			if k+1 >= len(f.Cols) || c.Kinds[k+1].Clock == 0 && !c.Empty(k+1) || f.Cols[k+1].Role != RoleSkip && f.Cols[k+1].Role != RoleValue {
				continue
			}
			o.Clk = k + 1
			clk = k + 1
		}
		now = len(own)
		own, values = append(own, o), 0
		heads = append(heads, x.Head)
	}
	if values == 0 && now > 0 {
		own = own[:len(own)-1]
		heads = heads[:len(own)]
	}
	if len(own) < 2 {
		return
	}
	f.PairTimes = own
	for _, o := range own[1:] {
		f.Cols[o.Col].Role = RoleSkip
		if o.Clk >= 0 {
			f.Cols[o.Clk].Role = RoleSkip
		}
	}
	for k := range f.Cols {
		f.Cols[k].Pair = at[k]
	}
	f.Note(ledger.Note, f.Skip, "%d columns hold times (%s): every tag is read by the nearest on its left. Write time_column under [[source]] in plant.toml if one of them holds for all", len(own), some(heads))
}

// isPairTime says whether column k is one of the times of the values.
func (f *Layout) isPairTime(k int) bool {
	for _, o := range f.PairTimes {
		if k == o.Col || k == o.Clk {
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

// alikeHeads says whether column k is headed as a time beside the first: like it,
// or by the name of what stands behind it.
func (f *Layout) alikeHeads(first, k int) bool {
	strip := func(h string) string { return strings.Trim(cell.Bare(h), " #_.0123456789") }
	h := strip(f.Cols[k].Head)
	if h == strip(f.Cols[first].Head) {
		return true
	}
	for i := k + 1; i < len(f.Cols); i++ {
		if v := cell.Bare(f.Cols[i].Head); v != "" && f.Cols[i].Role == RoleValue {
			return strings.Contains(cell.Bare(f.Cols[k].Head), v)
		}
	}
	return false
}

// hourColumns finds a table with a row a day and a column an hour.
func (f *Layout) hourColumns(c *sample.Candidate) {
	k := c.Times.At()
	if f.Shape != Wide || k < 0 || c.Times.Time < 0 || c.Times.Kind != stamp.TextTime || c.Kinds[k].DateOnly*10 < c.Kinds[k].Time*9 {
		return
	}
	var own []PairTime
	last, plain := int64(-1), 0
	for i := range f.Cols {
		if f.Cols[i].Role != RoleValue {
			continue
		}
		h := f.Cols[i].Head
		if n, d := lex.Digits([]byte(h)); d > 0 && d == len(h) && n <= 24 {
			plain++
			h += ":00"
		}
		if len(h) < 5 && h != "" && h[0] <= '9' {
			h = "0" + h
		}
		tm := stamp.TimeReader{Clock: stamp.ZoneOf(nil)}
		ct, st := tm.Civil([]byte("2000-01-01 " + h))
		if st != stamp.TimeOK || ct.Ms <= last || !strings.Contains(h, ":") {
			return
		}
		last = ct.Ms
		own = append(own, PairTime{k, -1, h})
	}
	if len(own) < 6 || plain > 0 && (plain != 24 || len(own) != 24) {
		return
	}
	f.PairTimes, f.Hourly = own, true
	n := 0
	for i := range f.Cols {
		if f.Cols[i].Role == RoleValue {
			f.Cols[i].Pair = n
			n++
		}
	}
	f.Note(ledger.Note, f.Skip, "the headings are times of day: a row is read as the %d readings of a day, all of one tag, at %s to %s", n, own[0].Clock, own[n-1].Clock)
}
