package upset

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"

	"weirbook/analysis/finding"
)

// Headline says what happened: one sentence for each kind of breach, the main one
// first, with how short, how long and how much water.
func Headline(in *Input, x *Explanation) []string {
	e := &x.Episode
	var out []string
	if len(e.Breaches) == 0 {
		return []string{fmt.Sprintf("From %s to %s (%s) nothing was outside what the plant description requires, as far as readings are there.",
			moment(e.Start, in.Loc), clock(e.End, e.Start, in.Loc), span(e.End-e.Start))}
	}
	main := e.Main().What
	out = append(out, breachLine(in, e, e.Of(main)))
	for _, w := range []What{CTShort, ResidualLow, ContactShort, FinalHigh, ResidualHigh, EColiHigh} {
		if bs := e.Of(w); w != main && len(bs) > 0 {
			out = append(out, breachLine(in, e, bs))
		}
	}
	return out
}

// Short says in one short sentence what happened, for a headline.
func Short(in *Input, x *Explanation) string {
	e := &x.Episode
	if len(e.Breaches) == 0 {
		return Headline(in, x)[0]
	}
	m := e.Main()
	if m.What == EColiHigh {
		return Headline(in, x)[0]
	}
	minutes, last := 0, m.End
	for _, b := range e.Of(m.What) {
		minutes += b.Minutes
		last = max(last, b.End)
	}
	first := e.Of(m.What)[0].Start
	word := "above its limit"
	if m.What.Below() {
		word = "short"
	}
	text := fmt.Sprintf("%s was %s for %s: %s to %s", upperFirst(m.Title), word, span(int64(minutes)*60_000),
		time.UnixMilli(first).In(in.Loc).Format("Monday 2 January 2006, 15:04"), clock(last, first, in.Loc))
	if !isNaN(e.MG) {
		text += fmt.Sprintf("; %s of water left in that state", in.say(e.MG, "MG"))
	}
	return text + alsoLonger(e, m.What, minutes) + "."
}

// alsoLonger names what was outside its limit for longer than the main breach, so
// that the sentence and the length of the episode tell the same.
func alsoLonger(e *Episode, main What, minutes int) string {
	text := ""
	for _, w := range []What{CTShort, ResidualLow, ContactShort, FinalHigh, ResidualHigh} {
		n := 0
		for _, b := range e.Of(w) {
			n += b.Minutes
		}
		if w == main || n < 2*minutes {
			continue
		}
		word := "above its limit"
		if w.Below() {
			word = "short"
		}
		text += fmt.Sprintf("; %s was %s for %s", lowerFirst(e.Of(w)[0].Title), word, span(int64(n)*60_000))
	}
	return text
}

func breachLine(in *Input, e *Episode, bs []Breach) string {
	w := bs[0]
	if w.What == EColiHigh {
		var parts []string
		for _, b := range bs {
			s := b.Samples[0]
			parts = append(parts, fmt.Sprintf("%s%s on %s", s.Qualifier, with(s.Value, s.Unit), moment(s.At, in.Loc)))
		}
		return fmt.Sprintf("E. coli was above the limit of %s: %s.", with(w.WorstLimit, w.Unit), strings.Join(parts, "; "))
	}
	minutes, mg, known := 0, 0.0, false
	worst := w
	for _, b := range bs {
		minutes += b.Minutes
		if !isNaN(b.MG) {
			mg += b.MG
			known = true
		}
		if b.excess() > worst.excess() {
			worst = b
		}
	}
	side := "above the limit of"
	if w.What.Below() {
		side = "below the required"
	}
	first, last := bs[0].Start, bs[0].End
	for _, b := range bs {
		first, last = min(first, b.Start), max(last, b.End)
	}
	text := fmt.Sprintf("%s was %s %s for %s between %s and %s", upperFirst(w.Title), side, with(worst.WorstLimit, w.Unit),
		span(int64(minutes)*60_000), moment(first, in.Loc), clock(last, first, in.Loc))
	if len(bs) > 1 {
		text += fmt.Sprintf(", in %d stretches", len(bs))
	}
	extreme := "highest"
	if w.What.Below() {
		extreme = "lowest"
	}
	text += fmt.Sprintf("; %s %s at %s", extreme, with(worst.Worst, w.Unit), clock(worst.WorstAt, first, in.Loc))
	if w.What.Below() && worst.WorstLimit > 0 {
		text += fmt.Sprintf(", %s of what is required", percent(worst.Worst/worst.WorstLimit))
	}
	if known {
		text += fmt.Sprintf("; %s of water left in that state", in.say(mg, "MG"))
	}
	text += "."
	if w.Source != "" {
		text += " Required by: " + strings.TrimRight(w.Source, ".") + "."
	}
	if d := worst.Trust.Doubtful; d > 0 {
		text += " " + upperFirst(worst.Trust.Says) + "."
	}
	return text
}

