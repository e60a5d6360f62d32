package plant

import (
	"math"
	"strings"
	"time"

	"weirbook/analysis/quantity"
)

func buildLimits(c *checker, p *Plant, fs []fileLimit) {
	for i, f := range fs {
		l := Limit{At: f.At, Statistic: normalWords(f.Statistic), Season: f.Season, Sample: f.Sample, Frequency: f.Frequency,
			Source: f.Source, Unit: f.Unit, ReportOnly: f.ReportOnly, Line: c.line("limit", i, "parameter"),
			Value:   c.number("limit", i, "value", f.Value, -1e12, 1e12),
			Low:     c.number("limit", i, "low", f.Low, -1e12, 1e12),
			High:    c.number("limit", i, "high", f.High, -1e12, 1e12),
			Written: c.written("limit", i, "value"), LowWritten: c.written("limit", i, "low"), HighWritten: c.written("limit", i, "high"),
			Figures: -1, Decimals: -1,
			NonDetect:       c.oneOf("limit", i, "non_detect", f.NonDetect, "", nonDetectRules...),
			NonDetectValue:  c.number("limit", i, "non_detect_value", f.NonDetectValue, 0, 1e9),
			ComplianceLevel: c.number("limit", i, "compliance_level", f.ComplianceLevel, 0, 1e9),
			CompositeDay:    c.oneOf("limit", i, "composite_day", f.CompositeDay, "", compositeDays...)}
		if f.NonDetect == "value" && f.NonDetectValue == nil {
			c.fail("limit", i, "non_detect", "non_detect = \"value\" needs non_detect_value")
		}
		k, err := quantity.ParseKind(f.Parameter)
		if err != nil {
			c.fail("limit", i, "parameter", "%v", err)
		}
		l.Parameter = k
		if f.At == "" {
			c.fail("limit", i, "at", "limit on %s names no sampling point; write at = \"…\"", f.Parameter)
		}
		checkStatistic(c, i, f, &l)
		checkLimitUnit(c, i, f, &l, p.Units)
		if f.Season != "" {
			if _, err := ParseSeason(f.Season); err != nil {
				c.fail("limit", i, "season", "season: %v", err)
			}
		}
		l.Sample = c.oneOf("limit", i, "sample", strings.ToLower(f.Sample), "", "grab", "composite", "continuous")
		if f.Frequency != "" {
			if _, err := ParseFrequency(f.Frequency); err != nil {
				c.fail("limit", i, "frequency", "frequency: %v", err)
			}
		}
		if f.Figures != nil && f.Decimals != nil {
			c.fail("limit", i, "figures", "limit on %s states figures and decimals; keep one", f.Parameter)
		}
		if f.Figures != nil {
			l.Figures = int(c.number("limit", i, "figures", f.Figures, 1, 9))
		}
		if f.Decimals != nil {
			l.Decimals = int(c.number("limit", i, "decimals", f.Decimals, 0, 9))
		}
		p.Limits = append(p.Limits, l)
	}
}

// checkStatistic makes sure that the statistic is a known one and that the
// limit states the numbers it needs.
func checkStatistic(c *checker, i int, f fileLimit, l *Limit) {
	if f.Statistic == "" {
		c.fail("limit", i, "statistic", "limit on %s names no statistic; write one of %s", f.Parameter, strings.Join(StatisticNames(), ", "))
		return
	}
	s, ok := StatisticOf(l.Statistic)
	if !ok {
		c.fail("limit", i, "statistic", "statistic = %q is unknown; write one of %s", f.Statistic, strings.Join(StatisticNames(), ", "))
		return
	}
	switch {
	case l.ReportOnly:
		if s.Range {
			c.fail("limit", i, "report_only", "a range needs low and high; to report extremes without a limit write two limits, instantaneous minimum and instantaneous maximum")
		}
	case s.Range:
		if f.Low == nil || f.High == nil {
			c.fail("limit", i, "low", "statistic %q needs low and high, as in low = 6.0 and high = 9.0", l.Statistic)
		} else if !(*f.Low < *f.High) {
			c.fail("limit", i, "low", "low = %g is not below high = %g", *f.Low, *f.High)
		}
	case f.Value == nil:
		c.fail("limit", i, "value", "limit on %s states no value; write value = …, or report_only = true where the permit asks for the figure alone", f.Parameter)
	case f.Low != nil || f.High != nil:
		c.fail("limit", i, "low", "statistic %q takes value, not low and high", l.Statistic)
	}
}

