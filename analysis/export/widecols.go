package export

import (
	"fmt"
	"strings"

	"weirbook/analysis/quantity"
)

// wideRoles gives every other column to a tag.
func (f *format) wideRoles(c *candidate) {
	last := -1 // the value column before
	named := len(f.headings()) > 0
	for k := range f.cols {
		x := &f.cols[k]
		if x.role != roleSkip {
			if x.role != roleValue {
				continue
			}
		}
		q := &c.kinds[k]
		full := q.n - q.blank
		switch {
		case x.head == "" && full == 0: // an empty column between
			continue
		case numberColumn(x.head, q) && k < 2:
			continue
		case f.qualityHead(k) && (full == 0 || f.qualityCells(q)*10 >= full*8 || plainlyQuality(x.head) && q.number == 0) && !(named && q.number == full && !smallCodes(q)):
			x.role = roleQuality
			continue
		case f.noQuality && nameless(x.head):
			continue
		case last >= 0 && isUnitHead(x.head) && (full == 0 || q.unit*10 >= full*5):
			x.role = roleUnit
			continue
		case last >= 0 && !f.noQuality && x.head == "" && full > 0 && q.quality == full && (q.text > 0 || smallCodes(q)):
			x.role = roleQuality
			continue
		case last >= 0 && x.head == "" && full > 0 && q.unit == full && q.text > 0:
			x.role = roleUnit
			continue
		case x.head != "" && descHeads[bare(x.head)] && (q.number*2 < full || full == 0):
			continue // remarks
		case personColumn(x.head, q):
			continue
		case q.time*10 >= full*8 && full > 0 && q.number*2 < full:
			continue // another date
		}
		x.role = roleValue
		last = k
		x.name = x.head
		if x.name == "" {
			x.name = fmt.Sprintf("column %d", k+1)
		}
		if x.unit == "" {
			if base, u := splitUnit(x.name); u != "" {
				x.name, x.unit = base, u
			}
		}
		x.name = withoutValueWord(x.name)
	}
}

// tellNamesApart gives names that come twice to one column each, by unit where
// that does it.
func (f *format) tellNamesApart() {
	seen := map[string]int{}
	for k := range f.cols {
		if f.cols[k].role == roleValue {
			seen[f.cols[k].name]++
		}
	}
	used := map[string]bool{}
	for k := range f.cols {
		x := &f.cols[k]
		if x.role != roleValue {
			continue
		}
		name := x.name
		if seen[name] > 1 && x.head != name && x.head != "" {
			name = x.head
		}
		for n := 2; used[name]; n++ {
			name = fmt.Sprintf("%s #%d", x.name, n)
		}
		if name != x.name {
			f.note(Warning, f.skip, "the heading %q stands over several columns; this one is read as tag %q", x.name, name)
		}
		used[name] = true
		x.name = name
	}
}

// nameless says whether a heading is a word for quality and no more.
func nameless(h string) bool {
	name, ok := qualityOf(h)
	return ok && name == ""
}

// smallCodes says whether a column of numbers can be a quality: few values, all
// OPC numbers or 0 and 1.
func smallCodes(q *colKind) bool {
	if len(q.distinct) > 8 {
		return false
	}
	for s := range q.distinct {
		code, ok := qualityNumber([]byte(s))
		if !ok || code > 1 && code < 192 && code%4 != 0 || code > 255 && code < 1<<22 {
			return false
		}
	}
	return len(q.distinct) > 0
}

// splitUnit takes a unit off a heading: "ORP (mV)", "Flow [MGD]", "Cl2, mg/L".
func splitUnit(h string) (name, unit string) {
	for _, p := range []string{"()", "[]", "{}"} {
		if i := strings.LastIndexByte(h, p[0]); i > 0 && strings.HasSuffix(h, p[1:]) {
			u := strings.TrimSpace(h[i+1 : len(h)-1])
			if _, err := quantity.ParseUnit(u); err == nil {
				return strings.TrimSpace(h[:i]), u
			}
		}
	}
	if i := strings.LastIndexByte(h, ','); i > 0 {
		u := strings.TrimSpace(h[i+1:])
		if _, err := quantity.ParseUnit(u); err == nil && u != "-" {
			return strings.TrimSpace(h[:i]), u
		}
	}
	return h, ""
}

// sampleQuality decides how quality numbers are meant.
func (f *format) sampleQuality(c *candidate) {
	codes := map[uint64]int{}
	good := f.count(roleQuality) > 0
	for k := range f.cols {
		if f.cols[k].role != roleQuality {
			continue
		}
		good = good && goodHeads[bare(f.cols[k].head)]
		for s, n := range c.kinds[k].distinct {
			if code, ok := qualityNumber([]byte(s)); ok {
				codes[code] += n
			}
		}
	}
	f.codes, f.codesSure = guessCodes(codes)
	if good && (f.codes == oneGood || f.codes == zeroGood || f.codes == codesUnknown) {
		f.codes, f.codesSure = oneGood, true // "IsGood" says so
	}
}
