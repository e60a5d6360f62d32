package reports

import (
	"fmt"
	"math"
	"strings"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/contact"
	"weirbook/analysis/finding"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/upset"
	"weirbook/reports/page"
	"weirbook/reports/table"
)

// Verdict is the report's first sentences: was the water disinfected, do the
// instruments agree, what left and what was used.
func Verdict(r *analysis.Result) []string {
	return []string{disinfected(r), instruments(r), leftAndUsed(r)}
}

// disinfected says in how many hours each basin met what is asked of it.
func disinfected(r *analysis.Result) string {
	if len(r.Basins) == 0 {
		return "The plant description names no contact basin, so CT was not determined: add a [[basin]] with its volume and baffling factor to plant.toml."
	}
	var parts []string
	for i := range r.Basins {
		b := &r.Basins[i]
		s := b.Summary()
		if s.Determined == 0 {
			why := b.Note
			if why == "" {
				why = mainReason(b)
			}
			parts = append(parts, fmt.Sprintf("%s: no hour could be determined (%s)", b.Title, why))
			continue
		}
		short := s.Short + s.ShortWithin
		of := fmt.Sprintf("%s of the %s hours", count(s.Determined-short), count(s.Determined))
		if short == s.Determined {
			of = fmt.Sprintf("none of the %s", plural(s.Determined, "hour"))
		}
		if short == 0 {
			of = "all " + plural(s.Determined, "hour")
		}
		t := fmt.Sprintf("The %s met its requirement in %s that could be determined", b.Title, of)
		if short > 0 {
			sure := doubtIsSure(r, b)
			fell := "fell short"
			if sure {
				fell = "reads short"
			}
			if short < s.Determined {
				t += fmt.Sprintf(" and %s in %s", fell, plural(short, "hour"))
			}
			if s.Worst >= 0 {
				t += ", worst " + worstHour(r, b, s.Worst)
			}
			switch {
			case sure:
				t += ", all of it by an instrument held at fault: do not take that as it stands before a grab settles it"
			case s.ShortInDoubt > 0:
				t += fmt.Sprintf("; %s of these rest on an instrument that may be at fault", count(s.ShortInDoubt))
			}
		}
		if s.NotDetermined > 0 {
			t += fmt.Sprintf("; %s could not be determined (%s)", plural(s.NotDetermined, "hour"), mainReason(b))
		}
		if s.MetInDoubt > 0 {
			t += fmt.Sprintf("; %s met rest on an instrument that may be at fault", plural(s.MetInDoubt, "hour"))
		}
		parts = append(parts, t)
	}
	return strings.Join(parts, ". ") + "."
}

// sureEnough is the confidence from which the headline follows a verdict on an
// instrument; below it the readings stand, and the doubt is told beside them.
const sureEnough = 0.8

// doubtIsSure says whether every short hour of a basin rests on an instrument
// that is held at fault with confidence, and no sample of the laboratory says
// otherwise.
func doubtIsSure(r *analysis.Result, b *analysis.Basin) bool {
	n := 0
	for i, h := range b.Hours {
		if !h.Asked || h.Verdict != contact.Short && h.Verdict != contact.ShortWithin {
			continue
		}
		n++
		sure := 0.0
		for _, j := range r.Judgements {
			for _, d := range j.Doubts {
				if (d.Tag == b.ResidualTag.Name || d.Tag == b.FlowTag.Name) && d.Start < r.Hours[i].End && d.End > r.Hours[i].Start {
					sure = math.Max(sure, d.Confidence)
				}
			}
		}
		if !h.Doubt || sure < sureEnough {
			return false
		}
	}
	for i := range r.Upsets {
		if len(r.Upsets[i].Explanation.Episode.Of(upset.EColiHigh)) > 0 {
			return false
		}
	}
	return n > 0
}

func worstHour(r *analysis.Result, b *analysis.Basin, i int) string {
	h := b.Hours[i]
	at := time.UnixMilli(r.Hours[i].Start).In(r.Plant.Zone).Format("Mon 2 Jan 15:04")
	if h.Required > 0 && h.CT.Value < h.Required {
		return fmt.Sprintf("%s with CT %s of %.3g mg·min/L", at, shortCT(h.CT.Value), h.Required)
	}
	return at + " (" + h.Why + ")"
}

