package upset

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis/finding"
	"weirbook/analysis/quantity"
)

// CauseKind names a likely cause.
type CauseKind string

// Likely causes.
const (
	FeedFell       CauseKind = "chlorine feed fell"
	StrengthFell   CauseKind = "hypochlorite got weaker"
	FlowRose       CauseKind = "high flow"
	AmmoniaMoved   CauseKind = "ammonia after secondary changed"
	DemandRose     CauseKind = "more chlorine lost between feed and outlet"
	SolidsRose     CauseKind = "dirtier water"
	DemandFell     CauseKind = "less chlorine lost between feed and outlet"
	MisledFeed     CauseKind = "a feed followed a wrong reading"
	FeedRose       CauseKind = "chlorine feed rose"
	BisulfiteFell  CauseKind = "dechlorination feed fell"
	ResidualRose   CauseKind = "more residual reached dechlorination"
	NeedRose       CauseKind = "the requirement rose"
	InstrumentOnly CauseKind = "perhaps an instrument only"
	CauseUnknown   CauseKind = "not known"
)

// Level is how sure a likely cause is, in the words that findings have: no number
// would be honest.
type Level string

// Levels.
const (
	High     Level = finding.Sure
	Moderate Level = finding.Likely
	Low      Level = finding.Look
)

// Likely is the likely cause, with what speaks for it and against.
type Likely struct {
	Kind      CauseKind
	Says      string // one sentence
	Level     Level
	For       []string
	Against   []string
	LossShare float64 // share of the CT lost that the split gives to it; NaN: not applicable
	Found     *Found  // what the judging of the instruments says of it; nil: nothing
	Disputed  bool    // the two disagree; Says, For and Against hold both sides
}

// groups says which parts of the split belong to a cause.
var groups = map[CauseKind][]Cause{
	FeedFell:     {ByFeed, ByDose},
	StrengthFell: {ByStrength},
	FlowRose:     {ByTime, ByDilution},
	AmmoniaMoved: {ByDemand, ByResidual},
	DemandRose:   {ByDemand, ByResidual},
	DemandFell:   {ByDemand, ByResidual},
	FeedRose:     {ByFeed, ByDose},
	SolidsRose:   {ByDemand, ByResidual},
	NeedRose:     {ByTemperature, ByPH},
}

func kindOf(m *Move, w What) CauseKind {
	switch m.Kind {
	case quantity.HypochloriteFeed, quantity.ChlorineFeed, Dose:
		if m.Size > 0 {
			return FeedRose
		}
		return FeedFell
	case Strength, quantity.HypochloriteGrams:
		return StrengthFell
	case quantity.Flow:
		return FlowRose
	case quantity.AmmoniaN, quantity.NitriteN:
		return AmmoniaMoved
	case Demand:
		if m.Size < 0 {
			return DemandFell
		}
		return DemandRose
	case quantity.TSS, quantity.TurbidityK, quantity.BOD5, quantity.CBOD5, quantity.COD:
		return SolidsRose
	case quantity.BisulfiteFeed, quantity.SulfurDioxideFeed:
		return BisulfiteFell
	case quantity.Temp, quantity.PH:
		return NeedRose
	case quantity.ChlorineTotal, quantity.ChlorineFree:
		if w == FinalHigh {
			return ResidualRose
		}
	}
	return CauseUnknown
}

