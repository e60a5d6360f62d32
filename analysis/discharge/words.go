package discharge

import (
	"fmt"
	"time"
)

// cautions stand on every summary.
var cautions = []string{
	"The permit, the laboratory and the responsible licensed operator decide. These figures are advisory until they have been held against the permit's own words and signed.",
	"The permit's rules on results below a reporting limit, on rounding and on weeks that straddle two months override the settings used here; check them before copying a figure.",
	"A state such as \"within limit\" compares two numbers. It is no statement about the permit as a whole.",
}

// words puts the permit's rules and the settings into sentences.
func (b *bench) words(m *Month) {
	r, s := m.Reporting, m.Settings
	m.Cautions = append([]string(nil), cautions...)
	below := "when every result is below its limit, the figure is less than the largest of the limits"
	if r.AllBelow == "as-rule" {
		below = "also when every result is below its limit"
	}
	round := "to the significant figures of the limit"
	if r.RoundTo == "decimals" {
		round = "to the decimals of the limit"
	}
	half := "a 5 goes up (EPA Water Supply Guidance 21)"
	if r.Rounding == string(HalfEven) {
		half = "a 5 followed by nothing goes to the even digit (Standard Methods 1050B, ASTM E29)"
	}
	comp := "A composite counts for the day in which most of the 24 hours before its stamp lie; where all of a tag are stamped at midnight, for the day of the stamp."
	if r.CompositeDay == "stamped" {
		comp = "A composite counts for the day its result is stamped."
	}
	if r.CompositeDay == "day-before" || r.CompositeDay == "begun" {
		comp = "A composite counts for the day before the one its result is stamped, when its sampling began."
	}
	m.Rules = []string{
		fmt.Sprintf("%s; %s.", capital(Rule(r.NonDetect).Words(r.NonDetectValue)), below),
		"A \">\" is counted at its number and carried to the figure; where both signs occur it wins.",
		fmt.Sprintf("Rounded once, at the end, %s, never to more decimals than the laboratory gave; %s. Results are held against limits as rounded.", round, half),
		fmt.Sprintf("Weeks begin on %s; %s.", dayName(r.Week), straddlingWords(r.StraddlingWeeks)),
		comp,
		fmt.Sprintf("Days are calendar days of the clock in %s, 23 or 25 hours long at a clock change.", m.Zone),
		fmt.Sprintf("A day whose flow never rises above %s MGD is a day without discharge; its results are left out.", shortest(r.NoDischarge)),
		fmt.Sprintf("A day's mean of a signal is stated when %g %% of the day are covered, an hour's when %g %%; the covered part then stands for the whole. Nothing else is estimated.", 100*s.DayCover, 100*s.HourCover),
		fmt.Sprintf("Mass: lb/d = MGD × mg/L × %s, with each day's own flow; kg/d with the exact factor 3.785412. Of a signal the flow-weighted mean of the day is taken.", shortest(s.Factor)),
		fmt.Sprintf("Continuous pH: at most %s minutes outside the range in a month, and %s in one go, where plant.toml says that the permit grants them (40 CFR 401.17); else none.", shortest(s.AcidityTotalMin), shortest(s.AcidityLongestMin)),
		fmt.Sprintf("Maximum likelihood needs %d detected values; where it has fewer, the limit is taken and the line says so. A count of zero organisms counts as %s in a geometric mean.", s.MinDetected, shortest(s.CountFloor)),
	}
	for _, d := range m.Days {
		if d.Hours != 24 {
			m.Remarks = append(m.Remarks, fmt.Sprintf("%s has %g hours: the clock was changed. It counts as one calendar day.", d.Date.Format("2 January 2006"), d.Hours))
		}
	}
	const hour = 3_600_000
	start, end := b.cal.windows[b.cal.at[m.First()]].Start, b.cal.windows[b.cal.at[m.First().AddDate(0, 1, -1)]].End
	at := func(t int64) string { return time.UnixMilli(t).In(b.cal.loc).Format("2 January 2006 15:04") }
	switch {
	case b.from >= b.to || b.to <= start || b.from >= end:
		m.Remarks = append(m.Remarks, fmt.Sprintf("The exports hold nothing of %s.", m.Name()))
	case b.from > start+hour || b.to < end-hour: // the last reading of a month stands some minutes before its end
		m.Remarks = append(m.Remarks, fmt.Sprintf("The exports reach from %s to %s: not the whole of %s.", at(b.from), at(b.to), m.Name()))
	}
	seen := map[string]bool{}
	for _, c := range b.columns {
		if c.flow == nil || seen[c.flow.Tag.Name] {
			continue
		}
		seen[c.flow.Tag.Name] = true
		var ds []time.Time
		for _, d := range c.days {
			if d.NoDischarge && d.Date.Year() == m.Year && d.Date.Month() == m.Month {
				ds = append(ds, d.Date)
			}
		}
		if len(ds) > 0 {
			m.Remarks = append(m.Remarks, fmt.Sprintf("Days without discharge at %s (%s): %s. They are not counted.", c.at, c.flow.Tag.Name, dateList(ds)))
		}
	}
	for _, c := range b.columns {
		n := 0
		for _, r := range c.results {
			if r.Note == noDischarge && r.Date.Year() == m.Year && r.Date.Month() == m.Month {
				n++
			}
		}
		if n > 0 {
			m.Remarks = append(m.Remarks, fmt.Sprintf("%s: %d result%s left out, no discharge that day.", b.title(c), n, plural(n)))
		}
	}
}
