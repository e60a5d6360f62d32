package reports

import (
	"fmt"
	"strings"
	"time"

	"weirbook/analysis"
	"weirbook/reports/page"
	"weirbook/reports/table"
)

// figures is the strip under the verdict.
func figures(r *analysis.Result) []page.Figure {
	var out []page.Figure
	for i := range r.Basins {
		b := &r.Basins[i]
		s := b.Summary()
		name := "Hours all requirements were met"
		if len(r.Basins) > 1 {
			name += ", " + b.Title
		}
		short := s.Short + s.ShortWithin
		f := page.Figure{Name: name, Value: fmt.Sprintf("%s of %s", count(s.Determined-short), count(s.Determined)), Unit: "h", Standing: page.Good}
		switch {
		case s.Determined == 0:
			f.Value, f.Standing = "–", page.Unknown
		case short > 0 && doubtIsSure(r, b):
			f.Standing, f.Word = page.Watch, plural(short, "hour")+" short by an instrument in doubt"
		case short > 0:
			f.Standing, f.Word = page.Bad, plural(short, "hour")+" short"
		case s.MetWithin > 0 || s.MetInDoubt > 0:
			f.Standing = page.Watch
		}
		var notes []string
		if short > 0 && s.Worst >= 0 {
			notes = append(notes, "worst "+worstHour(r, b, s.Worst))
		}
		if s.NotDetermined > 0 {
			notes = append(notes, plural(s.NotDetermined, "hour")+" not determined ("+mainReason(b)+")")
		}
		f.Note = strings.Join(notes, "; ")
		out = append(out, f)
	}
	if f, ok := permitFigure(r); ok {
		out = append(out, f)
	}
	var bad float64
	for _, h := range r.Disagreement() {
		bad += h
	}
	if len(r.Judgements) > 0 {
		f := page.Figure{Name: "Instruments in doubt", Value: table.Group(bad, 0), Unit: "h", Standing: page.Good, Word: "none found"}
		if bad > 0 {
			f.Standing, f.Word = page.Watch, "see what needs attention"
		}
		out = append(out, f)
	}
	if v, at, tag, ok := finalResidual(r); ok {
		f := page.Figure{Name: "Highest final residual", Value: shortNumber(v), Unit: "mg/L", Note: time.UnixMilli(at).In(r.Plant.Zone).Format("Mon 2 Jan 15:04")}
		if l, limit, ok := finalLimit(r, tag, at); ok {
			f.Note += fmt.Sprintf("; limit, %s: %s mg/L", l.Statistic, shortNumber(limit))
			if hours, peak := finalAbove(r); hours > 0 {
				f.Standing, f.Word = page.Bad, "above its limit for "+plural(hours, "hour")
			} else if peak {
				f.Standing, f.Word = page.Watch, "above its limit for minutes"
			}
		}
		out = append(out, f)
	}
	if mg, hours := treated(r); hours > 0 {
		v, u := shown(mg, "MG", r.Plant.Units)
		out = append(out, page.Figure{Name: "Water treated", Value: volume(v, u), Unit: u})
	}
	if f, ok := chlorineFigure(r); ok {
		out = append(out, f)
	}
	return out
}

// chlorineFigure is the chlorine used, all feeds together.
func chlorineFigure(r *analysis.Result) (page.Figure, bool) {
	sum, unit := 0.0, ""
	var each []string
	for _, f := range r.Feeds {
		if lb, hours := chlorineUsed(r, f.Name); hours > 0 {
			v, u := shown(lb, "lb", r.Plant.Units)
			sum, unit = sum+v, u
			each = append(each, f.Title+" "+known(v))
		}
	}
	f := page.Figure{Name: "Chlorine used", Value: known(sum), Unit: unit, Note: "as Cl₂"}
	if len(each) > 1 {
		f.Note += ": " + strings.Join(each, ", ")
	} else if len(each) == 1 {
		f.Name += ", " + strings.TrimSuffix(each[0], " "+f.Value)
	}
	return f, len(each) > 0
}