// likely weighs the first mover against the split and the instruments.
func likely(in *Input, x *Explanation) Likely {
	l := Likely{Kind: CauseUnknown, Level: Low, LossShare: math.NaN()}
	what := orCT("")
	var trust Trust
	if len(x.Episode.Breaches) > 0 {
		m := x.Episode.Main()
		what, trust = m.What, m.Trust
	}
	first, found := x.First()
	score := 0
	if found {
		l.Kind = kindOf(&first, what)
		role := "it moved first"
		if first.Effect {
			role = "first to show it"
		}
		l.For = append(l.For, role+": "+first.Words(x.Episode.Start, in.Loc))
		if first.Effect {
			l.Kind = CauseUnknown
			l.Against = append(l.Against, "only signals that show the shortfall moved; none of those that could bring it about did")
		}
	} else {
		l.Against = append(l.Against, "no signal moved before it, on the basin outlet's clock, the way that could bring it about by more than its usual scatter")
	}
	if g := groups[l.Kind]; len(g) > 0 && len(x.Split.Parts) > 0 {
		l.LossShare = lossShare(&x.Split, g)
		switch {
		case isNaN(l.LossShare):
		case l.LossShare >= 0.6:
			score += 2
			l.For = append(l.For, fmt.Sprintf("the split gives it %s of the CT that was lost", percent(l.LossShare)))
		case l.LossShare >= 0.3:
			score++
			l.For = append(l.For, fmt.Sprintf("the split gives it %s of the CT that was lost; it was not alone", percent(l.LossShare)))
		default:
			l.Against = append(l.Against, fmt.Sprintf("the split gives it only %s of the CT that was lost", percent(l.LossShare)))
			score--
		}
	}
	if found && !first.Effect {
		if first.Sigmas >= 6 {
			score++
			text := "the move was far beyond the usual scatter of such changes, which is next to none"
			if first.Sigmas < 1000 {
				text = fmt.Sprintf("the move was %s times the usual scatter of such changes", num(first.Sigmas))
			}
			l.For = append(l.For, text)
		}
		if long := max(int64(3*3600_000), 3*travel(in, x.Episode.Start)); len(x.Episode.Breaches) > 0 && first.AtOutlet < x.Episode.Start-long {
			score--
			l.Against = append(l.Against, fmt.Sprintf("it had moved %s before, which is longer than the water takes", span(x.Episode.Start-first.AtOutlet)))
		}
		if first.Doubted {
			score -= 2
			l.Against = append(l.Against, fmt.Sprintf("its own instrument (%s) was in doubt", first.Tag))
		}
	}
	open := 0
	for _, c := range x.Ruled {
		if !c.Ruled {
			open++
		}
	}
	if open > 0 {
		score--
		l.Against = append(l.Against, fmt.Sprintf("%d of the signals checked could not be ruled out", open))
	}
	if len(x.Normal.Days) < 2 {
		score--
		l.Against = append(l.Against, fmt.Sprintf("the normal rests on %d clean days only", len(x.Normal.Days)))
	}
	if trust.Doubtful > 0.5 && x.Episode.Confirmed() {
		l.For = append(l.For, "an E. coli result above its limit in the same episode says, without those instruments, that disinfection did fail")
		score++
	}
	if trust.Doubtful > 0.5 {
		l.Against = append(l.Against, trust.Says)
		score -= 2
		if (!found || first.Effect || first.Doubted) && !x.Episode.Confirmed() {
			l.Kind = InstrumentOnly
		}
	}
	switch {
	case l.Kind == CauseUnknown:
	case score >= 3:
		l.Level = High
	case score >= 1:
		l.Level = Moderate
	}
	l.Says = sayCause(&l, &first, found, in, x)
	if l.Kind == BisulfiteFell {
		if says := paced(in, x, &first); says != "" {
			l.Kind, l.Level, l.Says = CauseUnknown, Low, says
		}
	}
	if l.Kind == BisulfiteFell {
		if tags := doubtedOutlet(in, x, first.At); len(tags) > 0 {
			l.Says += " If that feed follows " + and(tags) + ": that instrument was in doubt then."
		}
	}
	settle(&l, in, x)
	beside(&l, in, x)
	logged(&l, in, x)
	if also := together(&first, found, x); len(also) > 0 && l.Found == nil {
		l.Says += " At about the same time on the basin outlet's clock, too close to tell apart: " + and(also) + "."
	}
	return l
}