// excess is how far outside the limit the worst value lay, as a share of it.
func (b *Breach) excess() float64 {
	d := b.Worst - b.WorstLimit
	if b.What.Below() {
		d = -d
	}
	if b.WorstLimit != 0 {
		d /= math.Abs(b.WorstLimit)
	}
	return d
}

// MoveLine tells a move with its time at the outlet and its role.
func MoveLine(in *Input, x *Explanation, m Move) string {
	text := m.Words(x.Episode.Start, in.Loc)
	if lag := m.AtOutlet - m.At; lag >= 60_000 {
		text += fmt.Sprintf("; that water reached the basin outlet about %s", clock(m.AtOutlet, x.Episode.Start, in.Loc))
	}
	switch {
	case m.First && m.Effect:
		text += ". First to show it; what brought it about is not among what moved"
	case m.First:
		text += ". First mover"
	case m.Answers:
		text += ". This works against the shortfall: the feed's answer, or its pacing"
	case m.Effect:
		text += ". This shows the upset"
	case m.Crept:
		text += ". It moved before anything showed at the outlet, so the feed had kept up with it"
	case !m.Pushes:
		text += ". A move this way does not bring the breach about"
	}
	return text + "."
}

// SplitLines tells where the CT went, largest part first.
func SplitLines(in *Input, x *Explanation) []string {
	s := &x.Split
	if len(s.Parts) == 0 {
		return nil
	}
	out := []string{fmt.Sprintf("Over the %s short, CT averaged %s where it normally is %s in these hours: %s mg·min/L less.",
		span(int64(s.Minutes)*60_000), with(s.CT, "mg·min/L"), num(s.NormalCT), num(s.NormalCT-s.CT))}
	if !isNaN(s.Need) {
		out[0] = strings.TrimSuffix(out[0], ".") + fmt.Sprintf("; required %s.", num(s.Need))
	}
	parts := append([]Part(nil), s.Parts...)
	sort.SliceStable(parts, func(i, j int) bool { return parts[i].CT < parts[j].CT })
	for _, p := range parts {
		verb := "took"
		if p.CT > 0 {
			verb = "gave back"
		}
		if math.Abs(p.CT) < 0.005*math.Abs(s.NormalCT) {
			out = append(out, fmt.Sprintf("%s made no difference to speak of (%s now, %s normally).", upperFirst(string(p.Cause)), in.say(p.Now, p.Unit), in.say(p.Normal, p.Unit)))
			continue
		}
		out = append(out, fmt.Sprintf("%s %s %s mg·min/L (%s now, %s normally).", upperFirst(string(p.Cause)), verb, num(math.Abs(p.CT)), in.say(p.Now, p.Unit), in.say(p.Normal, p.Unit)))
	}
	if !isNaN(s.Dose) && len(parts) > 3 {
		out = append(out, fmt.Sprintf("Feed and dilution together made a dose of %s, normally %s.", with(s.Dose, "mg/L"), num(s.NormalDose)))
	}
	if s.Limited > 0.1 {
		out = append(out, fmt.Sprintf("In %s of the time less chlorine was dosed and less used up; the demand follows the dose then and has no part of its own.", percent(s.Limited)))
	}
	if s.StrengthStated {
		out = append(out, "The strength of the hypochlorite is as stated in the plant description, not measured: a weaker solution would show as demand.")
	}
	sum := 0.0
	for _, p := range s.Parts {
		sum += p.CT
	}
	out = append(out, fmt.Sprintf("The parts add up to %s mg·min/L whatever the order in which they are taken (Shapley and Owen values). Demand is the dose less what was found at the outlet; near the breakpoint it moves with the dose itself.", num(sum)))
	return out
}

// TrustLines says what was found against the instruments.
func TrustLines(in *Input, x *Explanation) []string {
	var out []string
	for _, b := range x.Episode.Breaches {
		out = append(out, fmt.Sprintf("%s, from %s: %s.", upperFirst(b.Title), clock(b.Start, x.Episode.Start, in.Loc), b.Trust.Says))
	}
	for _, d := range x.Doubts {
		if d.Party == finding.Process {
			continue
		}
		text := fmt.Sprintf("%s in doubt from %s to %s (%s, %s sure)", d.Tag, clock(d.Start, x.Episode.Start, in.Loc), clock(d.End, x.Episode.Start, in.Loc), spaced(d.Kind), percent(d.Confidence))
		if d.Says != "" {
			text += ": " + strings.TrimRight(d.Says, ".")
		}
		out = append(out, text+".")
	}
	if len(out) == 0 {
		out = append(out, "Nothing was found against any instrument in this time. That is no proof that they were right.")
	}
	return out
}
