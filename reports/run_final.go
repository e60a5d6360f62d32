package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
)

// leftAndUsed says what passed the outfall and what it took.
func leftAndUsed(r *analysis.Result) string {
	var parts []string
	if v, at, tag, ok := finalResidual(r); ok {
		t := fmt.Sprintf("The highest final residual was %s%s mg/L (%s, %s)", atLeast(r.AtEnd(tag, at, at+60_000)), shortNumber(v), tag, time.UnixMilli(at).In(r.Plant.Zone).Format("Mon 2 Jan 15:04"))
		if hours, peak := finalAbove(r); peak {
			l, limit, _ := finalLimit(r, tag, at)
			t += fmt.Sprintf(", above the limit of %s mg/L (%s)", shortNumber(limit), l.Statistic)
			if hours > 0 {
				t += fmt.Sprintf("; in %s most readings were above it", plural(hours, "hour"))
			} else {
				t += ", but never for most of an hour: check whether it was the water or a calibration standard"
			}
		}
		parts = append(parts, t)
	} else {
		parts = append(parts, "No final residual was measured on line")
	}
	if mg, hours := treated(r); hours > 0 {
		v, u := shown(mg, "MG", r.Plant.Units)
		more := false
		if c, ok := r.Hourly.Find(analysis.TreatedVolume, ""); ok {
			more = slices.Contains(c.Signs, discharge.Greater)
		}
		parts = append(parts, atLeast(more)+fmt.Sprintf("%s %s of water was treated in the %s whose flow is known", volume(v, u), u, plural(hours, "hour")))
	}
	var fed []string
	for _, f := range r.Feeds {
		if lb, hours := chlorineUsed(r, f.Name); hours > 0 {
			v, u := shown(lb, "lb", r.Plant.Units)
			of := ""
			if len(fed) == 0 {
				of = "of chlorine was fed "
			}
			fed = append(fed, fmt.Sprintf("%s %s %sas %s", known(v), u, of, f.Title))
		}
	}
	if len(fed) > 0 {
		parts = append(parts, inWords(fed))
	}
	return strings.Join(parts, "; ") + "."
}

// atLeast are the words before a figure that rests on an instrument at the end of its
// scale.
func atLeast(end bool) string {
	if end {
		return "at least "
	}
	return ""
}

// finalResidual is the highest usable reading where the water leaves: at the
// outfall, or, where none is measured there, past dechlorination.
func finalResidual(r *analysis.Result) (v float64, at int64, tag string, ok bool) {
	outfall := func(point string) bool {
		q, found := r.Plant.Point(point)
		return found && q.Outfall
	}
	past := func(point string) bool {
		q, found := r.Plant.Point(point)
		return found && (q.Dechlorinated || q.Outfall)
	}
	for _, pick := range []func(string) bool{outfall, past} {
		for _, k := range []quantity.Kind{quantity.ChlorineTotal, quantity.ChlorineFree} {
			if v, at, tag, ok = r.Highest(k, pick); ok {
				return v, at, tag, ok
			}
		}
	}
	return v, at, tag, ok
}

// finalLimit is the first limit on total chlorine as a concentration at the point
// of a tag that is in season at a time, and its figure in mg/L.
func finalLimit(r *analysis.Result, tag string, at int64) (plant.Limit, float64, bool) {
	t, ok := r.Plant.Tag(tag)
	if !ok {
		return plant.Limit{}, 0, false
	}
	for _, l := range r.Plant.Limits {
		if l.Parameter != t.Measures || l.At != t.At || math.IsNaN(l.Value) || !l.InSeason(time.UnixMilli(at).In(r.Plant.Zone)) {
			continue
		}
		u, err := quantity.ParseUnit(l.Unit)
		if err != nil {
			continue
		}
		v, err := quantity.Convert(l.Value, u, quantity.MustUnit("mg/L"))
		if err != nil || math.IsNaN(v) {
			continue // a limit on the load
		}
		return l, v, true
	}
	return plant.Limit{}, 0, false
}

// finalAbove says whether the highest final residual lies above its limit's
// figure, and in how many hours most readings did: a standard or a cleaning of
// some minutes is not the water.
func finalAbove(r *analysis.Result) (hours int, peak bool) {
	v, at, tag, ok := finalResidual(r)
	_, limit, has := finalLimit(r, tag, at)
	if !ok || !has || !above(v, limit) {
		return 0, false
	}
	s := r.Series[tag]
	for _, h := range r.Hours {
		n, beyond := 0, 0
		for i, hi := s.Between(h.Start, h.End); i < hi; i++ {
			if s.Usable(i) {
				n++
				if s.V[i] > limit {
					beyond++
				}
			}
		}
		if 2*beyond > n {
			hours++
		}
	}
	return hours, true
}

// above compares as printed: a reader must see why.
func above(v, limit float64) bool {
	return v > limit && shortNumber(v) != shortNumber(limit)
}
