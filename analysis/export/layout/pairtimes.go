package layout

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/export/sample"
	"weirbook/analysis/export/stamp"
)

// Values with times of their own: pairs side by side (time, A, time, B), where a
// value belongs to the nearest time on its left and one pair may end before another;
// values followed by their own time (date, min, time of min, max, time of max); and
// a row a day with a column an hour, one tag.

// PairTime is where a value finds its time, when it is not the row's.
type PairTime struct {
	Col, Clk int    // columns of the time, or of date and time of day; -1: none
	Clock    string // time of day that the heading says
}

// stampColumn is a column of times among those of the values.
type stampColumn struct {
	PairTime
	at            int // where it stands: of date and time of day, the first; of a time of day beside the row's date, that
	before, after int // the last value in front of it and the first behind, up to the next stamps; -1: none
}

// sides of a value on which its time stands.
const (
	rowTimes   = iota // the row's time holds for all
	leftTimes         // time, value
	rightTimes        // value, time
	unknownTimes
)

// findPairTimes finds columns of times beside the first, and on which side of a value
// its own stands. A time_column of plant.toml leaves it at that one.
func (f *Layout) findPairTimes(c *sample.Candidate, src *rule.SourceRule) {
	first := c.Times.At()
	if f.Shape != Wide || first < 0 || c.Times.Ymd != nil || c.Times.Hour >= 0 {
		return
	}
	stamps := f.stampColumns(c, src)
	if len(stamps) < 2 || !f.neighbours(stamps) {
		return
	}
	side := f.timeSide(c, stamps, src)
	if side == leftTimes && stamps[len(stamps)-1].after < 0 {
		f.Cols[stamps[len(stamps)-1].at].Role = RoleSkip
		stamps = stamps[:len(stamps)-1]
	}
	heads := make([]string, len(stamps))
	for i, o := range stamps {
		heads[i] = f.label(o.at)
	}
	switch {
	case side == unknownTimes:
		f.refused = &Refusal{fmt.Sprintf("%d columns hold times (%s), and nothing tells whether a value's own time stands on its left or on its right. Write value_times = \"left\" or \"right\" for the file under [[source]] in plant.toml, or time_column = %q if that one holds for all of a row",
			len(stamps), some(heads), f.label(first)), ledger.Question{Key: "value_times", Values: []string{"right", "left"}}}
	case side == rowTimes || len(stamps) < 2:
		for _, o := range stamps[1:] {
			if o.at != c.Times.Clk {
				f.Cols[o.at].Role = RoleSkip
			}
		}
	case side == leftTimes:
		f.takeStamps(c, stamps, side)
		f.Note(ledger.Note, f.Skip, "%d columns hold times (%s): every tag is read by the nearest on its left. Write time_column under [[source]] in plant.toml if one of them holds for all", len(stamps), some(heads))
	default:
		f.takeStamps(c, stamps, side)
		f.Note(ledger.Note, f.Skip, "%d columns hold times (%s): a tag is read by the one right behind it, else by that of the row. Write time_column under [[source]] in plant.toml if one of them holds for all, value_times = \"left\" if a time stands before its value", len(stamps), some(heads))
	}
}

// takeStamps makes the stamps the times of the values beside them.
func (f *Layout) takeStamps(c *sample.Candidate, stamps []stampColumn, side int) {
	first := c.Times.At()
	for i, o := range stamps {
		f.PairTimes = append(f.PairTimes, o.PairTime)
		if i > 0 || o.at != first {
			f.Cols[o.at].Role = RoleSkip
		}
		if o.Clk >= 0 && i > 0 {
			f.Cols[o.Clk].Role = RoleSkip
		}
	}
	if stamps[0].Clk < 0 && c.Times.Clk >= 0 { // the time of day is a value's, the row has a date
		f.Times.Clk, f.Times.Form = -1, sample.ClockPlain
		f.Cols[c.Times.Clk].Role = RoleSkip
		f.Times.Time, f.Times.Date = f.Times.Date, -1
		f.Cols[first].Role = RoleTime
	}
	at := -1 // the stamp on the left
	for k := range f.Cols {
		for i, o := range stamps {
			if o.at == k {
				at = i
			}
		}
		if f.Cols[k].Role != RoleValue {
			continue
		}
		f.Cols[k].Pair = max(at, 0)
		if side == rightTimes {
			f.Cols[k].Pair = f.stampBehind(k, at, stamps)
		}
	}
}

// stampBehind is which of the stamps is value k's, where times stand behind values; at
// is the last one on its left. Of several values in front of a stamp it is the last
// one's, if the row has a time, and else that of all.
func (f *Layout) stampBehind(k, at int, stamps []stampColumn) int {
	if at+1 < len(stamps) && (stamps[at+1].before == k || stamps[0].before >= 0) {
		return at + 1
	}
	return 0
}