// mainReason is the most frequent reason for hours not determined.
func mainReason(b *analysis.Basin) string {
	n := map[string]int{}
	best := ""
	for _, h := range b.Hours {
		if h.Verdict != contact.NotDetermined || !h.Asked {
			continue
		}
		n[h.Why]++
		if best == "" || n[h.Why] > n[best] || n[h.Why] == n[best] && h.Why < best {
			best = h.Why
		}
	}
	if len(n) > 1 {
		return "mostly: " + best
	}
	return best
}

// instruments says which instrument is held at fault, for how long, and what the
// process itself did.
func instruments(r *analysis.Result) string {
	if len(r.Basins) == 0 {
		return "ORP was not held against residual: that needs the contact basin, whose outlet the instruments stand at."
	}
	if len(r.Judgements) == 0 {
		return "ORP was not held against residual: no probe stands beside a residual analyser."
	}
	hours := r.Disagreement()
	var parts []string
	for _, p := range []finding.Party{finding.ORPProbe, finding.ResidualAnalyser, finding.FlowMeter, finding.Data, finding.Undecided} {
		h := hours[p]
		if h == 0 {
			continue
		}
		switch p {
		case finding.Undecided:
			parts = append(parts, fmt.Sprintf("which instrument is wrong is open for %.0f h", h))
		case finding.Data:
			parts = append(parts, fmt.Sprintf("the data themselves are at fault for %.0f h", h))
		default:
			who := r.Subjects(p)
			name, is := page.PartyName(p), "is"
			if len(who) > 1 {
				name, is = name+"s", "are"
			}
			held := is + " held"
			if mostSure(r, p) < sureEnough {
				held = "may be"
			}
			parts = append(parts, fmt.Sprintf("the %s %s %s at fault for %.0f h", name, inWords(who), held, h))
		}
	}
	process := processEvents(r)
	var s string
	switch {
	case len(parts) > 0:
		s = strings.Join(parts, "; ")
		s = strings.ToUpper(s[:1]) + s[1:] + "."
	case !heldAgainst(r):
		s = "ORP could not be held against residual; no instrument is held at fault on other grounds."
	case process == "":
		s = "ORP and residual agreed throughout; no instrument is held at fault."
	default:
		s = "No instrument is held at fault."
	}
	if process != "" {
		s += " The process itself: " + process + "."
	}
	return s
}

// mostSure is the highest confidence with which a party is held at fault.
func mostSure(r *analysis.Result, p finding.Party) float64 {
	top := 0.0
	for _, f := range r.Findings {
		if f.AtFault == p && !toldByHours(f.Kind) {
			top = math.Max(top, f.Confidence)
		}
	}
	return top
}

// heldAgainst says whether any probe had an expectation to be held against.
func heldAgainst(r *analysis.Result) bool {
	for _, j := range r.Judgements {
		for _, m := range j.Models {
			for _, v := range m.Expected {
				if !math.IsNaN(v) {
					return true
				}
			}
		}
	}
	return false
}

// toldByHours says whether the hours of the basins tell of such an event.
func toldByHours(kind string) bool {
	return kind == string(upset.CTShort) || kind == string(upset.ContactShort) || kind == string(upset.ResidualLow)
}

// processEvents names what the process did by itself, the worst first; hours
// short of CT are told before.
func processEvents(r *analysis.Result) string {
	var out []string
	more := 0
	for _, f := range r.Findings {
		if f.AtFault != finding.Process || f.Severity == finding.Notice || toldByHours(f.Kind) {
			continue
		}
		if len(out) == 2 {
			more++
			continue
		}
		out = append(out, kindName(f.Kind)+", "+page.Period(f.Start, f.End, r.Plant.Zone))
	}
	s := strings.Join(out, "; ")
	if more > 0 {
		s += fmt.Sprintf("; and %s more", plural(more, "event"))
	}
	return s
}

