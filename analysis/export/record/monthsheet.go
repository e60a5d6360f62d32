package record

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"path"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// The monthly sheet of a small plant's operators holds the days of a month as the
// numbers 1 to 31, down its side or across its head, and the month's name once, above
// or in the file's name. It is read with each day written out as a date: down, line by
// line as it stands; across, with a row per result.

// monthSheet is how such a sheet is laid out.
type monthSheet struct {
	month  time.Time
	sep    byte
	across bool
	at     int // line of the heading of days across; the first of days down
	col    int // of the days down, or of the first day across
	days   int // across
}

var (
	monthWords = `(jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)`
	monthYear  = regexp.MustCompile(`(?i)(?:^|[^a-z])` + monthWords + `[\s.,;:_'"-]*(?:year[\s.,;:_'"-]*)?(20\d\d)(?:\D|$)`)
	yearMonth  = regexp.MustCompile(`(?:^|\D)(20\d\d)[-_/. ]?(0[1-9]|1[0-2])(?:\D|$)`)
	monthSlash = regexp.MustCompile(`(?:^|\D)(0?[1-9]|1[0-2])[/-](20\d\d)(?:\D|$)`)
	dateLike   = regexp.MustCompile(`^\s*\d{1,4}[/.-]\d{1,2}[/.-]\d{1,4}`)
	dayHeads   = map[string]bool{"day": true, "date": true, "day of month": true, "day of the month": true, "dom": true, "dy": true, "tag": true, "día": true, "dia": true, "jour": true}
)

// monthIn finds a month's name with its year.
func monthIn(text string) (time.Time, bool) {
	if m := monthYear.FindStringSubmatch(text); m != nil {
		mo, err := time.Parse("Jan", strings.ToUpper(m[1][:1])+strings.ToLower(m[1][1:3]))
		year, _ := strconv.Atoi(m[2])
		return time.Date(year, mo.Month(), 1, 0, 0, 0, 0, time.UTC), err == nil
	}
	year, mo := "", ""
	if m := yearMonth.FindStringSubmatch(text); m != nil {
		year, mo = m[1], m[2]
	} else if m := monthSlash.FindStringSubmatch(text); m != nil {
		year, mo = m[2], m[1]
	}
	y, err1 := strconv.Atoi(year)
	n, err2 := strconv.Atoi(mo)
	return time.Date(y, time.Month(n), 1, 0, 0, 0, 0, time.UTC), err1 == nil && err2 == nil
}

const (
	fewestDays   = 10 // of a column of days
	fewestAcross = 28 // of a row of them
)

