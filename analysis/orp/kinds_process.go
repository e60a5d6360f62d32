package orp

import (
	"fmt"
	"math"

	"weirbook/analysis/finding"
)

// What the process can be at fault in.
var (
	ammoniaBreak = newKind("ammonia-breakthrough", finding.Process, finding.Critical, byVerdict,
		func(_ *work, _ *event, since string) string {
			return fmt.Sprintf("Ammonia binds the chlorine %s: ORP fell further than the residual explains, the instruments agree with each other, and what is left of the residual disinfects less than it looks.", since)
		}, witnessed, lists(
			"Take a grab for ammonia ahead of the chlorine and a DPD grab, free and total: free low with total standing says combined chlorine.",
			"Look at nitrification upstream: dissolved oxygen, a bypass, a side stream.",
		), waterCautions)
	demandRise = newKind("demand-rise", finding.Process, finding.Critical, 0.9, // it had to stand above the plant's usual as well
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("The water takes up %.1f mg/L more chlorine than usual %s, or that much less is reaching it; both instruments agree.", math.Abs(e.size), since)
		}, witnessed, feedChecks, feedCautions)
	feedLost = newKind("feed-lost", finding.Process, finding.Critical, 0.97, words("Chlorine feed %s stopped %s."), stoppedOwn, feedChecks, feedCautions)
	storm    = newKind("storm", finding.Process, finding.Warning, 0.95,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("High flow %s, up to %.1f times the mean above its usual; contact time is short.", since, e.size-1)
		},
		func(w *work, e *event, _ string) string {
			return fmt.Sprintf("%s: flow above the usual of the hours around by more than %.0f %% of the mean.", e.subject, 100*(w.s.StormRatio-1))
		}, lists("Check that feed and contact time held at the peak; take a DPD grab and the bacteriological sample that the permit asks for."), waterCautions)
	bisulfiteLost = newKind("bisulfite-lost", finding.Process, finding.Critical, 0.97,
		words("Bisulfite feed %s stopped %s; chlorine may be reaching the outfall."), stoppedOwn, outfallChecks, feedCautions)
	bisulfiteSurplus = newKind("bisulfite-surplus", finding.Process, finding.Warning, 0.93,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("Bisulfite feed %s runs at %.1f times what the chlorine needs %s.", e.subject, math.Abs(e.size), since)
		},
		func(_ *work, e *event, _ string) string {
			return fmt.Sprintf("%s: sulfite per chlorine %.1f times its usual.", e.subject, e.size)
		}, outfallChecks, feedCautions)
	outfallChlorine = newKind("chlorine-at-outfall", finding.Undecided, finding.Critical, 0.3, // mostly brought about by something else
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("Chlorine at the outfall %s, up to %.2f mg/L on %s.", since, math.Abs(e.size), e.subject)
		}, outfallOwn, outfallChecks, feedCautions)
)

func stoppedOwn(w *work, e *event, _ string) string {
	return fmt.Sprintf("%s: the feed's own signal is below %.0f %% of its usual %.3g for %s.", e.subject, 100*w.s.FeedShare, e.size, lasting(e.Len()))
}

func outfallOwn(w *work, e *event, _ string) string {
	return fmt.Sprintf("%s: above its usual and above %.2f mg/L for %s.", e.subject, w.s.FinalMgL, lasting(e.Len()))
}
