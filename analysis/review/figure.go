package review

import (
	"fmt"
	"time"

	"weirbook/analysis/review/stat"
)

// Figure is one number of the review with all that a reader needs to judge it.
type Figure struct {
	Section    string // "reliability", "capacity" …
	Statistic  string // "share met", "percentile 95" …
	Parameter  string // "CT", "residual at the outlet" …
	Point      string // title of the basin, point or instrument
	Period     string // "whole", "winter", "2026-03" …
	Value      float64
	Unit       string
	Low, High  float64 // 95 % interval; NaN: none is given
	N          int     // values that went in
	Effective  float64 // independent values they are worth; NaN: not asked for
	InDoubt    int     // of N, those that rest on an instrument judged not to be believed
	Coverage   float64 // share of the period that the values cover, 0…1; NaN: has no meaning
	Definition string
	Source     string
	Why        string // why Value is not known
}

// Grouping is how percentiles are parted.
type Grouping string

// Groupings, the words of --by.
const (
	BySeason  Grouping = "season"
	ByMonth   Grouping = "month"
	ByHour    Grouping = "hour"
	ByWeekday Grouping = "weekday"
)

// Groupings lists them.
func Groupings() []Grouping { return []Grouping{BySeason, ByMonth, ByHour, ByWeekday} }

// seasons are the meteorological ones of the northern half.
var seasons = [4]string{"winter (Dec to Feb)", "spring (Mar to May)", "summer (Jun to Aug)", "autumn (Sep to Nov)"}

// group gives the name and the order of an hour's group.
func (g Grouping) group(t time.Time) (string, int) {
	switch g {
	case ByMonth:
		return t.Month().String(), int(t.Month())
	case ByHour:
		return fmt.Sprintf("%02d:00", t.Hour()), t.Hour()
	case ByWeekday:
		return t.Weekday().String(), int(t.Weekday()+6) % 7
	}
	k := int(t.Month()) % 12 / 3
	return seasons[k], k
}

// Settings are the thresholds of a review; the report prints them.
type Settings struct {
	Confidence      float64 // of every interval
	Percentile      int     // of sample percentiles, by Hyndman and Fan's number
	Position        float64 // plotting position a of probability plots
	DayShare        float64 // share of a day's hours that must be known for its mean
	MonthShare      float64 // the same of a month
	WeekDays        int     // of 7 days that must be known for a running week
	MonthDays       int     // of 30 days that must be known for a running month
	LowQuantile     float64 // the careful residual line of capacity
	LinePoints      int     // hours at most that a quantile line is fitted to, a twentieth for each step of the flow
	ZoneDays        int     // days at least for the zones of a flow-duration curve
	TrendMonths     int     // months at least for a trend
	SeasonalYears   int     // values a calendar month must have for a seasonal test
	StepMonths      int     // months at least on each side of a step
	CovarianceYears int     // years from which the covariance between months is reckoned; before, the months are worth as many as are independent
	Alpha           float64 // level below which a trend or shift is called one
	CompareDays     int     // days that one value of a comparison stands for
	CompareLeast    int     // such values that each period must have
	MatchLeast      int     // and of each month that is held against its like
	LeastHours      int     // hours below which no review is made
	FailureGapHours int     // doubts and outages closer than this are one failure
	PairsLeast      int     // pairs at least for limits of agreement
}

// DefaultSettings are the settings in use.
func DefaultSettings() Settings {
	return Settings{Confidence: 0.95, Percentile: int(stat.Type6), Position: stat.Blom, DayShare: 0.75, MonthShare: 0.5, WeekDays: 7, MonthDays: 27,
		LowQuantile: 0.1, LinePoints: 4000, ZoneDays: 100, TrendMonths: 12, SeasonalYears: 3, StepMonths: 3, CovarianceYears: 10, Alpha: 0.05, CompareDays: 7, CompareLeast: 6, MatchLeast: 2,
		LeastHours: 24, FailureGapHours: 24, PairsLeast: 10}
}

// effective is how many independent values v is worth, from its correlation with
// itself one step before; v in order of time, values not known left out.
func effective(v []float64) float64 {
	k := stat.Known(v)
	return stat.EffectiveN(len(k), stat.Lag1(k))
}