// stampColumns finds the columns of times: that of the rows, and others of the same
// kind, or times of day beside the rows' date.
func (f *Layout) stampColumns(c *sample.Candidate, src *rule.SourceRule) (out []stampColumn) {
	first, clk := c.Times.At(), c.Times.Clk
	stated := ""
	if src != nil {
		stated = src.TimeColumn
	}
	clocks := f.clockColumns(c)
	if clk > first && f.anyValue(first, clk) {
		if len(clocks) > 0 {
			clocks = append(clocks, clk)
			clk = -1
		}
	}
	taken := -1
	for k := range f.Cols {
		o := stampColumn{PairTime: PairTime{k, -1, ""}, at: k}
		switch {
		case k == first:
			o.Clk = clk
		case slices.Contains(clocks, k) && stated == "":
			o.Col, o.Clk = first, k
		case k != taken && k != clk && (stated == "" || strings.EqualFold(f.Cols[k].Head, stated)) && f.mayBeStamp(c, first, k):
			if clk >= 0 && c.Kinds[k].DateOnly*10 >= c.Kinds[k].Time*9 {
				if !f.clockBehind(c, k) {
					continue
				}
				o.Clk = k + 1
				taken = k + 1
			}
		default:
			continue
		}
		out = append(out, o)
	}
	return out
}

// mayBeStamp says whether column k holds times as the first column of times does, that go
// on from row to row or are headed as that one is; or is to, in a pair that has not begun.
func (f *Layout) mayBeStamp(c *sample.Candidate, first, k int) bool {
	if !f.free(k) && f.Cols[k].Role != RoleValue || sample.TimeRank(f.Cols[k].Head) < 0 {
		return false
	}
	alike := f.alikeHeads(first, k)
	return alike && c.BlankPair(k) || k > first && c.AlsoTime(k) && (alike || c.Moves(k))
}

// clockBehind says whether a time of day stands behind the date in column k.
func (f *Layout) clockBehind(c *sample.Candidate, k int) bool {
	return k+1 < len(f.Cols) && (c.Kinds[k+1].Clock > 0 || c.Empty(k+1)) && (f.free(k+1) || f.Cols[k+1].Role == RoleValue)
}

// clockColumns are columns headed as times that hold times of day, besides the rows'
// own, where the rows have a date.
func (f *Layout) clockColumns(c *sample.Candidate) (out []int) {
	t := c.Times
	if t.Kind != stamp.TextTime || t.Date < 0 && (t.Time < 0 || c.Kinds[t.Time].DateOnly*10 < c.Kinds[t.Time].Time*9) {
		return nil
	}
	for k := range f.Cols {
		q := &c.Kinds[k]
		if k != t.Clk && (f.free(k) || f.Cols[k].Role == RoleValue) && q.Full() > 0 && q.Clock*10 >= q.Full()*6 && sample.IsTimeHead(f.Cols[k].Head) && sample.TimeRank(f.Cols[k].Head) >= 0 &&
			(k == 0 || !c.AlsoTime(k-1) || c.Kinds[k-1].DateOnly*10 < c.Kinds[k-1].Time*9) {
			out = append(out, k)
		}
	}
	return out
}

// anyValue says whether a value stands between two columns.
func (f *Layout) anyValue(a, b int) bool {
	for k := a + 1; k < b; k++ {
		if f.Cols[k].Role == RoleValue {
			return true
		}
	}
	return false
}

// neighbours notes the values next to each stamp; false where two stamps stand
// together, as the beginning and end of one thing do.
func (f *Layout) neighbours(stamps []stampColumn) bool {
	for i := range stamps {
		o := &stamps[i]
		o.before, o.after = -1, -1
		from, to := -1, len(f.Cols)
		if i > 0 {
			from = stamps[i-1].at
		}
		if i+1 < len(stamps) {
			to = stamps[i+1].at
		}
		for k := from + 1; k < to; k++ {
			switch {
			case f.Cols[k].Role != RoleValue || f.stampAt(stamps, k):
			case k < o.at:
				o.before = k
			case o.after < 0:
				o.after = k
			}
		}
		if i > 0 && o.before < 0 {
			return false
		}
	}
	return true
}

// stampAt says whether column k is one of the stamps or a part of one.
func (f *Layout) stampAt(stamps []stampColumn, k int) bool {
	for _, o := range stamps {
		if k == o.at || k == o.Clk {
			return true
		}
	}
	return false
}