// doubtedOutlet lists the residual analysers of the basin outlet that were in
// doubt at a moment or in the hour after it.
func doubtedOutlet(in *Input, x *Explanation, at int64) []string {
	var out []string
	for k := range in.Columns {
		c := &in.Columns[k]
		chlorine := c.Kind == quantity.ChlorineTotal || c.Kind == quantity.ChlorineFree
		if chlorine && c.Place == AtOutlet && c.doubted(in.Doubts, at-3600_000, at+3600_000) {
			out = append(out, c.Tag)
		}
	}
	return out
}

// together names the other moves that could have brought the breach about and
// that the data cannot put after the first mover.
func together(first *Move, found bool, x *Explanation) []string {
	var out []string
	for _, m := range x.Moves {
		near := m.AtOutlet-first.AtOutlet <= max(x.Settings.Tie.Milliseconds(), min(m.Unsure, first.Unsure))
		if !found || m.First || m.Effect || !m.Pushes || !near {
			continue
		}
		verb := "rose"
		if !m.Rose() {
			verb = "fell"
		}
		out = append(out, lowerFirst(m.Title)+" "+verb)
	}
	return out
}

func and(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// lossShare is the part of a group in all losses of the split, 0…1.
func lossShare(s *Split, group []Cause) float64 {
	var loss, mine float64
	for _, p := range s.Parts {
		if p.CT < 0 {
			loss -= p.CT
		}
	}
	for _, p := range s.Parts {
		for _, c := range group {
			if p.Cause == c {
				mine -= p.CT
			}
		}
	}
	if loss <= 0 {
		return math.NaN()
	}
	return math.Min(1, math.Max(0, mine/loss))
}

// sayCause is the one sentence.
func sayCause(l *Likely, m *Move, found bool, in *Input, x *Explanation) string {
	if !found {
		return "The record does not show what began it."
	}
	when := clock(m.At, x.Episode.Start, in.Loc)
	if m.Since != 0 {
		when = fmt.Sprintf("some time between %s and %s, when readings were missing,", clock(m.Since, x.Episode.Start, in.Loc), when)
	}
	title := lowerFirst(m.Title)
	switch l.Kind {
	case FeedFell:
		return fmt.Sprintf("Less chlorine was fed: from %s %s was below normal for the hour.", when, title)
	case FeedRose:
		return fmt.Sprintf("More chlorine was fed: from %s %s was above normal for the hour.", when, title)
	case StrengthFell:
		return fmt.Sprintf("The hypochlorite was weaker from %s on.", when)
	case FlowRose:
		return fmt.Sprintf("More water came: from %s %s was above normal for the hour, which shortens contact time and thins the dose unless the feed follows.", when, title)
	case AmmoniaMoved:
		way := "rose"
		if m.Size < 0 {
			way = "fell"
		}
		return fmt.Sprintf("From %s %s %s, which changes how much chlorine is used up and in which form it stays.", when, title, way)
	case DemandRose:
		return fmt.Sprintf("From %s more chlorine was lost between feed and basin outlet than normal for the hour. Demand of the water, and chlorine that was metered but did not arrive (air in the pump, a leak, weaker hypochlorite), look the same in this record.", when)
	case DemandFell:
		return fmt.Sprintf("From %s less chlorine was lost between feed and basin outlet than normal for the hour.", when)
	case SolidsRose:
		return fmt.Sprintf("The water was dirtier: from %s %s was above normal for the hour.", when, title)
	case BisulfiteFell:
		return fmt.Sprintf("Less dechlorination chemical was fed: from %s %s was below normal for the hour.", when, title)
	case ResidualRose:
		return fmt.Sprintf("More residual reached dechlorination: from %s %s was above normal for the hour.", when, title)
	case NeedRose:
		return fmt.Sprintf("The requirement rose: from %s %s moved to where more CT is asked for.", when, title)
	case InstrumentOnly:
		return "The instruments behind the statement were in doubt, and nothing that could bring a shortfall about was seen to move: it may not have happened as shown."
	}
	return fmt.Sprintf("What began it is not known: %s moved first, and it shows the shortfall rather than brings it about.", title)
}
