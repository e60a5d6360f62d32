package discharge

import (
	"fmt"
	"math"
	"strings"
	"time"

	"weirbook/analysis/plant"
	"weirbook/analysis/series"
)

// An instrument at the end of its scale reads that end, or nothing, whatever the
// water does: what rests on it is "at least".

// offScale gives, for each calendar day, the minutes in which a signal stood at the
// upper end of the span that tags.csv states, or was found there by judging it
// (flag GreaterThan). One far beyond the end (a number for "no value") is none.
func (b *bench) offScale(t TagData) []float64 {
	if m, ok := b.offs[t.Tag.Name]; ok {
		return m
	}
	out := make([]float64, len(b.cal.windows))
	s, set := t.Series, b.in.Settings
	gap := float64(t.Rule.MaxGap.Milliseconds())
	day := 0
	for i := range s.T {
		if !set.AtEnd(t.Tag, s, i) {
			continue
		}
		for day < len(out) && b.cal.windows[day].End <= s.T[i] {
			day++
		}
		if day == len(out) {
			break
		}
		if s.T[i] < b.cal.windows[day].Start || i+1 == len(s.T) {
			continue
		}
		out[day] += math.Min(float64(s.T[i+1]-s.T[i]), gap) / 60_000
	}
	for i := range out {
		if out[i] < set.ScaleMinutes {
			out[i] = 0
		}
	}
	b.offs[t.Tag.Name] = out
	return out
}

// AtEnd says that reading i of a signal is one of an instrument at the end of its scale.
func (set *Settings) AtEnd(t plant.Tag, s *series.Series, i int) bool {
	if s.F[i]&series.GreaterThan != 0 {
		return true
	}
	low, top := t.Low, t.High
	if math.IsNaN(low) {
		low = 0
	}
	v := s.V[i]
	return top > low && v >= top-set.ScaleEnd*(top-low) && v <= top+set.ScaleOver*(top-low) && s.F[i]&(series.Invalid|series.SuspectFill|series.Bad) == 0
}

// offScaleRemark names the days of the line on which what it rests on stood at the
// end of its scale.
func (j *job) offScaleRemark() {
	tags := []TagData{}
	if j.col.signal() {
		tags = append(tags, j.col.tags...)
	}
	if j.stat.Mass && j.col.flow != nil {
		tags = append(tags, *j.col.flow)
	}
	for _, t := range tags {
		var days []time.Time
		minutes := 0.0
		off := j.b.offScale(t)
		for _, i := range j.days(j.lo, j.hi) {
			if off[i] > 0 {
				days = append(days, j.b.cal.dates[i])
				minutes += off[i]
			}
		}
		if len(days) == 0 {
			continue
		}
		end := "the end of its scale"
		if finite(t.Tag.High) {
			end += fmt.Sprintf(" (%s %s)", shortest(t.Tag.High), t.Tag.Working.Symbol)
		}
		j.l.Remarks = append(j.l.Remarks, strings.TrimSpace(fmt.Sprintf("%s stood at %s for %.0f minutes: %s. What rests on it is \"at least\".", t.Tag.Name, end, minutes, dateList(days))))
	}
}

// beyondScale says that some day of the line has a signal at the end of its scale.
func (j *job) beyondScale() bool {
	if !j.col.signal() || len(j.col.tags) == 0 {
		return false
	}
	off := j.b.offScale(j.col.tags[0])
	for _, i := range j.days(j.lo, j.hi) {
		if off[i] > 0 {
			return true
		}
	}
	return false
}
