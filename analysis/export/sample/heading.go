package sample

import (
	"bytes"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
)

// HeadLine says whether a line names columns for certain: two texts or more, one
// of them a heading of times, and neither a number nor a time.
func HeadLine(fs [][]byte) bool {
	full, times := 0, 0
	for _, x := range fs {
		t := lex.Trim(x)
		if len(t) == 0 {
			continue
		}
		full++
		if len(t) > 60 || cell.IsNumberCell(t, '.') {
			return false
		}
		if _, ok := AnyTime(t); ok {
			return false
		}
		if h := record.CleanName(t); IsTimeHead(h) && len(strings.Fields(h)) <= 4 {
			times++
		}
	}
	return full >= 2 && times >= 1
}

// HeadCells are a heading's texts, to compare it with another: lower case,
// without blanks at its end.
func HeadCells(fs [][]byte) []string {
	out := make([]string, record.TrimmedWidth(fs))
	for k := range out {
		out[k] = strings.ToLower(strings.TrimSpace(strings.TrimLeft(record.CleanName(fs[k]), "#")))
	}
	return out
}

// PreambleKey takes a line like "Tag: FIT-101" or "Tag,FIT-101" apart; value is
// empty when it is none.
func PreambleKey(l []byte) (key, value string) {
	if len(l) > 200 || len(l) == 0 || l[0]-'0' <= 9 { // a row, not a remark
		return "", ""
	}
	s := strings.TrimLeft(record.CleanName(l), "#!/ ")
	j := strings.IndexAny(s, ":=,;\t|")
	if j < 0 {
		return "", ""
	}
	key, value = strings.ToLower(strings.TrimSpace(strings.Trim(s[:j], "\""))), strings.Trim(strings.TrimSpace(s[j+1:]), "\",;| ")
	if strings.ContainsAny(value, ",;\t|") {
		return key, ""
	}
	return key, value
}

// NamesTag says whether a line above a table names its only tag by that key.
func NamesTag(key string) bool {
	switch key {
	case "tag", "tag name", "tagname", "point", "point name", "signal", "channel", "name":
		return true
	}
	return false
}

// At is the first column of the rows' times.
func (t *TimeCols) At() int {
	k := max(t.Time, t.Date)
	if k < 0 && t.Ymd != nil {
		k = min(t.Ymd[0], t.Ymd[1], t.Ymd[2])
	}
	return k
}

// laterTables finds the lines of the sample that begin another table: a heading with
// other names, or a line that names another tag, behind rows.
func (c *Candidate) laterTables() (starts []int) {
	var head []string
	at, rows, tag := -1, 0, ""
	for i, fs := range c.Fields {
		switch key, value := PreambleKey(c.Lines[i].Text); {
		case NamesTag(key) && value != "" && !timely(fs):
			if rows > 0 && tag != "" && value != tag {
				starts = append(starts, i)
				head, at, rows = nil, -1, 0
			}
			if rows == 0 {
				tag = value
			}
		case record.TrimmedWidth(fs) < 2:
		case HeadLine(fs):
			h := HeadCells(fs)
			if rows > 0 && !SameCells(head, h) {
				starts = append(starts, i)
				rows = 0
			}
			if rows == 0 {
				head, at = h, timeCell(fs)
			}
		case at >= 0 && at < len(fs) && (timely(fs[at:at+1]) || cell.Numeric(fs[at])):
			rows++
		}
	}
	return starts
}

// onlyTable leaves in the sample the rows of one table, the nth from 0; false if it holds
// none such.
func (c *Candidate) onlyTable(n int) bool {
	starts := c.laterTables()
	if n > len(starts) {
		return false
	}
	if n < len(starts) {
		c.Lines, c.Fields = c.Lines[:starts[n]], c.Fields[:starts[n]]
	}
	if n > 0 {
		for i := range c.Fields[:starts[n-1]] {
			c.Fields[i] = nil
		}
		c.Above = c.Lines[:starts[n-1]]
	}
	return true
}

// timeCell is the column of a heading that names a time.
func timeCell(fs [][]byte) int {
	for k, x := range fs {
		if IsTimeHead(record.CleanName(x)) {
			return k
		}
	}
	return -1
}

func SameCells(a, b []string) bool {
	if len(a) != len(b) {
		return false
	}
	for k := range a {
		if a[k] != b[k] {
			return false
		}
	}
	return true
}

// statWords stand in place of a time where a row holds limits or statistics.
var statWords = lex.Set("low", "high", "min", "max", "minimum", "maximum", "average", "avg", "mean", "sum", "total", "count", "median",
	"std", "std dev", "stdev", "range", "low limit", "high limit", "lo", "hi", "ll", "hh")

// RowsAbove takes in the rows above the first one of the right width and with a
// time: a row that is short or long, or whose time cannot be read, is a row of
// the table all the same, and does not cost it its heading.
func (c *Candidate) RowsAbove() {
	for i := c.Start - 1; i >= 0; i-- {
		fs := c.Fields[i]
		if record.TrimmedWidth(fs) == 0 && len(fs) == c.Width { // separators only
			continue
		}
		if record.TrimmedWidth(fs) < 2 || c.timeHeaded(fs) || HeadLine(fs) {
			return
		}
		nums, full := 0, 0
		for _, x := range fs {
			if t := lex.Trim(x); len(t) > 0 {
				full++
				if cell.IsNumberCell(t, c.Dec) {
					nums++
				}
			}
		}
		k := c.Times.At()
		stat := k < len(fs) && statWords[cell.Bare(record.CleanName(fs[k]))] && nums > 0
		if nums*2 <= full && !stat && !c.Times.reads(fs) && !c.laterPair(fs) && !c.rowByNumbers(i) {
			return
		}
		c.Start = i
	}
}

// laterPair says whether a row has no time in the first column of times, and one
// further on in a column that holds times as well: of pairs with times of their
// own, another may begin before the first.
func (c *Candidate) laterPair(fs [][]byte) bool {
	k := c.Times.At()
	if k < 0 || k >= len(fs) || len(lex.Trim(fs[k])) > 0 || len(fs) > c.Width {
		return false
	}
	for j := k + 1; j < len(fs); j++ {
		if timely(fs[j:j+1]) && c.AlsoTime(j) {
			return true
		}
	}
	return false
}

// timeHeaded says whether a line has a heading of times above the rows' times.
func (c *Candidate) timeHeaded(fs [][]byte) bool {
	k := c.Times.At()
	if k < 0 || k >= len(fs) {
		return false
	}
	h := record.CleanName(fs[k])
	return IsTimeHead(h) && len(bytes.TrimSpace(fs[k])) < 60 && !timely(fs[k:k+1])
}
