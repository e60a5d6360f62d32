package discharge

import (
	"fmt"
	"sort"
	"strings"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/plant"
)

// calendar is a run of local calendar days. Nothing published says how a day
// of 23 or 25 hours counts; 40 CFR 122.2 speaks of a calendar day, so it is one
// day, with its own hours.
type calendar struct {
	loc     *time.Location
	dates   []time.Time // midnight UTC: only the date counts
	windows []align.Window
	at      map[time.Time]int
}

// newCalendar runs from date to date, both included.
func newCalendar(from, to time.Time, loc *time.Location) *calendar {
	c := &calendar{loc: loc, at: map[time.Time]int{}}
	start := func(d time.Time) int64 {
		return align.StartOfDay(d.Year(), d.Month(), d.Day(), loc)
	}
	for d := from; !d.After(to); d = d.AddDate(0, 0, 1) {
		c.at[d] = len(c.dates)
		c.dates = append(c.dates, d)
		c.windows = append(c.windows, align.Window{Start: start(d), End: start(d.AddDate(0, 0, 1))})
	}
	return c
}

// date of the first day of a month, and others by overflow.
func date(year int, m time.Month, day int) time.Time {
	return time.Date(year, m, day, 0, 0, 0, 0, time.UTC)
}

// index gives the day that holds t, -1 when none does.
func (c *calendar) index(t int64) int {
	i := sort.Search(len(c.windows), func(i int) bool { return c.windows[i].End > t })
	if i == len(c.windows) || t < c.windows[i].Start {
		return -1
	}
	return i
}

func (c *calendar) hours(i int) float64 {
	return float64(c.windows[i].End-c.windows[i].Start) / 3_600_000
}

// month gives the days [lo, hi) of a month.
func (c *calendar) month(year int, m time.Month) (lo, hi int) {
	first := date(year, m, 1)
	lo = c.at[first]
	return lo, lo + first.AddDate(0, 1, -1).Day()
}

// Week is one of the permit's weeks.
type Week struct {
	First, Last time.Time // dates, both included
	Counted     bool      // it counts for this month
	Straddles   bool      // it has days in another month
	lo, hi      int
}

// weekday words of plant.toml, in the order of time.Weekday.
var weekdays = []string{"sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday"}

// weeks lists the weeks that touch the month, and says which of them count for
// it by the permit's choice.
func (c *calendar) weeks(year int, m time.Month, r plant.Reporting) []Week {
	lo, hi := c.month(year, m)
	begins := 0
	for i, w := range weekdays {
		if w == r.Week {
			begins = i
		}
	}
	first := lo - (int(c.dates[lo].Weekday())-begins+7)%7
	var out []Week
	for i := first; i < hi; i += 7 {
		inside := min(i+7, hi) - max(i, lo)
		w := Week{lo: i, hi: i + 7, First: c.dates[i], Last: c.dates[i+6], Straddles: inside < 7}
		switch r.StraddlingWeeks {
		case "where-it-begins":
			w.Counted = i >= lo
		case "most-days":
			w.Counted = inside >= 4
		case "whole-weeks-only":
			w.Counted = inside == 7
		default:
			w.Counted = i+7 <= hi
		}
		out = append(out, w)
	}
	return out
}

// dayName writes plant.toml's word for a day of the week as a name.
func dayName(word string) string { return capital(word) }

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// straddlingWords says the choice in a sentence's words.
func straddlingWords(choice string) string {
	switch choice {
	case "where-it-begins":
		return "a week that straddles two months counts for the month in which it begins"
	case "most-days":
		return "a week that straddles two months counts for the month with most of its days"
	case "whole-weeks-only":
		return "a week that straddles two months counts for neither"
	}
	return "a week that straddles two months counts for the month in which it ends"
}

// String: "1 to 7 March 2026", "29 March to 4 April 2026".
func (w Week) String() string { return span(w.First, w.Last) }

func span(a, b time.Time) string {
	switch {
	case a.Equal(b):
		return a.Format("2 January 2006")
	case a.Year() != b.Year():
		return fmt.Sprintf("%s to %s", a.Format("2 January 2006"), b.Format("2 January 2006"))
	case a.Month() != b.Month():
		return fmt.Sprintf("%s to %s", a.Format("2 January"), b.Format("2 January 2006"))
	}
	return fmt.Sprintf("%d to %s", a.Day(), b.Format("2 January 2006"))
}

// holiday says that the plant file lists a day as one on which no sample is due.
func (b *bench) holiday(i int) bool {
	for _, h := range b.in.Plant.Reporting.Holidays {
		if h.Equal(b.cal.dates[i]) {
			return true
		}
	}
	return false
}

// holidays counts those of a week that fall on Monday to Friday.
func (b *bench) holidays(w Week) (n int) {
	for i := w.lo; i < w.hi; i++ {
		if d := b.cal.dates[i].Weekday(); b.holiday(i) && d != time.Saturday && d != time.Sunday {
			n++
		}
	}
	return n
}
