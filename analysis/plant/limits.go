package plant

import (
	"weirbook/analysis/quantity"
)

func buildLimits(c *checker, p *Plant, fs []fileLimit) {
	for i, f := range fs {
		l := Limit{At: f.At, Statistic: f.Statistic, Season: f.Season, Sample: f.Sample, Frequency: f.Frequency,
			Source: f.Source, Unit: f.Unit, Line: c.line("limit", i, "parameter"),
			Value: c.number("limit", i, "value", f.Value, -1e12, 1e12),
			Low:   c.number("limit", i, "low", f.Low, -1e12, 1e12),
			High:  c.number("limit", i, "high", f.High, -1e12, 1e12)}
		k, err := quantity.ParseKind(f.Parameter)
		if err != nil {
			c.fail("limit", i, "parameter", "%v", err)
		}
		l.Parameter = k
		if f.Statistic == "" {
			c.fail("limit", i, "statistic", "limit on %s names no statistic", f.Parameter)
		}
		if f.Value == nil && f.Low == nil && f.High == nil {
			c.fail("limit", i, "value", "limit on %s states no value", f.Parameter)
		}
		if f.Unit != "" {
			if _, err := quantity.ParseUnit(f.Unit); err != nil {
				c.fail("limit", i, "unit", "%v", err)
			}
		}
		p.Limits = append(p.Limits, l)
	}
}

func buildReporting(c *checker, p *Plant, f fileReporting) {
	p.Reporting = Reporting{
		NonDetect:      c.oneOf("reporting", 0, "non_detect", f.NonDetect, "limit", "zero", "half", "limit", "value", "mle", "kaplan-meier"),
		NonDetectValue: c.number("reporting", 0, "non_detect_value", f.NonDetectValue, 0, 1e9),
		Rounding:       c.oneOf("reporting", 0, "rounding", f.Rounding, "half-up", "half-up", "half-even"),
		Week:           c.oneOf("reporting", 0, "week_begins", f.Week, "sunday", "sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday"),
		StraddlingWeeks: c.oneOf("reporting", 0, "straddling_weeks", f.StraddlingWeeks, "where-it-ends",
			"where-it-ends", "where-it-begins", "most-days", "whole-weeks-only"),
		Facility: f.Facility, PermitNumber: f.PermitNumber,
	}
	if p.Reporting.NonDetect == "value" && f.NonDetectValue == nil {
		c.fail("reporting", 0, "non_detect", "non_detect = \"value\" needs non_detect_value")
	}
}
