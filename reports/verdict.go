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
// results lie within the permit's limits, can the instruments be believed, what
// left and what was used.
func Verdict(r *analysis.Result) []string {
	out := []string{disinfected(r), permitWords(r), instruments(r), leftAndUsed(r)}
	if s := Unread(r.Read); s != "" {
		out = append([]string{s}, out...)
	}
	return out
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
		sure := short > 0 && doubtIsSure(r, b)
		was := "was short"
		if sure {
			was = "reads short"
		}
		var t string
		switch short {
		case 0:
			t = fmt.Sprintf("The %s met everything required of it in all %s that could be determined", b.Title, plural(s.Determined, "hour"))
		case s.Determined:
			t = fmt.Sprintf("The %s %s in every one of the %s that could be determined", b.Title, was, plural(s.Determined, "hour"))
		default:
			t = fmt.Sprintf("The %s %s in %s of the %s that could be determined", b.Title, was, count(short), plural(s.Determined, "hour"))
		}
		if short > 0 {
			if s.Worst >= 0 {
				t += ", worst " + worstHour(r, b, s.Worst)
			}
			switch {
			case sure:
				t += ". An instrument was at fault in all of them: do not take that as it stands before a grab settles it"
			case s.ShortInDoubt > 0:
				t += fmt.Sprintf("; in %s of them an instrument may have been at fault", count(s.ShortInDoubt))
			default:
				t += "; no instrument was in doubt then"
			}
		}
		if s.NotDetermined > s.Determined/20 { // few: the strip below tells of them
			t += fmt.Sprintf("; %s could not be determined (%s)", plural(s.NotDetermined, "hour"), mainReason(b))
		}
		if s.MetInDoubt > 0 {
			t += fmt.Sprintf("; %s met rest on an instrument that may have been at fault", plural(s.MetInDoubt, "hour"))
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
		return fmt.Sprintf("%s: CT %s where %.3g mg·min/L is required", at, shortCT(h.CT.Value), h.Required)
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

// treated is the water that passed the basins (MG), and the hours it was known.
func treated(r *analysis.Result) (mg float64, hours int) {
	c, ok := r.Hourly.Find(analysis.TreatedVolume, "")
	if !ok {
		return 0, 0
	}
	return analysis.Total(c.Values)
}

// chlorineUsed is what a feed used (lb as Cl2), and the hours it was known; none
// for a feed that takes chlorine out.
func chlorineUsed(r *analysis.Result, feed string) (lb float64, hours int) {
	c, ok := r.Hourly.Find(analysis.ChlorineUsed, feed)
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
	finalHours, _ := finalAbove(r)
	final, critical := false, false
	for _, f := range r.Findings {
		final = final || f.Kind == string(upset.FinalHigh) && f.Severity == finding.Critical && f.Alarm()
		critical = critical || f.Severity == finding.Critical && f.Alarm()
	}
	beyond := len(heldToPermit(r).beyond)
	limits := plural(beyond, "result") + " beyond a permit limit"
	var bad []string // what is certain, worst first
	if short > 0 && !sure {
		bad = append(bad, "Short for "+plural(short, "hour"))
	}
	if finalHours > 0 {
		bad = append(bad, "final residual above its limit for "+plural(finalHours, "hour"))
	} else if final {
		bad = append(bad, "final residual above its limit")
	}
	if beyond > 0 {
		bad = append(bad, limits)
	}
	if len(bad) > 0 {
		return page.Bad, sentenceCase(strings.Join(bad, "; "))
	}
	switch {
	case determined == 0 && !critical:
		return page.Unknown, "Disinfection not determined"
	case short > 0:
		return page.Watch, fmt.Sprintf("Reads short for %s, by an instrument in doubt", plural(short, "hour"))
	case determined == 0:
		return page.Watch, "CT not determined; a critical event below"
	case critical:
		return page.Watch, "Met, but with a critical event: see what needs attention"
	case doubt > 0:
		return page.Watch, fmt.Sprintf("Met, with instruments in doubt for %s", plural(doubt, "hour"))
	}
	return page.Good, "Required CT met in every hour determined"
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

// known writes an amount with the three digits that a feed's accuracy bears.
func known(v float64) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return table.Group(v, 0)
	}
	unit := math.Pow(10, math.Floor(math.Log10(math.Abs(v)))-2)
	return table.Group(math.Round(v/unit)*unit, max(0, -int(math.Floor(math.Log10(unit)))))
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
