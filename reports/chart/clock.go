package chart

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"weirbook/analysis/align"
)

// clockAxis is a time axis on the plant's own clock.
type clockAxis struct {
	start, end int64 // Unix ms
	zone       *time.Location
	grid       []int64 // where light lines cross the panels
	minor      []int64 // where ticks stand
	labels     []clockLabel
	below      []clockLabel // second row: days under hours, months under days
	title      string
}

// clockLabel is a text under the axis. It stands centred between from and to,
// which are equal for a moment.
type clockLabel struct {
	from, to int64
	text     string
}

const (
	minuteMs = int64(60_000)
	hourMs   = 60 * minuteMs
	dayMs    = 24 * hourMs
)

// newClockAxis chooses whole steps of the clock that leave room for their
// labels on width px: quarter hours, hours, days, weeks, months or years. Steps
// follow the clock, not elapsed time: on the day the clock goes forward there
// is no 02:00, and on the day it goes back 01:00 comes twice.
func newClockAxis(start, end int64, zone *time.Location, width float64) *clockAxis {
	a := &clockAxis{start: start, end: end, zone: zone}
	perMs := width / float64(end-start)
	hourStep := int64(0)
	for _, step := range []int64{15, 30, 60, 120, 180, 360, 720} {
		if step < 60 && end-start >= 4*hourMs {
			continue // whole hours where there are some to show
		}
		if float64(step*minuteMs)*perMs >= 47 {
			hourStep = step
			break
		}
	}
	day := float64(dayMs) * perMs
	switch {
	case hourStep > 0 && hourStep <= 360 || day < 66 && hourStep > 0:
		a.hours(hourStep, perMs)
	case day >= 66:
		a.days(1, "Mon 2 Jan", perMs)
		a.quarterDays(perMs)
	case day >= 18:
		a.days(1, "2", perMs)
	case 7*day >= 46:
		a.weeks(perMs)
	default:
		a.months(perMs)
	}
	a.title = a.clockName()
	return a
}

// hours labels the hours of the clock that are whole steps (minutes) from
// midnight, with the dates below.
func (a *clockAxis) hours(step int64, perMs float64) {
	for t := ceilTo(a.start, 15*minuteMs); t <= a.end; t += 15 * minuteMs {
		l := a.local(t)
		m := int64(l.Hour()*60 + l.Minute())
		if m%step == 0 {
			a.grid = append(a.grid, t)
			a.minor = append(a.minor, t)
			a.labels = append(a.labels, clockLabel{t, t, l.Format("15:04")})
		} else if (step == 180 || step == 360) && m%60 == 0 && float64(hourMs)*perMs >= 5 {
			a.minor = append(a.minor, t)
		}
	}
	a.below = a.intervals(a.startOfDay, func(t time.Time) time.Time { return nextDay(t, 1) },
		[]string{"Monday 2 January 2006", "Mon 2 Jan 2006", "Mon 2 Jan", "2 Jan"}, perMs)
}

// days labels every day between its midnights.
func (a *clockAxis) days(step int, layout string, perMs float64) {
	for t := a.startOfDay(a.local(a.start)); t.UnixMilli() <= a.end; t = nextDay(t, step) {
		from, to := t.UnixMilli(), nextDay(t, step).UnixMilli()
		if from >= a.start {
			a.grid = append(a.grid, from)
			a.minor = append(a.minor, from)
		}
		from, to = max(from, a.start), min(to, a.end)
		text := t.Format(layout)
		if float64(to-from)*perMs >= tickText.width(text)+2 {
			a.labels = append(a.labels, clockLabel{from, to, text})
		}
	}
	a.below = a.monthIntervals(perMs)
}

func (a *clockAxis) quarterDays(perMs float64) {
	if 6*float64(hourMs)*perMs < 8 {
		return
	}
	for t := ceilTo(a.start, 15*minuteMs); t <= a.end; t += 15 * minuteMs {
		if l := a.local(t); l.Minute() == 0 && l.Hour()%6 == 0 && l.Hour() > 0 {
			a.minor = append(a.minor, t)
		}
	}
}

// weeks labels every Monday.
func (a *clockAxis) weeks(perMs float64) {
	t := a.startOfDay(a.local(a.start))
	for t.Weekday() != time.Monday || t.UnixMilli() < a.start {
		t = nextDay(t, 1)
	}
	for ; t.UnixMilli() <= a.end; t = nextDay(t, 7) {
		ms := t.UnixMilli()
		a.grid = append(a.grid, ms)
		a.minor = append(a.minor, ms)
		a.labels = append(a.labels, clockLabel{ms, ms, t.Format("2 Jan")})
	}
	a.below = a.intervals(a.startOfYear, nextYear, []string{"2006"}, perMs)
}

func (a *clockAxis) months(perMs float64) {
	first := func(t time.Time) time.Time { return time.Date(t.Year(), t.Month(), 1, 0, 0, 0, 0, a.zone) }
	next := func(t time.Time) time.Time { return time.Date(t.Year(), t.Month()+1, 1, 0, 0, 0, 0, a.zone) }
	a.labels = a.intervals(first, next, []string{"Jan", initial}, perMs)
	for t := first(a.local(a.start)); t.UnixMilli() <= a.end; t = next(t) {
		if ms := t.UnixMilli(); ms >= a.start {
			a.grid = append(a.grid, ms)
			a.minor = append(a.minor, ms)
		}
	}
	a.below = a.intervals(a.startOfYear, nextYear, []string{"2006"}, perMs)
}

