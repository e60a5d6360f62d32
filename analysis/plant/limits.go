package plant

import (
	"math"
	"strings"
	"time"

	"weirbook/analysis/quantity"
)

func checkLimits(c *checker, p *Plant) {
	for i := range p.Limits {
		l := &p.Limits[i]
		l.Statistic, l.Line = normalWords(l.Statistic), c.line(c.pathOf("limit", i, "parameter"))
		l.Written, l.LowWritten, l.HighWritten = c.written("limit", i, "value"), c.written("limit", i, "low"), c.written("limit", i, "high")
		if l.NonDetect == "value" && math.IsNaN(l.NonDetectValue) {
			c.fail("limit", i, "non_detect", "non_detect = \"value\" needs non_detect_value")
		}
		parameter := string(l.Parameter)
		k, err := quantity.ParseKind(parameter)
		if err != nil {
			c.fail("limit", i, "parameter", "%v", err)
		}
		l.Parameter = k
		if l.At == "" {
			c.fail("limit", i, "at", "limit on %s names no sampling point; write at = \"…\"", parameter)
		}
		checkStatistic(c, i, l)
		checkLimitUnit(c, i, l, p.Units)
		checkLimitValues(c, i, l)
		if l.Season != "" {
			if _, err := ParseSeason(l.Season); err != nil {
				c.fail("limit", i, "season", "season: %v", err)
			}
		}
		if l.Frequency != "" {
			if _, err := ParseFrequency(l.Frequency); err != nil {
				c.fail("limit", i, "frequency", "frequency: %v", err)
			}
		}
		if l.Figures >= 0 && l.Decimals >= 0 {
			c.fail("limit", i, "figures", "limit on %s states figures and decimals; keep one", parameter)
		}
	}
}

// checkLimitValues refuses numbers that no permit holds.
func checkLimitValues(c *checker, i int, l *Limit) {
	if l.Parameter == quantity.Temp || l.Parameter == quantity.ORP {
		return
	}
	for _, x := range []struct {
		key string
		v   float64
	}{{"value", l.Value}, {"low", l.Low}, {"high", l.High}, {"compliance_level", l.ComplianceLevel}} {
		if x.v < 0 {
			c.fail("limit", i, x.key, "%s = %g is negative; a limit on %s is 0 or more", x.key, x.v, l.Parameter)
		}
	}
}

// checkStatistic makes sure that the statistic is a known one and that the
// limit states the numbers it needs.
func checkStatistic(c *checker, i int, l *Limit) {
	if l.Statistic == "" {
		c.fail("limit", i, "statistic", "limit on %s names no statistic; write one of %s", l.Parameter, strings.Join(StatisticNames(), ", "))
		return
	}
	s, ok := StatisticOf(l.Statistic)
	if !ok {
		c.fail("limit", i, "statistic", "statistic = %q is unknown; write one of %s", c.text("limit", i, "statistic"), strings.Join(StatisticNames(), ", "))
		return
	}
	switch {
	case l.ReportOnly:
		if s.Range {
			c.fail("limit", i, "report_only", "a range needs low and high; to report extremes without a limit write two limits, instantaneous minimum and instantaneous maximum")
		}
	case s.Range:
		if math.IsNaN(l.Low) || math.IsNaN(l.High) {
			c.fail("limit", i, "low", "statistic %q needs low and high, as in low = 6.0 and high = 9.0", l.Statistic)
		} else if !(l.Low < l.High) {
			c.fail("limit", i, "low", "low = %g is not below high = %g", l.Low, l.High)
		}
	case math.IsNaN(l.Value):
		c.fail("limit", i, "value", "limit on %s states no value; write value = …, or report_only = true where the permit asks for the figure alone", l.Parameter)
	case !math.IsNaN(l.Low) || !math.IsNaN(l.High):
		c.fail("limit", i, "low", "statistic %q takes value, not low and high", l.Statistic)
	}
}

// checkLimitUnit settles the unit: the one written, or the usual one of the
// parameter and statistic.
func checkLimitUnit(c *checker, i int, l *Limit, system System) {
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
	if l.Unit == "" {
		l.Unit = want.Symbol
		return
	}
	u, err := quantity.ParseUnit(l.Unit)
	if err != nil {
		c.fail("limit", i, "unit", "%v", err)
		return
	}
	if u.Dimension != want.Dimension {
		c.fail("limit", i, "unit", "unit = %q does not fit %s, %s; write one such as %s", l.Unit, l.Parameter, l.Statistic, want.Symbol)
		return
	}
	l.Unit = u.Symbol
}

// written gives a number as it stands in the file: "0.10" has two significant
// figures, which the number itself no longer tells.
func (c *checker) written(table string, n int, key string) string {
	i := c.lines[c.pathOf(table, n, key)]
	if i < 1 || i > len(c.rows) {
		return ""
	}
	k, v, ok := strings.Cut(c.rows[i-1], "=")
	if !ok || strings.TrimSpace(k) != key {
		return ""
	}
	v, _, _ = strings.Cut(v, "#")
	return strings.ReplaceAll(strings.TrimSpace(v), "_", "")
}

func normalWords(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

func checkReporting(c *checker, p *Plant) {
	if p.Reporting.NonDetect == "value" && math.IsNaN(p.Reporting.NonDetectValue) {
		c.fail("reporting", 0, "non_detect", "non_detect = \"value\" needs non_detect_value")
	}
	for i, d := range p.Reporting.Holidays { // a date, wherever the plant is
		d = d.In(c.zone)
		p.Reporting.Holidays[i] = time.Date(d.Year(), d.Month(), d.Day(), 0, 0, 0, 0, time.UTC)
	}
}
