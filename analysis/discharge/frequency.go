package discharge

import (
	"fmt"
	"strings"
	"time"

	"weirbook/analysis/plant"
)

// sampling holds the samples taken against those the permit asks for.
func (j *job) sampling() {
	l := j.l
	_, rs := j.results(j.lo, j.hi)
	l.Taken = len(rs)
	if j.col.signal() {
		l.Cover = j.monthCover()
	}
	f, err := plant.ParseFrequency(l.Limit.Frequency)
	if l.Limit.Frequency == "" || err != nil {
		l.Sampling = fmt.Sprintf("%d taken; no frequency stated", l.Taken)
		if j.col.signal() {
			l.Sampling = coverWords(l.Cover)
		}
		return
	}
	if f.Continuous || j.col.signal() {
		l.Sampling = coverWords(l.Cover)
		if !j.col.signal() {
			l.Sampling = fmt.Sprintf("%d samples; the permit asks for continuous measurement", l.Taken)
		} else if !f.Continuous {
			l.Sampling += "; measured continuously where the permit asks for " + l.Limit.Frequency
		}
		return
	}
	byDay := map[int]int{}
	for _, r := range j.col.results {
		if r.Note == "" {
			byDay[r.day]++
		}
	}
	var lack []string
	why := map[int]int{} // results that are none, by day
	for _, r := range j.col.results {
		if r.Note != "" && r.Note != noDischarge && r.Note != NotUnderstood {
			why[r.day]++
		}
	}
	switch f.Per {
	case "day":
		var missing []time.Time
		for _, i := range j.days(j.lo, j.hi) {
			if j.col.days[i].Excused != "" || j.b.holiday(i) {
				continue
			}
			l.Required += f.N
			if n := f.N - byDay[i]; n > 0 {
				l.Missing += n
				l.MissingSaid += min(n, why[i])
				missing = append(missing, j.b.cal.dates[i])
			}
		}
		if len(missing) > 0 {
			lack = append(lack, dateList(missing))
		}
	case "week":
		for _, w := range j.b.cal.weeks(j.year, j.month, j.b.in.Plant.Reporting) {
			days := j.days(w.lo, w.hi)
			dry := 0
			for i := w.lo; i < w.hi; i++ {
				if (j.col.days[i].NoDischarge || j.col.days[i].Excused != "") && j.inSeason(j.col.days[i].Date) {
					dry++
				}
			}
			if !w.Counted || len(days) == 0 {
				continue
			}
			taken := 0
			for _, i := range days {
				taken += byDay[i]
			}
			// A week cannot ask for more than it has days with discharge, where it
			// asks for one a day at most.
			need := f.N
			if need <= 7 {
				need = min(need, 7-dry)
			}
			if need >= 5 {
				need -= min(need, j.b.holidays(w))
			}
			l.Required += need
			if taken < need {
				l.Missing += need - taken
				said := 0
				for _, i := range days {
					said += why[i]
				}
				l.MissingSaid += min(need-taken, said)
				t := fmt.Sprintf("week of %s (%d of %d)", w, taken, need)
				if dry > 0 {
					t += fmt.Sprintf(", %d day%s of it without discharge", dry, plural(dry))
				}
				if j.b.cal.windows[w.lo].Start < j.b.from || j.b.cal.windows[w.hi-1].End > j.b.to {
					t += ", partly outside the exports"
				}
				lack = append(lack, t)
			}
		}
	default:
		j.perMonths(f, byDay, &lack)
	}
	l.Sampling = fmt.Sprintf("%d taken in the month; %d required (%s)", l.Taken, l.Required, l.Limit.Frequency)
	if f.Per != "day" && f.Per != "week" && l.Required == 0 {
		l.Sampling = fmt.Sprintf("%d taken in the month; %s asked for, the %s still runs", l.Taken, l.Limit.Frequency, f.Per)
	}
	if l.Missing > 0 {
		l.Sampling += fmt.Sprintf("; %d missing: %s", l.Missing, strings.Join(lack, "; "))
		if l.MissingSaid > 0 {
			l.Sampling += fmt.Sprintf("; for %d the sheet says why", l.MissingSaid)
		}
	}
}

// perMonths judges monthly, quarterly and yearly sampling in the last month of
// the period.
func (j *job) perMonths(f plant.Frequency, byDay map[int]int, lack *[]string) {
	months := map[string]int{"month": 1, "quarter": 3, "year": 12}[f.Per]
	if int(j.month)%months != 0 {
		return
	}
	first := date(j.year, j.month-time.Month(months)+1, 1)
	lo, ok := j.b.cal.at[first]
	if !ok {
		lo = j.lo
	}
	taken := 0
	for _, i := range j.days(lo, j.hi) {
		taken += byDay[i]
	}
	j.l.Required = f.N
	if taken < f.N {
		j.l.Missing = f.N - taken
		*lack = append(*lack, fmt.Sprintf("%d of %d in the %s", taken, f.N, f.Per))
	}
}

func coverWords(c float64) string {
	if !finite(c) {
		return "not measured"
	}
	return fmt.Sprintf("continuous, %s %% of the time covered", Round(100*c, Places{Decimals: 1, MaxDecimals: -1}, HalfUp))
}

// dateList names days of one month or several: "3, 4 and 9 March 2026", runs as
// "3 to 6 March 2026".
func dateList(ds []time.Time) string {
	var parts []string
	for i := 0; i < len(ds); {
		k := i
		for k+1 < len(ds) && ds[k+1].Equal(ds[k].AddDate(0, 0, 1)) {
			k++
		}
		parts = append(parts, span(ds[i], ds[k]))
		i = k + 1
	}
	// The month stands once where it is the same throughout.
	if len(ds) > 0 && ds[0].Month() == ds[len(ds)-1].Month() && ds[0].Year() == ds[len(ds)-1].Year() {
		tail := ds[0].Format(" January 2006")
		for i := range parts {
			if i < len(parts)-1 {
				parts[i] = strings.TrimSuffix(parts[i], tail)
			}
		}
	}
	if n := len(parts); n > 1 {
		return strings.Join(parts[:n-1], ", ") + " and " + parts[n-1]
	}
	return strings.Join(parts, "")
}
