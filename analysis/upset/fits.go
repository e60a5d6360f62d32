package upset

import (
	"weirbook/analysis/finding"
	"weirbook/analysis/quantity"
)

// What a finding must be to have brought a breach about: in kind, in direction and in
// time. The settings are in account.go.

// brings says whether a cause can bring a breach about: more chlorine lost leaves no
// more of it at the outfall, and more fed leaves no less.
func brings(c CauseKind, w What) bool {
	high := w == FinalHigh || w == ResidualHigh
	switch c {
	case BisulfiteFell:
		return w == FinalHigh
	case FeedFell, StrengthFell, DemandRose:
		return !high
	case FeedRose, DemandFell:
		return high
	}
	return true
}

// swungBack says that an event was over or nearly so when the opposite breach
// began: the control, which had worked against it, may have swung past.
func swungBack(c CauseKind, f *Found, e *Episode) bool {
	return c != BisulfiteFell && !brings(c, e.Main().What) && f.End <= e.Start+foundLate
}

// followed says that a feed moved to where it brings the breach about, before it
// and no sooner than a reading went wrong: one that had moved before did not follow it.
func (x *Explanation) followed(f *Found) bool {
	for _, ms := range [][]Move{x.Moves, x.Aside} {
		for i := range ms {
			m := &ms[i]
			if kindIsFeed(m.Kind) && m.Pushes && m.At >= f.Start-foundLate/2 && m.earliest() <= x.Episode.Start+x.late() {
				return true
			}
		}
	}
	return false
}

func kindIsFeed(k quantity.Kind) bool {
	switch k {
	case quantity.HypochloriteFeed, quantity.ChlorineFeed, quantity.BisulfiteFeed, quantity.SulfurDioxideFeed, Dose:
		return true
	}
	return false
}

// misleads says that a residual analyser read the wrong way for this breach: too
// low, and dechlorination is fed short and chlorine too long; too high, and
// chlorine is fed short.
func misleads(in *Input, f *Found, w What) bool {
	low, high := f.Size.Low(), f.Size.High()
	switch w {
	case FinalHigh:
		return f.Party == finding.ResidualAnalyser && low && !isNaN(in.Dechlorination.Ratio)
	case ResidualHigh:
		return f.Party != finding.FlowMeter && low
	case CTShort, ResidualLow:
		return f.Party != finding.FlowMeter && high
	}
	return false
}

// mimics says that what reads as the breach may be an analyser alone: the breach
// rests on it, it was off in the direction that makes one, and was so when the
// breach began, and no laboratory result says that disinfection did fail.
func mimics(in *Input, f *Found, e *Episode) bool {
	m := e.Main()
	if f.Party != finding.ResidualAnalyser || f.Confidence < foundFits || e.Confirmed() || f.End <= m.Start || f.Start > m.Start+foundLate {
		return false
	}
	makes := f.Size.High()
	if m.What.Below() {
		makes = f.Size.Low()
	}
	for k := range in.Judged {
		if j := &in.Judged[k]; j.What == m.What && contains(j.RestsOn, f.Subject) {
			return makes
		}
	}
	return false
}

// steers says that the feed that failed may follow the tag: a residual or a flow of
// this basin, or, of chlorine only, an ORP.
func steers(in *Input, f *Found, w What) bool {
	for k := range in.Columns {
		c := &in.Columns[k]
		if c.Tag != f.Subject {
			continue
		}
		switch c.Kind {
		case quantity.ORP:
			return w != FinalHigh && (c.Place == AtOutlet || c.Place == InBasin)
		case quantity.ChlorineTotal, quantity.ChlorineFree:
			return c.Place == AtOutlet || c.Place == InBasin
		case quantity.Flow:
			return true
		}
	}
	return false
}
