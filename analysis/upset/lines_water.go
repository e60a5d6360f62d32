package upset

import (
	"fmt"
	"strings"
)

// ReceivingLines tells what passed the outfall, beside the published criteria.
func ReceivingLines(in *Input, x *Explanation) []string {
	r := &x.Receiving
	if !r.Measured {
		return []string{"The residual after dechlorination is not known for this time."}
	}
	c := &r.Criteria
	ref := x.Episode.Start
	reached := "was at or above " + with(r.Detect, "mg/L") + " (taken as the detection limit) for " + span(int64(r.Hours*3600_000))
	if r.Hours == 0 {
		reached = "never reached " + with(r.Detect, "mg/L") + " (taken as the detection limit)"
	}
	out := []string{fmt.Sprintf("Residual at the outfall %s; highest %s at %s. Readings cover %s of the event.",
		reached, with(r.MaxMgL, "mg/L"), clock(r.MaxAt, ref, in.Loc), percent(r.Cover))}
	switch {
	case isNaN(r.Pounds):
	case r.Hours == 0:
		out = append(out, fmt.Sprintf("If readings below that are taken as they stand, %s of chlorine passed with %s of water.", in.say(r.PoundsAll, "lb"), in.say(r.MG, "MG")))
	default:
		out = append(out, fmt.Sprintf("Chlorine past the outfall: %s in those minutes; %s if readings below that are taken as they stand. Water past the outfall: %s.", in.say(r.Pounds, "lb"), in.say(r.PoundsAll, "lb"), in.say(r.MG, "MG")))
	}
	hour := "not determined"
	if !isNaN(r.Hour.MgL) {
		hour = fmt.Sprintf("%s µg/L, to %s", num(1000*r.Hour.MgL), clock(r.Hour.End, ref, in.Loc))
	}
	day := "not determined"
	if !isNaN(r.FourDay.MgL) {
		day = fmt.Sprintf("%s µg/L, to %s", num(1000*r.FourDay.MgL), clock(r.FourDay.End, ref, in.Loc))
	}
	out = append(out, fmt.Sprintf("Highest one-hour average in the effluent: %s (published criterion for %s: %s µg/L). Highest four-day average: %s (criterion: %s µg/L).",
		hour, c.Water, num(1000*c.Acute), day, num(1000*c.Chronic)))
	out = append(out, fmt.Sprintf("Both criteria lie far below the smallest residual that instruments normally tell from zero (%s µg/L), and they apply in the receiving water after mixing, not in the effluent: the comparison shows an order of magnitude, not whether they were met.", num(1000*r.Detect)))
	if r.Trust.Doubtful > 0 {
		out = append(out, upperFirst(r.Trust.Says)+".")
	}
	return out
}

// ResponseLines tells what the feed did.
func ResponseLines(in *Input, x *Explanation) []string {
	var out []string
	first, known := x.First()
	for _, m := range x.Moves {
		if !m.Answers {
			continue
		}
		line := upperFirst(m.Words(x.Episode.Start, in.Loc))
		if known && m.At > first.At {
			line += fmt.Sprintf(", %s after the first mover", span(m.At-first.At))
		}
		out = append(out, line+".")
	}
	if len(out) == 0 {
		out = append(out, "No feed was seen to move against the shortfall.")
	}
	return out
}

// HeldLines sums up what would have held it; Cautions go with it.
func HeldLines(in *Input, x *Explanation) []string {
	if len(x.Held) == 0 {
		return nil
	}
	unit := "gal/h"
	if in.Chlorine.Gas {
		unit = "lb/d"
	}
	most := -1
	over, known, unknown := 0, 0, 0
	for i, h := range x.Held {
		if isNaN(h.NeedFeed) {
			unknown++
			continue
		}
		if most < 0 || h.NeedFeed > x.Held[most].NeedFeed {
			most = i
		}
		switch h.Within {
		case No:
			over++
			known++
		case Yes:
			known++
		}
	}
	var out []string
	if most < 0 {
		out = append(out, "What would have held it cannot be reckoned: contact time, dose or strength is not known.")
	} else {
		h := x.Held[most]
		text := fmt.Sprintf("The hardest hour began at %s: a dose of %s, that is %s of chlorine or %s", clock(h.Start, x.Episode.Start, in.Loc), with(h.NeedDose, "mg/L"), in.say(h.NeedLbD, "lb/d"), in.say(h.NeedFeed, unit))
		if in.Chlorine.Gas {
			text = strings.TrimSuffix(text, " or "+in.say(h.NeedFeed, unit))
		}
		if !isNaN(h.NeedSetting) {
			text += fmt.Sprintf(" (%s %% of full stroke)", num(h.NeedSetting))
		}
		if !isNaN(h.Feed) {
			text += fmt.Sprintf("; %s was fed", in.say(h.Feed, unit))
		}
		out = append(out, text+".")
		switch {
		case known == 0:
			out = append(out, "What the feed system can deliver is not stated in the plant description.")
		case over > 0:
			out = append(out, fmt.Sprintf("In %d of %d hours that is more than the feed system can deliver (%s).", over, known, in.say(in.Chlorine.Capacity, unit)))
		default:
			out = append(out, fmt.Sprintf("In all %d hours the feed system could have delivered it (%s).", known, in.say(in.Chlorine.Capacity, unit)))
		}
	}
	assumed, least := 0, 0
	for _, h := range x.Held {
		if h.Assumed {
			assumed++
		}
		if h.AtLeast {
			least++
		}
	}
	if assumed > 0 {
		out = append(out, fmt.Sprintf("In %d of the hours too little was dosed to show the demand; the normal demand of those hours is taken.", assumed))
	}
	if least > 0 {
		out = append(out, fmt.Sprintf("In %d of the hours next to no residual was left, so the demand was at least what is shown, and what would have held it may be more.", least))
	}
	if unknown > 0 && most >= 0 {
		out = append(out, fmt.Sprintf("%d of %d hours could not be reckoned.", unknown, len(x.Held)))
	}
	return out
}

// Cautions go with every "what would have held it".
var Cautions = []string{
	"This is arithmetic about a past event for a licensed operator to judge, not an instruction to change a dose. It assumes that demand would have stayed as it was; with more chlorine it usually rises, and near the breakpoint the residual can fall as the dose goes up.",
	"More residual has to be taken out again: the dechlorination figures go with it. Too much bisulfite uses up dissolved oxygen.",
	"Before touching pumps or lines: the plant's own procedures, lockout/tagout, ventilation and protective equipment. Never bring hypochlorite together with acid or bisulfite.",
}