// monthSheetOf looks whether a whole small file is a month's sheet. An error says that
// it is one and does not tell its month.
func monthSheetOf(name string, text []byte) (*monthSheet, error) {
	if bytes.IndexByte(text, 0) >= 0 {
		return nil, nil
	}
	s := &monthSheet{}
	for _, c := range []byte(",;\t|") {
		if n := bytes.Count(text, []byte{c}); n > 0 && (s.sep == 0 || n > bytes.Count(text, []byte{s.sep})) {
			s.sep = c
		}
	}
	if s.sep == 0 {
		return nil, nil
	}
	lines := bytes.Split(text, []byte("\n"))
	var rows [][]string
	for _, l := range lines {
		if bytes.Count(l, []byte{'"'})%2 != 0 {
			return nil, nil // a cell of several lines
		}
		rows = append(rows, cellsOf(l, s.sep))
	}
	if !s.findAcross(rows) && !s.findDown(rows) {
		return nil, nil
	}
	var above []string
	for _, r := range rows[:s.at] {
		above = append(above, strings.Join(r, " "))
	}
	ok := false
	if s.month, ok = monthIn(strings.Join(above, "\n")); ok {
		return s, nil
	}
	if s.month, ok = monthIn(path.Base(strings.ReplaceAll(name, `\`, "/"))); ok {
		return s, nil
	}
	if s.across {
		return nil, nil
	}
	return nil, errors.New(`the days of a month stand in it as the numbers 1 to 31, and neither the lines above nor the file's name say which month; write it above them, as in "April 2026", or name the file so, as in lab-2026-04.csv`)
}

func cellsOf(line []byte, sep byte) (out []string) {
	fs, _ := SplitRow(bytes.TrimRight(line, "\r"), sep, nil, nil)
	for _, f := range fs {
		out = append(out, strings.TrimSpace(string(f)))
	}
	return out
}

// dayNumber is the day that a cell holds; 0 of anything else.
func dayNumber(cell string) int {
	if n, err := strconv.Atoi(cell); err == nil && n >= 1 && n <= 31 && len(cell) <= 2 {
		return n
	}
	return 0
}

// findAcross finds a row of days 1, 2, 3 … with a label before it.
func (s *monthSheet) findAcross(rows [][]string) bool {
	for i, r := range rows {
		for k := 1; k < len(r); k++ {
			n := 0
			for k+n < len(r) && dayNumber(r[k+n]) == n+1 {
				n++
			}
			if n >= fewestAcross && !datesBelow(rows[i+1:], k) {
				s.across, s.at, s.col, s.days = true, i, k, n
				return true
			}
		}
	}
	return false
}

// datesBelow says whether dates stand in the first columns: of a calendar, not a month.
func datesBelow(rows [][]string, columns int) bool {
	for _, r := range rows {
		for _, c := range r[:min(columns, len(r))] {
			if dateLike.MatchString(c) {
				return true
			}
		}
	}
	return false
}

// otherParts are headings of a date in parts, which says itself which month it is.
var otherParts = map[string]bool{"month": true, "mo": true, "year": true, "yr": true, "monat": true, "jahr": true, "mes": true, "año": true, "mois": true, "année": true, "hour": true, "hr": true}

// findDown finds a column of rising day numbers below a heading of days, in a sheet
// without dates.
func (s *monthSheet) findDown(rows [][]string) bool {
	for _, r := range rows {
		for _, c := range r {
			if dateLike.MatchString(c) {
				return false
			}
		}
	}
	for k := range 2 {
		headed, first, last, n := false, -1, 0, 0
		for i, r := range rows {
			if k >= len(r) {
				continue
			}
			d := dayNumber(r[k])
			switch {
			case n == 0 && dayHeads[strings.ToLower(r[k])]:
				headed = true
				for _, c := range r {
					if otherParts[strings.ToLower(c)] {
						return false
					}
				}
			case headed && d > last && len(r) > 1:
				if n == 0 {
					first = i
				}
				last = d
				n++
			case headed && d > 0:
				return false // they begin anew
			}
		}
		if headed && n >= fewestDays && last >= n {
			s.at, s.col = first, k
			return true
		}
	}
	return false
}

// rewrite gives the sheet with its days as dates.
func (s *monthSheet) rewrite(text []byte) []byte {
	if s.across {
		return s.rewriteAcross(text)
	}
	var out bytes.Buffer
	last := 0
	lines := bytes.Split(text, []byte("\n"))
	for i, l := range lines {
		if i > 0 {
			out.WriteByte('\n')
		}
		r := cellsOf(l, s.sep)
		switch {
		case s.col >= len(r):
		case i+1 < s.at && s.headsDays(lines[i+1]) && grouped(r, cellsOf(lines[i+1], s.sep)) != nil:
			l = nil
		case i < s.at && s.headsDays(l):
			if i > 0 {
				if g := grouped(cellsOf(lines[i-1], s.sep), r); g != nil {
					r = g
				}
			}
			r[s.col] = "Date"
			l = s.join(r)
		case i >= s.at && dayNumber(r[s.col]) > last:
			last = dayNumber(r[s.col])
			r[s.col] = s.date(last)
			if s.beyond(last) && strings.Trim(strings.Join(append(r[:s.col:s.col], r[s.col+1:]...), ""), "-") == "" {
				r = nil // the 31st of a form used for every month
			}
			l = s.join(r)
		}
		out.Write(l)
	}
	return out.Bytes()
}

// headsDays says whether a line is the heading of the days.
func (s *monthSheet) headsDays(line []byte) bool {
	r := cellsOf(line, s.sep)
	return s.col < len(r) && dayHeads[strings.ToLower(r[s.col])]
}

// grouped puts the words of a line of merged cells (Influent over BOD and TSS) before
// the names below them, where those come more than once; nil elsewhere.
func grouped(groups, names []string) []string {
	seen, again, said := map[string]bool{}, false, 0
	for _, n := range names {
		again = again || n != "" && seen[n]
		seen[n] = true
	}
	out, group := append([]string(nil), names...), ""
	for k := range out {
		if k < len(groups) && groups[k] != "" {
			group = groups[k]
			said++
		}
		if group != "" && out[k] != "" && !dayHeads[strings.ToLower(out[k])] {
			out[k] = group + " " + out[k]
		}
	}
	if !again || said < 2 {
		return nil
	}
	return out
}

func (s *monthSheet) date(day int) string {
	return fmt.Sprintf("%s-%02d", s.month.Format("2006-01"), day)
}

func (s *monthSheet) beyond(day int) bool { return day > s.month.AddDate(0, 1, -1).Day() }

// rewriteAcross writes a row per result: the date, the labels before the days, the cell.
func (s *monthSheet) rewriteAcross(text []byte) []byte {
	var out bytes.Buffer
	labels := 0
	for i, l := range bytes.Split(text, []byte("\n")) {
		r := cellsOf(l, s.sep)
		switch {
		case i < s.at:
			continue
		case i == s.at:
			labels = s.col
			head := []string{"Date"}
			for k, h := range r[:labels] {
				switch low := strings.ToLower(h); {
				case strings.HasPrefix(low, "unit"):
					h = "Units"
				case k == 0 && labels == 1, k == labels-1 && labels == 2 && !strings.HasPrefix(low, "unit"), strings.HasPrefix(low, "param"), strings.HasPrefix(low, "test"), strings.HasPrefix(low, "analy"):
					h = "Parameter"
				case h == "" && k == 0:
					h = "Parameter"
				case h == "":
					h = fmt.Sprintf("Label %d", k+1)
				}
				head = append(head, h)
			}
			out.Write(s.join(append(head, "Result")))
		case len(r) > labels && strings.Join(r[:labels], "") != "":
			for d := 1; d <= s.days && labels+d-1 < len(r); d++ {
				if c := r[labels+d-1]; c != "" && (!s.beyond(d) || strings.Trim(c, "-") != "") {
					out.WriteByte('\n')
					out.Write(s.join(append(append([]string{s.date(d)}, r[:labels]...), c)))
				}
			}
		}
	}
	out.WriteByte('\n')
	return out.Bytes()
}

// join writes cells as a line.
func (s *monthSheet) join(cells []string) []byte {
	var out []byte
	for i, c := range cells {
		if i > 0 {
			out = append(out, s.sep)
		}
		if strings.ContainsAny(c, "\"") || strings.IndexByte(c, s.sep) >= 0 {
			c = `"` + strings.ReplaceAll(c, `"`, `""`) + `"`
		}
		out = append(out, c...)
	}
	return out
}

func (s *monthSheet) String() string {
	if s.across {
		return "a month's sheet with its days across, " + s.month.Format("January 2006") + ", whose lines are counted one a result"
	}
	return "a month's sheet, " + s.month.Format("January 2006")
}

// open gives the sheet rewritten.
func (s *monthSheet) open(f File) func() (io.ReadCloser, error) {
	return func() (io.ReadCloser, error) {
		r, err := f.Open()
		if err != nil {
			return nil, err
		}
		defer r.Close()
		text, err := io.ReadAll(r)
		if err != nil {
			return nil, err
		}
		return io.NopCloser(bytes.NewReader(s.rewrite(text))), nil
	}
}