// timeSide tells on which side of a value its time stands: by the names that the times
// bear, else by what the places and the times themselves leave.
func (f *Layout) timeSide(c *sample.Candidate, stamps []stampColumn, src *rule.SourceRule) int {
	last := len(stamps) - 1
	leads, trails := stamps[0].before < 0, stamps[last].after < 0
	if src != nil {
		switch src.ValueTimes {
		case "left":
			return leftTimes
		case "right":
			return rightTimes
		}
	}
	named, alike := f.stampsNamed(stamps)
	switch {
	case named[0] > 0 && named[1] > 0:
		return unknownTimes
	case named[1] > 0:
		return rightTimes
	case named[0] > 0 && leads:
		return leftTimes
	case named[0] > 0:
		return unknownTimes
	case !leads && trails:
		return rightTimes
	case !leads:
		return unknownTimes
	case last == 1 && trails: // a time more, behind it all
		return rowTimes
	case alike:
		return leftTimes
	case trails != f.withinRows(c, stamps): // what the places say and what the times say differ
		return unknownTimes
	case trails:
		return rightTimes
	}
	return leftTimes
}

// stampsNamed counts the stamps that bear the name of the value behind them, and of the
// one before; alike says that all are headed like the first.
func (f *Layout) stampsNamed(stamps []stampColumn) (named [2]int, alike bool) {
	alike = true
	for i, o := range stamps {
		if i == 0 && o.before < 0 {
			continue
		}
		alike = alike && (i == 0 || f.sameWords(stamps[0].at, o.at))
		before, after := 0.0, 0.0
		if o.before >= 0 {
			before = stampNames(f.Cols[o.at].Head, f.Cols[o.before].Head)
		}
		if o.after >= 0 {
			after = stampNames(f.Cols[o.at].Head, f.Cols[o.after].Head)
		}
		switch {
		case before > after:
			named[1]++
		case after > before:
			named[0]++
		}
	}
	return named, alike
}

// sameWords says whether two times are headed alike but for a number.
func (f *Layout) sameWords(a, b int) bool {
	strip := func(k int) string { return strings.Trim(cell.Bare(f.Cols[k].Head), " #_.0123456789") }
	return strip(a) == strip(b)
}

// stampWords are those that headings of times have besides the name of what they time.
var stampWords = lex.Set("time", "date", "datetime", "of", "the", "at", "timestamp", "stamp", "ts", "when", "occurred", "occurrence", "zeit", "datum", "hora", "heure", "de", "du", "von")

// extremes are short ways to write what a stretch's lowest and highest are called.
var extremes = map[string]string{"tmn": "min", "tmx": "max", "tmin": "min", "tmax": "max", "mn": "min", "mx": "max", "minimum": "min", "maximum": "max",
	"lowest": "low", "highest": "high", "hi": "high", "lo": "low", "average": "avg", "mean": "avg"}

func nameWords(head string) (out []string) {
	head, _ = sample.SplitUnit(head)
	for _, w := range strings.FieldsFunc(strings.ToLower(head), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
		if x, ok := extremes[w]; ok {
			w = x
		}
		out = append(out, w)
	}
	return out
}

// stampNames is the share of the words of a time's heading, without those that only
// say that it is one, that a value's heading has.
func stampNames(head, value string) float64 {
	of := nameWords(value)
	n, met := 0, 0
	for _, w := range nameWords(head) {
		if stampWords[w] {
			continue
		}
		n++
		if slices.Contains(of, w) {
			met++
		}
	}
	return float64(met) / float64(max(n, 1))
}

// withinRows says whether the other times lie in their row's own interval: from its
// time to the next row's, or from the last row's to its own.
func (f *Layout) withinRows(c *sample.Candidate, stamps []stampColumn) bool {
	first := c.Times.At()
	var rows [][][]byte
	var at []int64
	for i := c.Start; i < len(c.Fields); i++ {
		fs := c.Fields[i]
		if first >= len(fs) {
			continue
		}
		if t, ok := sample.AnyTime(lex.Trim(fs[first])); ok {
			rows, at = append(rows, fs), append(at, t.Ms)
		}
	}
	n, behind, ahead := 0, 0, 0
	for i := 1; i+1 < len(rows); i++ {
		last, next := min(at[i-1], at[i+1]), max(at[i-1], at[i+1])
		for _, o := range stamps[1:] {
			if o.at >= len(rows[i]) {
				continue
			}
			if o.Col == first { // a time of day is within its day
				n, behind, ahead = n+1, behind+1, ahead+1
				continue
			}
			t, ok := sample.AnyTime(lex.Trim(rows[i][o.at]))
			if !ok {
				continue
			}
			n++
			if t.Ms > last && t.Ms <= at[i] {
				behind++
			}
			if t.Ms >= at[i] && t.Ms < next {
				ahead++
			}
		}
	}
	return n > 0 && max(behind, ahead)*10 >= n*9
}

// Refusal is why a file is not read, and what would settle it.
type Refusal struct {
	Text string
	Asks ledger.Question
}

func (r *Refusal) Error() string { return r.Text }

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
