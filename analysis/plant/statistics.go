package plant

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Statistic is what plant.toml's word for a limit's statistic asks for.
type Statistic struct {
	Name     string
	AtLeast  bool    // the limit is a minimum
	Range    bool    // the limit is a low and a high
	Mass     bool    // lb/d or kg/d
	Removal  bool    // percent
	Weekly   bool    // over the permit's weeks
	Percent  float64 // of a percentile; 0 otherwise
	OnSignal bool    // needs a continuous tag

	Geometric bool
	Days      int // of a rolling mean
	Months    int // of the calendar period, where that is longer than one: 3, 12
}

// statistics are the words of plant.toml, limit key "statistic". What each
// means, by its legal definition, stands in package discharge.
var statistics = []Statistic{
	{Name: "average monthly"},
	{Name: "maximum weekly average", Weekly: true},
	{Name: "maximum daily"},
	{Name: "minimum daily", AtLeast: true},
	{Name: "instantaneous maximum"},
	{Name: "instantaneous minimum", AtLeast: true},
	{Name: "range", Range: true},
	{Name: "range continuous", Range: true, OnSignal: true},
	{Name: "geometric mean monthly", Geometric: true},
	{Name: "geometric mean weekly", Weekly: true, Geometric: true},
	{Name: "median 7 day"},
	{Name: "not more than one in 30 days"},
	{Name: "removal monthly minimum", Removal: true, AtLeast: true},
	{Name: "mass average monthly", Mass: true},
	{Name: "mass maximum weekly", Mass: true, Weekly: true},
	{Name: "mass maximum daily", Mass: true},
	{Name: "one hour average"},
	{Name: "four day average"},
	{Name: "rolling 7 day average", Days: 7},
	{Name: "rolling 30 day average", Days: 30},
	{Name: "rolling 7 day geometric mean", Days: 7, Geometric: true},
	{Name: "rolling 30 day geometric mean", Days: 30, Geometric: true},
	{Name: "average quarterly", Months: 3},
	{Name: "average annual", Months: 12},
	{Name: "geometric mean quarterly", Months: 3, Geometric: true},
}

// StatisticOf finds a statistic by its word; "percentile 90" works for any
// whole percentile from 1 to 99.
func StatisticOf(word string) (Statistic, bool) {
	word = normalWords(word)
	for _, s := range statistics {
		if s.Name == word {
			return s, true
		}
	}
	if t, ok := strings.CutPrefix(word, "percentile "); ok {
		if n, err := strconv.Atoi(t); err == nil && n >= 1 && n <= 99 && t == strconv.Itoa(n) {
			return Statistic{Name: word, Percent: float64(n)}, true
		}
	}
	return Statistic{}, false
}

// StatisticNames lists the words, in the order of the table.
func StatisticNames() []string {
	var out []string
	for _, s := range statistics {
		out = append(out, s.Name)
	}
	return append(out, "percentile 90 (or any other from 1 to 99)")
}

// Season is the part of the year in which a limit applies, both days included.
// It may pass over New Year.
type Season struct {
	FromMonth, ToMonth time.Month
	FromDay, ToDay     int
}

// ParseSeason reads "05-01..10-31" (month-day, both included).
func ParseSeason(s string) (Season, error) {
	a, b, ok := strings.Cut(strings.ReplaceAll(s, " ", ""), "..")
	var out Season
	var err1, err2 error
	out.FromMonth, out.FromDay, err1 = monthDay(a)
	out.ToMonth, out.ToDay, err2 = monthDay(b)
	if !ok || err1 != nil || err2 != nil {
		return Season{}, fmt.Errorf("%q is no season; write month-day..month-day, as in 05-01..10-31", s)
	}
	return out, nil
}

func monthDay(s string) (time.Month, int, error) {
	// A leap year, so that 02-29 may end a season.
	t, err := time.Parse("2006-01-02", "2024-"+s)
	return t.Month(), t.Day(), err
}

// Holds says whether a calendar date lies in the season.
func (s Season) Holds(m time.Month, day int) bool {
	at, from, to := int(m)*100+day, int(s.FromMonth)*100+s.FromDay, int(s.ToMonth)*100+s.ToDay
	if from <= to {
		return from <= at && at <= to
	}
	return at >= from || at <= to
}

// Frequency is how often the permit wants a sample taken.
type Frequency struct {
	N          int
	Per        string // "day", "week", "month", "quarter", "year"
	Continuous bool
}

// ParseFrequency reads "1/day", "3/week", "2/month", "1/quarter", "1/year",
// "daily", "weekly", "monthly", "quarterly", "yearly", "continuous".
func ParseFrequency(s string) (Frequency, error) {
	t := normalWords(s)
	switch t {
	case "continuous":
		return Frequency{Continuous: true}, nil
	case "daily":
		return Frequency{N: 1, Per: "day"}, nil
	case "weekly", "monthly", "yearly":
		return Frequency{N: 1, Per: strings.TrimSuffix(t, "ly")}, nil
	case "quarterly":
		return Frequency{N: 1, Per: "quarter"}, nil
	}
	a, per, ok := strings.Cut(strings.ReplaceAll(t, " ", ""), "/")
	n, err := strconv.Atoi(a)
	if ok && err == nil && n >= 1 && n <= 1440 {
		for _, w := range []string{"day", "week", "month", "quarter", "year"} {
			if per == w || per == w[:1] {
				return Frequency{N: n, Per: w}, nil
			}
		}
	}
	return Frequency{}, fmt.Errorf("%q is no frequency; write 1/day, 3/week, 1/month, 1/quarter, 1/year or continuous", s)
}

// InSeason says whether a limit holds on the day of a time on the plant's clock; one
// without a season always does.
func (l Limit) InSeason(local time.Time) bool {
	if l.Season == "" {
		return true
	}
	s, err := ParseSeason(l.Season)
	return err == nil && s.Holds(local.Month(), local.Day())
}