// checkLimitUnit settles the unit: the one written, or the usual one of the
// parameter and statistic.
func checkLimitUnit(c *checker, i int, f fileLimit, l *Limit, system System) {
	s, ok := StatisticOf(l.Statistic)
	info, known := quantity.Of(l.Parameter)
	if !ok || !known {
		return
	}
	want, mass := info.Working, "lb/d"
	if system == Metric {
		want, mass = info.Metric, "kg/d"
	}
	switch {
	case s.Mass:
		want = quantity.MustUnit(mass)
		if info.Working.Dimension != quantity.Concentration {
			c.fail("limit", i, "statistic", "a mass needs a concentration; %s comes in %s", l.Parameter, info.Working.Symbol)
			return
		}
	case s.Removal:
		want = quantity.MustUnit("%")
	}
	if f.Unit == "" {
		l.Unit = want.Symbol
		return
	}
	u, err := quantity.ParseUnit(f.Unit)
	if err != nil {
		c.fail("limit", i, "unit", "%v", err)
		return
	}
	if u.Dimension != want.Dimension {
		c.fail("limit", i, "unit", "unit = %q does not fit %s, %s; write one such as %s", f.Unit, l.Parameter, l.Statistic, want.Symbol)
		return
	}
	l.Unit = u.Symbol
}

// written gives a number as it stands in the file: "0.10" has two significant
// figures, which the number itself no longer tells.
func (c *checker) written(table string, n int, key string) string {
	i := c.line(table, n, key)
	if i < 1 || i > len(c.lines) {
		return ""
	}
	k, v, ok := strings.Cut(c.lines[i-1], "=")
	if !ok || strings.TrimSpace(k) != key {
		return ""
	}
	v, _, _ = strings.Cut(v, "#")
	return strings.ReplaceAll(strings.TrimSpace(v), "_", "")
}

func normalWords(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

var nonDetectRules = []string{"zero", "half", "limit", "without-sign", "value", "mle", "kaplan-meier"}

// compositeDays: a composite is stamped when it ended, or when it began (day-before, begun); or the
// day counts in which most of its 24 hours lie.
var compositeDays = []string{"stamped", "day-before", "begun", "most-hours"}

func buildReporting(c *checker, p *Plant, f fileReporting) {
	p.Reporting = Reporting{
		NonDetect:      c.oneOf("reporting", 0, "non_detect", f.NonDetect, "limit", nonDetectRules...),
		NonDetectValue: c.number("reporting", 0, "non_detect_value", f.NonDetectValue, 0, 1e9),
		AllBelow:       c.oneOf("reporting", 0, "all_below", f.AllBelow, "less-than-largest", "less-than-largest", "as-rule"),
		Rounding:       c.oneOf("reporting", 0, "rounding", f.Rounding, "half-up", "half-up", "half-even"),
		RoundTo:        c.oneOf("reporting", 0, "round_to", f.RoundTo, "figures", "figures", "decimals"),
		Week:           c.oneOf("reporting", 0, "week_begins", f.Week, "sunday", "sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday"),
		StraddlingWeeks: c.oneOf("reporting", 0, "straddling_weeks", f.StraddlingWeeks, "where-it-ends",
			"where-it-ends", "where-it-begins", "most-days", "whole-weeks-only"),
		CompositeDay: c.oneOf("reporting", 0, "composite_day", f.CompositeDay, "most-hours", compositeDays...),
		TooMany:      c.oneOf("reporting", 0, "too_many", f.TooMany, "", "exclude", "upper-limit"),
		NoDischarge:  orDefault(c.in("reporting", 0, "no_discharge_at", f.NoDischarge, "MGD"), 0),
		Facility:     f.Facility, PermitNumber: f.PermitNumber,
	}
	if p.Reporting.NonDetect == "value" && f.NonDetectValue == nil {
		c.fail("reporting", 0, "non_detect", "non_detect = \"value\" needs non_detect_value")
	}
	for _, s := range f.Holidays {
		d, err := time.Parse("2006-01-02", strings.TrimSpace(s))
		if err != nil {
			c.fail("reporting", 0, "holidays", "holidays: %q is no date; write 2026-05-25", s)
			continue
		}
		p.Reporting.Holidays = append(p.Reporting.Holidays, d)
	}
	if math.IsInf(p.Reporting.NoDischarge, 0) {
		p.Reporting.NoDischarge = 0
	}
}
