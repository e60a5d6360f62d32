package discharge

import (
	"fmt"
	"math"
	"time"

	"weirbook/analysis/quantity"
)

// besideSamples says where an instrument on line read beyond a daily or momentary
// maximum that the line holds against samples. Such readings do not enter the
// line's result, and a reader who sees "within limit" must hear of them: 40 CFR
// 122.41(l)(4)(ii) asks for results of monitoring more frequent than required
// (from memory), and the permit says which readings count.
//
// An hour is counted when more than half of its readings lie beyond: a standard
// or a cleaning of some minutes is not the water.
func (b *bench) besideSamples(m *Month) {
	for i := range m.Lines {
		l := &m.Lines[i]
		single := l.Statistic == "maximum daily" || l.Statistic == "instantaneous maximum"
		if !l.ForPlant || !single || math.IsNaN(l.LimitValue) || l.Column < 0 || m.Columns[l.Column].Sample == "continuous" {
			continue
		}
		for _, t := range b.in.Tags {
			if t.Tag.Sampled() || t.Tag.Measures != l.Limit.Parameter || t.Tag.At != l.Limit.At {
				continue
			}
			if hours, says := b.hoursBeyond(t, *l); hours > 0 {
				l.OnLineBeyond = max(l.OnLineBeyond, hours)
				l.Remarks = append(l.Remarks, says)
			}
		}
	}
}

// hoursBeyond counts a signal's hours of the month beyond a line's limit.
func (b *bench) hoursBeyond(t TagData, l Line) (hours int, says string) {
	lo, hi := b.cal.month(b.in.Year, b.in.Month)
	from, to := b.cal.windows[lo].Start, b.cal.windows[hi-1].End
	unit, err := quantity.ParseUnit(l.Unit)
	if err != nil {
		return 0, ""
	}
	info, ok := quantity.Of(t.Tag.Measures)
	if !ok {
		return 0, ""
	}
	limit, err := quantity.Convert(l.LimitValue, unit, info.Working)
	if err != nil || math.IsNaN(limit) {
		return 0, ""
	}
	const hour = 3_600_000
	first, top := int64(0), math.Inf(-1)
	s := t.Series
	for h := from; h < to; h += hour {
		n, beyond, most := 0, 0, math.Inf(-1)
		i, end := s.Between(h, h+hour)
		for ; i < end; i++ {
			if !s.Usable(i) || math.IsNaN(s.V[i]) {
				continue
			}
			n++
			if s.V[i] > limit {
				beyond++
			}
			most = math.Max(most, s.V[i])
		}
		if 2*beyond > n {
			if hours == 0 {
				first = h
			}
			hours++
			top = math.Max(top, most)
		}
	}
	if hours == 0 {
		return 0, ""
	}
	shown, _ := quantity.Convert(top, info.Working, unit) // the way back of the above
	return hours, fmt.Sprintf("%s (%s, on line) was beyond %s %s for most of %d hour%s, first from %s, up to %s %s. This line is held against samples, so these readings are not in its result; the permit says whether they count.",
		t.Tag.Name, l.Parameter, l.LimitText, l.Unit, hours, plural(hours), time.UnixMilli(first).In(b.cal.loc).Format("2 January 15:04"), shortest(math.Round(shown*1000)/1000), l.Unit)
}