// leftAndUsed says what passed the outfall and what it took.
func leftAndUsed(r *analysis.Result) string {
	var parts []string
	if v, at, tag, ok := finalResidual(r); ok {
		t := fmt.Sprintf("The highest final residual was %s mg/L (%s, %s)", shortNumber(v), tag, time.UnixMilli(at).In(r.Plant.Zone).Format("Mon 2 Jan 15:04"))
		if l, limit, ok := finalLimit(r, tag); ok && above(v, limit) {
			t += fmt.Sprintf(", above the %s mg/L that the limit (%s) names", shortNumber(limit), l.Statistic)
		}
		parts = append(parts, t)
	} else {
		parts = append(parts, "No final residual was measured on line")
	}
	if mg, hours := treated(r); hours > 0 {
		v, u := shown(mg, "MG", r.Plant.Units)
		parts = append(parts, fmt.Sprintf("%s %s of water was treated in %s with a flow", volume(v, u), u, plural(hours, "hour")))
	}
	for _, f := range r.Feeds {
		if lb, hours := chlorineUsed(r, f.Name); hours > 0 {
			v, u := shown(lb, "lb", r.Plant.Units)
			parts = append(parts, fmt.Sprintf("%s fed %s %s of chlorine", f.Title, table.Group(v, 0), u))
		}
	}
	return strings.Join(parts, "; ") + "."
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
// of a tag, and its figure in mg/L.
func finalLimit(r *analysis.Result, tag string) (plant.Limit, float64, bool) {
	t, ok := r.Plant.Tag(tag)
	if !ok {
		return plant.Limit{}, 0, false
	}
	for _, l := range r.Plant.Limits {
		if l.Parameter != t.Measures || l.At != t.At || math.IsNaN(l.Value) {
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

// finalAbove says whether the highest final residual lies above its limit's figure.
func finalAbove(r *analysis.Result) bool {
	v, _, tag, ok := finalResidual(r)
	_, limit, has := finalLimit(r, tag)
	return ok && has && above(v, limit)
}

// above compares as printed: a reader must see why.
func above(v, limit float64) bool {
	return v > limit && shortNumber(v) != shortNumber(limit)
}

// treated is the water that passed the basins (MG), and the hours it was known.
func treated(r *analysis.Result) (mg float64, hours int) {
	c, ok := r.Hourly.Column("treated.volume")
	if !ok {
		return 0, 0
	}
	return analysis.Total(c.Values)
}

// chlorineUsed is what a feed used (lb as Cl2), and the hours it was known; none
// for a feed that takes chlorine out.
func chlorineUsed(r *analysis.Result, feed string) (lb float64, hours int) {
	c, ok := r.Hourly.Column(feed + ".chlorine_used")
	if !ok {
		return 0, 0
	}
	return analysis.Total(c.Values)
}

// shown converts a figure to the reader's unit and names the unit.
func shown(v float64, unit string, s plant.System) (float64, string) {
	from := quantity.MustUnit(unit)
	to := inSystem(from, s)
	out, err := quantity.Convert(v, from, to)
	if err != nil {
		return math.NaN(), to.Symbol
	}
	return out, to.Symbol
}

// figures is the strip under the verdict.
func figures(r *analysis.Result) []page.Figure {
	var out []page.Figure
	for i := range r.Basins {
		b := &r.Basins[i]
		s := b.Summary()
		name := "Hours the requirement was met"
		if len(r.Basins) > 1 {
			name += ", " + b.Title
		}
		short := s.Short + s.ShortWithin
		f := page.Figure{Name: name, Value: fmt.Sprintf("%s of %s", count(s.Determined-short), count(s.Determined)), Unit: "h", Standing: page.Good}
		if s.NotDetermined > 0 {
			f.Note = plural(s.NotDetermined, "hour") + " not determined"
		}
		switch {
		case s.Determined == 0:
			f.Value, f.Standing = "–", page.Unknown
		case s.Short > 0 && !doubtIsSure(r, b):
			f.Standing, f.Word = page.Bad, "not in every hour"
		case s.Short > 0:
			f.Standing, f.Word = page.Watch, "by an instrument in doubt"
		case short > 0 || s.MetWithin > 0 || s.MetInDoubt > 0:
			f.Standing = page.Watch
		}
		out = append(out, f)
		if short > 0 {
			w := page.Figure{Name: strings.Replace(name, "Hours the requirement was met", "Hours short", 1), Value: count(short), Unit: "h", Standing: page.Bad, Word: "below what is asked"}
			if doubtIsSure(r, b) {
				w.Standing, w.Word = page.Watch, "by an instrument in doubt"
			}
			if s.Worst >= 0 {
				w.Note = "worst " + worstHour(r, b, s.Worst)
			}
			out = append(out, w)
		}
	}
	var bad float64
	for _, h := range r.Disagreement() {
		bad += h
	}
	if len(r.Judgements) > 0 {
		f := page.Figure{Name: "Instruments in doubt", Value: fmt.Sprintf("%.0f", bad), Unit: "h", Standing: page.Good, Word: "none found"}
		if bad > 0 {
			f.Standing, f.Word = page.Watch, "see what needs attention"
		}
		out = append(out, f)
	}
	if v, at, tag, ok := finalResidual(r); ok {
		f := page.Figure{Name: "Highest final residual", Value: shortNumber(v), Unit: "mg/L", Note: time.UnixMilli(at).In(r.Plant.Zone).Format("Mon 2 Jan 15:04")}
		if l, limit, ok := finalLimit(r, tag); ok {
			f.Note += fmt.Sprintf("; limit, %s: %s mg/L", l.Statistic, shortNumber(limit))
			if above(v, limit) {
				f.Standing, f.Word = page.Watch, "above that figure"
			}
		}
		out = append(out, f)
	}
	if mg, hours := treated(r); hours > 0 {
		v, u := shown(mg, "MG", r.Plant.Units)
		out = append(out, page.Figure{Name: "Water treated", Value: volume(v, u), Unit: u})
	}
	for _, f := range r.Feeds {
		if lb, hours := chlorineUsed(r, f.Name); hours > 0 {
			v, u := shown(lb, "lb", r.Plant.Units)
			out = append(out, page.Figure{Name: "Chlorine used, " + f.Title, Value: table.Group(v, 0), Unit: u, Note: "as Cl₂"})
		}
	}
	return out
}

// standing is the verdict's sign: the worst of the basins.
func standing(r *analysis.Result) (page.Standing, string) {
	short, determined, doubt, sure := 0, 0, 0, true
	for i := range r.Basins {
		s := r.Basins[i].Summary()
		short += s.Short + s.ShortWithin
		determined += s.Determined
		sure = sure && (s.Short+s.ShortWithin == 0 || doubtIsSure(r, &r.Basins[i]))
		doubt += s.MetInDoubt + s.ShortInDoubt
	}
	final, critical := false, false
	for _, f := range r.Findings {
		final = final || f.Kind == string(upset.FinalHigh) && f.Severity == finding.Critical
		critical = critical || f.Severity == finding.Critical
	}
	switch {
	case determined == 0 && !critical:
		return page.Unknown, "Disinfection not determined"
	case short > 0 && sure:
		if final {
			return page.Bad, "Final residual above its limit"
		}
		return page.Watch, fmt.Sprintf("Reads short for %s, by an instrument in doubt", plural(short, "hour"))
	case short > 0:
		return page.Bad, "Short for " + plural(short, "hour")
	case final:
		return page.Bad, "Final residual above its limit"
	case determined == 0:
		return page.Watch, "CT not determined; a critical event below"
	case critical:
		return page.Watch, "Met, but with a critical event: see what needs attention"
	case finalAbove(r):
		return page.Watch, "Met, but the final residual reads above its limit"
	case doubt > 0:
		return page.Watch, fmt.Sprintf("Met, with instruments in doubt for %s", plural(doubt, "hour"))
	}
	return page.Good, "Requirement met in every hour determined"
}

// shortCT writes a CT for a sentence: two digits below ten, three above.
func shortCT(v float64) string {
	if math.Abs(v) < 10 {
		return fmt.Sprintf("%.2g", v)
	}
	return fmt.Sprintf("%.3g", v)
}

// volume writes treated water: a tenth of a million gallons, whole cubic metres.
func volume(v float64, unit string) string {
	if unit == "MG" {
		return table.Group(v, 1)
	}
	return table.Group(v, 0)
}

func count(n int) string { return table.Group(float64(n), 0) }

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return count(n) + " " + what + "s"
}

// shortNumber writes a reading with as many digits as it deserves.
func shortNumber(v float64) string {
	switch {
	case math.IsNaN(v):
		return "unknown"
	case math.Abs(v) >= 10:
		return fmt.Sprintf("%.1f", v)
	case math.Abs(v) >= 0.1:
		return fmt.Sprintf("%.2f", v)
	}
	return fmt.Sprintf("%.3f", v)
}
