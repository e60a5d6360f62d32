package export

import (
	"fmt"
	"math"
	"sort"
	"time"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/stamp"
	"weirbook/analysis/series"
)

// winterClock asks about a file whose times stand in an hour that its clock skips:
// a clock left on winter time writes such.
func (r *reader) winterClock(t *table) {
	n := t.Untagged.Aside[ledger.NoSuchTime]
	for _, k := range t.Tracks {
		if k != nil {
			n = max(n, k.Led.Aside[ledger.NoSuchTime])
		}
	}
	if n == 0 {
		return
	}
	stand := "times stand"
	if n == 1 {
		stand = "time stands"
	}
	r.ask(ledger.Warning, t.M.Name, 0, ledger.Question{Key: "time_zone"}, fmt.Sprintf("%d %s in the hour that the clock of %s skips in spring and never shows. A clock left on winter time shows it: is this file's? Then write %s for it under [[source]] in plant.toml, which moves its times of summer by an hour; nothing was moved",
		n, stand, t.F.Time.Clock.Loc, t.winterKey()))
}

// winterKey words the key of plant.toml for a clock left on the winter time of the
// file's zone.
func (t *table) winterKey() string {
	year := 2026
	for _, k := range t.Tracks {
		if k != nil && len(k.Early) > 0 {
			year = time.UnixMilli(k.Early[0]).Year()
			break
		}
	}
	winter, _ := stamp.YearOffsets(t.F.Time.Clock.Loc, year)
	return stamp.StayingAt(winter)
}

// season is a stretch between two changes of a clock.
type season struct {
	from, to int64 // Unix ms
	summer   bool
	shift    int64 // minutes by which summer time stands before winter time
	winter   int64 // offset of winter time, seconds east
}

// seasons splits a period at the changes of a zone's clock; nil where it has none.
func seasons(loc *time.Location, from, to int64) (out []season) {
	if loc == nil {
		return nil
	}
	for at := from; at < to; {
		t := time.UnixMilli(at).In(loc)
		winter, summer := stamp.YearOffsets(loc, t.Year())
		s := season{from: at, to: to, shift: (summer - winter) / 60, winter: winter}
		if s.shift == 0 {
			return nil
		}
		_, off := t.Zone()
		s.summer = int64(off) == summer
		if _, e := t.ZoneBounds(); !e.IsZero() && e.UnixMilli() < to {
			s.to = e.UnixMilli()
		}
		out = append(out, s)
		at = s.to
	}
	return out
}

// within gives the readings of a period.
func within(s *series.Series, from, to int64) *series.Series {
	i := sort.Search(len(s.T), func(i int) bool { return s.T[i] >= from })
	j := sort.Search(len(s.T), func(j int) bool { return s.T[j] >= to })
	return &series.Series{Tag: s.Tag, T: s.T[i:j], V: s.V[i:j], F: s.F[i:j]}
}

// winterLag compares two signals in winter and in summer apart. It gives true where
// they line up in winter, as far as that is met, and stand the change of the clock
// apart in summer: behind says that b, else a, stands behind.
func winterLag(a, b *series.Series, loc *time.Location, set LagSettings) (summer season, l Lag, behind bool, winterMet, ok bool) {
	if a.Len() == 0 || b.Len() == 0 {
		return
	}
	var winter Lag
	for _, s := range seasons(loc, max(a.T[0], b.T[0]), min(a.T[a.Len()-1], b.T[b.Len()-1])+1) {
		x := EstimateLag(within(a, s.from, s.to), within(b, s.from, s.to), set)
		switch {
		case s.summer && x.Days > l.Days:
			l, summer = x, s
		case !s.summer && x.Days > winter.Days:
			winter = x
		}
	}
	size := math.Abs(float64(l.Minutes))
	if !l.Ask || math.Abs(size-float64(summer.shift)) > float64(2*set.StepMinutes) || winter.Days >= set.MinDays && winter.Ask {
		return summer, l, false, false, false
	}
	return summer, l, l.Minutes > 0, winter.Days >= set.MinDays, true
}
