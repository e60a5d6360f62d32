package export

import (
	"bytes"
	"strings"
)

// headLine says whether a line names columns for certain: two texts or more, one
// of them a heading of times, and neither a number nor a time.
func headLine(fs [][]byte) bool {
	full, times := 0, 0
	for _, x := range fs {
		t := trim(x)
		if len(t) == 0 {
			continue
		}
		full++
		if len(t) > 60 || isNumberCell(t, '.') {
			return false
		}
		if _, ok := anyTime(t); ok {
			return false
		}
		if h := cleanName(t); isTimeHead(h) && len(strings.Fields(h)) <= 4 {
			times++
		}
	}
	return full >= 2 && times >= 1
}

// isNumberCell says whether a cell is a number without a unit.
func isNumberCell(t []byte, dec byte) bool {
	v := readValue(t, dec)
	return v.kind == cellNumber && !v.state && len(v.unit) == 0
}

// headCells are a heading's texts, to compare it with another: lower case,
// without blanks at its end.
func headCells(fs [][]byte) []string {
	out := make([]string, trimmedWidth(fs))
	for k := range out {
		out[k] = strings.ToLower(strings.TrimSpace(strings.TrimLeft(cleanName(fs[k]), "#")))
	}
	return out
}

// preambleKey takes a line like "Tag: FIT-101" or "Tag,FIT-101" apart; value is
// empty when it is none.
func preambleKey(l []byte) (key, value string) {
	if len(l) > 200 || len(l) == 0 || l[0]-'0' <= 9 { // a row, not a remark
		return "", ""
	}
	s := strings.TrimLeft(cleanName(l), "#!/ ")
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

// namesTag says whether a line above a table names its only tag by that key.
func namesTag(key string) bool {
	switch key {
	case "tag", "tag name", "tagname", "point", "point name", "signal", "channel", "name":
		return true
	}
	return false
}

// at is the first column of the rows' times.
func (t *timeCols) at() int {
	k := max(t.time, t.date)
	if k < 0 && t.ymd != nil {
		k = min(t.ymd[0], t.ymd[1], t.ymd[2])
	}
	return k
}

// onlyFirst leaves out of the sample what follows the first table: a heading with
// other names, or a line that names another tag, behind rows. Such a line begins
// a table of its own (see nexttable.go).
func (c *candidate) onlyFirst() {
	var head []string
	at, rows, tag := -1, 0, ""
	for i, fs := range c.fields {
		switch key, value := preambleKey(c.lines[i].text); {
		case namesTag(key) && value != "" && !timely(fs):
			if rows > 0 && tag != "" && value != tag {
				c.lines, c.fields = c.lines[:i], c.fields[:i]
				return
			}
			if rows == 0 {
				tag = value
			}
		case trimmedWidth(fs) < 2:
		case headLine(fs):
			h := headCells(fs)
			if rows > 0 && !sameCells(head, h) {
				c.lines, c.fields = c.lines[:i], c.fields[:i]
				return
			}
			if rows == 0 {
				head, at = h, timeCell(fs)
			}
		case at >= 0 && at < len(fs) && (timely(fs[at:at+1]) || numeric(fs[at])):
			rows++
		}
	}
}

// timeCell is the column of a heading that names a time.
func timeCell(fs [][]byte) int {
	for k, x := range fs {
		if isTimeHead(cleanName(x)) {
			return k
		}
	}
	return -1
}

func sameCells(a, b []string) bool {
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
var statWords = set("low", "high", "min", "max", "minimum", "maximum", "average", "avg", "mean", "sum", "total", "count", "median",
	"std", "std dev", "stdev", "range", "low limit", "high limit", "lo", "hi", "ll", "hh")

// rowsAbove takes in the rows above the first one of the right width and with a
// time: a row that is short or long, or whose time cannot be read, is a row of
// the table all the same, and does not cost it its heading.
func (c *candidate) rowsAbove() {
	for i := c.start - 1; i >= 0; i-- {
		fs := c.fields[i]
		if trimmedWidth(fs) == 0 && len(fs) == c.width { // separators only
			continue
		}
		if trimmedWidth(fs) < 2 || c.timeHeaded(fs) || headLine(fs) {
			return
		}
		nums, full := 0, 0
		for _, x := range fs {
			if t := trim(x); len(t) > 0 {
				full++
				if isNumberCell(t, c.dec) {
					nums++
				}
			}
		}
		k := c.times.at()
		stat := k < len(fs) && statWords[bare(cleanName(fs[k]))] && nums > 0
		if nums*2 <= full && !stat && !c.times.reads(fs) && !c.laterPair(fs) && !c.rowByNumbers(i) {
			return
		}
		c.start = i
	}
}

// laterPair says whether a row has no time in the first column of times, and one
// further on in a column that holds times as well: of pairs with times of their
// own, another may begin before the first.
func (c *candidate) laterPair(fs [][]byte) bool {
	k := c.times.at()
	if k < 0 || k >= len(fs) || len(trim(fs[k])) > 0 || len(fs) > c.width {
		return false
	}
	for j := k + 1; j < len(fs); j++ {
		if timely(fs[j:j+1]) && c.alsoTime(j) {
			return true
		}
	}
	return false
}

// timeHeaded says whether a line has a heading of times above the rows' times.
func (c *candidate) timeHeaded(fs [][]byte) bool {
	k := c.times.at()
	if k < 0 || k >= len(fs) {
		return false
	}
	h := cleanName(fs[k])
	return isTimeHead(h) && len(bytes.TrimSpace(fs[k])) < 60 && !timely(fs[k:k+1])
}
