package discharge

import (
	"fmt"
	"math"

	"weirbook/analysis/align"
)

// acidity holds a continuously measured pH against its range: the minutes
// outside in the calendar month, in all and in one go.
//
// Source: 40 CFR 401.17(a): the total time outside shall not exceed 7 hours and
// 26 minutes in any calendar month, and no individual excursion 60 minutes. The
// minute means are compared as measured, unrounded, and so are the readings: the
// minute in which the last reading outside stands counts, though the line to the
// next may bring its mean inside. A gap ends an excursion. Where the permit grants
// no such minutes, every one outside counts.
func (j *job) acidity(longest bool) {
	s := j.b.in.Settings
	j.l.Unit = "min"
	j.l.Limit.Figures, j.l.Limit.Decimals = -1, -1
	j.places = Places{Decimals: 0, MaxDecimals: -1}
	j.l.Part, j.l.LimitValue = "time outside, total", s.AcidityTotalMin
	if longest {
		j.l.Part, j.l.LimitValue = "longest excursion", s.AcidityLongestMin
	}
	if !j.l.Limit.PHGranted {
		j.l.LimitValue = 0
		j.l.Remarks = append(j.l.Remarks, "plant.toml does not say that the permit grants the minutes of 40 CFR 401.17 (ph_excursions_granted), so none are taken as allowed.")
	}
	j.l.LimitText = fmt.Sprintf("%s min outside %s to %s", shortest(j.l.LimitValue), j.l.Limit.LowWritten, j.l.Limit.HighWritten)
	if !j.col.signal() || len(j.col.tags) == 0 {
		return
	}
	m, g := j.b.minute(j.col)
	read := j.readOutside(g, len(m))
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
			if x, ok := read[i]; ok {
				v = x
			}
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
		if !longest || float64(r.last-r.first+1) > j.l.LimitValue {
			j.run(g, r)
		}
	}
	j.l.Unit = unit
	if c := j.monthCover(); finite(c) && c < 0.995 {
		j.l.Remarks = append(j.l.Remarks, fmt.Sprintf("pH is known for %s %% of the month; time outside it is not seen.",
			Round(100*c, Places{Decimals: 1, MaxDecimals: -1}, HalfUp)))
	}
}

// readOutside gives the minutes that hold a reading outside the range, with the one
// that lies farthest out.
func (j *job) readOutside(g align.Grid, n int) map[int]float64 {
	out := map[int]float64{}
	s := j.col.tags[0].Series
	lo, hi := s.Between(j.b.cal.windows[j.lo].Start, j.b.cal.windows[j.hi-1].End)
	beyond := func(v float64) float64 { return math.Max(v-j.l.Limit.High, j.l.Limit.Low-v) }
	for k := lo; k < hi; k++ {
		v := j.conv(s.V[k])
		if i := g.Index(s.T[k]); s.Usable(k) && i >= 0 && i < n && beyond(v) > 0 {
			if x, ok := out[i]; !ok || beyond(v) > beyond(x) {
				out[i] = v
			}
		}
	}
	return out
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
