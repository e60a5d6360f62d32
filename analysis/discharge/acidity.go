package discharge

import (
	"fmt"
	"math"
)

// acidity holds a continuously measured pH against its range: the minutes
// outside in the calendar month, in all and in one go.
//
// Source: 40 CFR 401.17(a): the total time outside shall not exceed 7 hours and
// 26 minutes in any calendar month, and no individual excursion 60 minutes. The
// minute means are compared as measured, unrounded; a gap ends an excursion.
func (j *job) acidity(longest bool) {
	s := j.b.in.Settings
	j.l.Unit = "min"
	j.l.Limit.Figures, j.l.Limit.Decimals = -1, -1
	j.places = Places{Decimals: 0, MaxDecimals: -1}
	j.l.Part, j.l.LimitValue = "time outside, total", s.AcidityTotalMin
	if longest {
		j.l.Part, j.l.LimitValue = "longest excursion", s.AcidityLongestMin
	}
	j.l.LimitText = fmt.Sprintf("%s min outside %s to %s", shortest(j.l.LimitValue), j.l.Limit.LowWritten, j.l.Limit.HighWritten)
	if !j.col.signal() || len(j.col.tags) == 0 {
		return
	}
	m, g := j.b.minute(j.col)
	var runs spans
	n, total := 0, 0
	for _, d := range j.days(j.lo, j.hi) {
		w := j.b.cal.windows[d]
		for i := max(g.Index(w.Start), 0); i < min(g.Index(w.End-1)+1, len(m)); i++ {
			v := j.conv(m[i])
			if v != v {
				continue
			}
			n++
			if v < j.l.Limit.Low || v > j.l.Limit.High {
				total++
				runs.add(i, v, v < j.l.Limit.Low)
			}
		}
	}
	j.l.Values = n
	j.l.How = fmt.Sprintf("minutes with a mean outside %s to %s, of %d minutes covered", j.l.Limit.LowWritten, j.l.Limit.HighWritten, n)
	if n == 0 {
		return
	}
	j.l.Value = float64(total)
	if longest {
		j.l.Value = 0
		for _, r := range runs.list {
			k := float64(r.last - r.first + 1)
			if k > j.l.Value {
				j.l.Value = k
				j.l.When = j.clock(g.Milli(r.first)) + " to " + j.clock(g.Milli(r.last)+60_000)
			}
		}
	}
	unit := j.l.Unit
	j.l.Unit = "pH"
	for _, r := range runs.list {
		if !longest || float64(r.last-r.first+1) > s.AcidityLongestMin {
			j.run(g, r)
		}
	}
	j.l.Unit = unit
	if c := j.monthCover(); finite(c) && c < 0.995 {
		j.l.Remarks = append(j.l.Remarks, fmt.Sprintf("pH is known for %s %% of the month; time outside it is not seen.",
			Round(100*c, Places{Decimals: 1, MaxDecimals: -1}, HalfUp)))
	}
}

// rangeOf is one end of a range of single results.
func (j *job) rangeOf(low bool) {
	if low {
		j.l.Part, j.l.LimitValue, j.l.LimitText, j.l.AtLeast = "lowest", j.l.Limit.Low, j.l.Limit.LowWritten, true
	} else {
		j.l.Part, j.l.LimitValue, j.l.LimitText = "highest", j.l.Limit.High, j.l.Limit.HighWritten
	}
	if j.l.LimitText == "" && !math.IsNaN(j.l.LimitValue) {
		j.l.LimitText = shortest(j.l.LimitValue)
	}
	j.places = j.placesFor(j.l.LimitText)
	j.instantaneous(low)
}