func (a *clockAxis) monthIntervals(perMs float64) []clockLabel {
	first := func(t time.Time) time.Time { return time.Date(t.Year(), t.Month(), 1, 0, 0, 0, 0, a.zone) }
	next := func(t time.Time) time.Time { return time.Date(t.Year(), t.Month()+1, 1, 0, 0, 0, 0, a.zone) }
	return a.intervals(first, next, []string{"January 2006", "Jan 2006", "Jan"}, perMs)
}

// intervals labels whole calendar intervals; one with no room stays without.
func (a *clockAxis) intervals(first, next func(time.Time) time.Time, layouts []string, perMs float64) []clockLabel {
	var out []clockLabel
	var days []time.Time
	var room []float64
	for t := first(a.local(a.start)); t.UnixMilli() < a.end; t = next(t) {
		from, to := max(t.UnixMilli(), a.start), min(next(t).UnixMilli(), a.end)
		out = append(out, clockLabel{from: from, to: to})
		days = append(days, t)
		room = append(room, float64(to-from)*perMs-6)
	}
	for i, text := range fitDates(days, room, layouts) {
		out[i].text = text
	}
	return out
}

// initial is a layout of our own: the month's first letter.
const initial = "J"

// fitDates writes dates, each within its room, px: all in the first layout that
// fits every one but the first and the last, which may be cut short by the
// axis and take a shorter one. Where nothing fits the text is empty.
func fitDates(days []time.Time, room []float64, layouts []string) []string {
	write := func(t time.Time, layout string) string {
		if layout == initial {
			return t.Format("Jan")[:1]
		}
		return t.Format(layout)
	}
	fits := func(i int, layout string) bool { return boldText.width(write(days[i], layout)) <= room[i] }
	common := len(layouts)
	for k, l := range layouts {
		all := true
		for i := 1; i < len(days)-1; i++ {
			all = all && fits(i, l)
		}
		if all {
			common = k
			break
		}
	}
	out := make([]string, len(days))
	for i := range days {
		for k := common; k < len(layouts); k++ {
			if layouts[k] == initial && k != common {
				break // a lone letter among whole names says nothing
			}
			if fits(i, layouts[k]) {
				out[i] = write(days[i], layouts[k])
				break
			}
		}
	}
	return out
}

// clockName says which clock the axis shows, and where it changes if it does
// so once.
func (a *clockAxis) clockName() string {
	s := a.local(a.start)
	name, off := s.Zone()
	text := "Plant clock, " + zoneName(name, off)
	names := []string{zoneName(name, off)}
	for t := s; ; {
		_, end := t.ZoneBounds()
		if end.IsZero() || end.UnixMilli() >= a.end {
			if len(names) > 2 {
				sort.Strings(names)
				return "Plant clock, " + list(slices.Compact(names))
			}
			return text
		}
		_, was := end.Add(-time.Second).Zone()
		name, is := end.Zone()
		way := "forward"
		if is < was {
			way = "back"
		}
		wall := end.UTC().Add(time.Duration(was) * time.Second) // as the old clock shows it
		text += fmt.Sprintf("; goes %s to %s at %s", way, zoneName(name, is), wall.Format("15:04 on 2 Jan"))
		names = append(names, zoneName(name, is))
		t = end
	}
}

// zoneName is the clock's own name with its distance from UTC.
func zoneName(name string, offset int) string {
	sign := "+"
	if offset < 0 {
		sign, offset = "−", -offset
	}
	utc := fmt.Sprintf("UTC%s%d", sign, offset/3600)
	if m := offset / 60 % 60; m != 0 {
		utc += fmt.Sprintf(":%02d", m)
	}
	if offset == 0 {
		utc = "UTC"
	}
	if name == "" || name == "UTC" || name[0] == '+' || name[0] == '-' {
		return utc
	}
	return name + " (" + utc + ")"
}

func (a *clockAxis) local(ms int64) time.Time { return time.UnixMilli(ms).In(a.zone) }

func (a *clockAxis) startOfDay(t time.Time) time.Time { return nextDay(t.In(a.zone), 0) }

func (a *clockAxis) startOfYear(t time.Time) time.Time {
	return time.Date(t.Year(), 1, 1, 0, 0, 0, 0, a.zone)
}

// nextDay is the start of the day n days after that of t.
func nextDay(t time.Time, n int) time.Time {
	return time.UnixMilli(align.StartOfDay(t.Year(), t.Month(), t.Day()+n, t.Location())).In(t.Location())
}

func nextYear(t time.Time) time.Time {
	return time.Date(t.Year()+1, 1, 1, 0, 0, 0, 0, t.Location())
}

func ceilTo(t, step int64) int64 {
	return int64(math.Ceil(float64(t)/float64(step))) * step
}
