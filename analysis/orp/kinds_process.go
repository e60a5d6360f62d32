package orp

import (
	"fmt"
	"math"

	"weirbook/analysis/finding"
)

// What the process can be at fault in.
var (
	ammoniaBreak = newKind("ammonia-breakthrough", finding.Process, finding.Critical, unsized,
		func(_ *work, _ *event, since string) string {
			return fmt.Sprintf("Ammonia binds the chlorine %s: ORP fell further than the residual explains, the instruments agree with each other, and what is left of the residual disinfects less than it looks.", since)
		}, witnessed, ammoniaChecks, waterCautions)
	combinedChlorine = newKind("ammonia-breakthrough", finding.Process, finding.Critical, unsized,
		words("Ammonia binds the chlorine %[2]s: free chlorine is gone while the total stands, and ORP fell; what is left disinfects less than it looks."),
		func(w *work, e *event, _ string) string {
			return fmt.Sprintf("Free over total stands at %.0f %% of its usual, and a probe fell by more than %.0f mV beyond what the total explains.", 100*e.size, w.s.CombinedMV)
		}, ammoniaChecks, waterCautions)
	ammoniaHigh = newKind("ammonia-breakthrough", finding.Process, finding.Critical, milligramsMore,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("Ammonia ahead of the chlorine rose to %.1f mg/L N %s (%s): it binds the chlorine.", e.size, since, e.subject)
		},
		func(w *work, e *event, _ string) string {
			return fmt.Sprintf("%s: more than %.0f scales above the largest values of its usual days.", e.subject, w.s.AmmoniaScales)
		}, ammoniaChecks, waterCautions)
	demandRise = newKind("demand-rise", finding.Process, finding.Critical, milligramsMore, // it had to stand above the plant's usual as well
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("The water took up %.1f mg/L more chlorine than normal %s, or that much less reached it; both instruments agree.", math.Abs(e.size), since)
		}, contrastOwn, feedChecks, feedCautions)
	weakLoad = newKind("demand-rise", finding.Process, finding.Warning, milligramsMore,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("The dose by the stated strength stood %.1f mg/L above its usual %s at the same residual: a weak load of chlorine, or water that takes up more.", e.size, since)
		},
		func(w *work, e *event, _ string) string {
			return fmt.Sprintf("The dose stepped up and, %s later, back, by more than %.1f scales above the largest step of a usual day, and the residual stayed.", lasting(e.Len()), w.s.LoadScales)
		}, feedChecks, feedCautions)
	feedSurplus = newKind("feed-surplus", finding.Process, finding.Warning, milligramsLess,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("The water took up %.1f mg/L less chlorine than normal %s, or that much more reached it than the feed's own signal says; the instruments agree.", math.Abs(e.size), since)
		}, contrastOwn, feedChecks, feedCautions)
	feedLost = newKind("feed-lost", finding.Process, finding.Critical, stopped, words("Chlorine feed %s stopped %s."), stoppedOwn, feedChecks, feedCautions)
	storm    = newKind("storm", finding.Process, finding.Warning, factor,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("High flow %s, up to %.1f times the mean above its normal.", since, e.size-1)
		},
		func(w *work, e *event, _ string) string {
			return fmt.Sprintf("%s: flow above the usual of the hours around by more than %.0f %% of the mean.", e.subject, 100*(w.s.StormRatio-1))
		}, lists("Check that feed and contact time held at the peak; take a DPD grab and the bacteriological sample that the permit asks for."), waterCautions)
	bisulfiteLost = newKind("bisulfite-lost", finding.Process, finding.Critical, stopped,
		func(w *work, e *event, since string) string {
			return fmt.Sprintf("%s feed %s stopped %s; chlorine may be reaching the outfall.", w.chemical(), e.subject, since)
		}, stoppedOwn, outfallChecks, feedCautions)
	bisulfiteSurplus = newKind("bisulfite-surplus", finding.Process, finding.Warning, factor,
		func(w *work, e *event, since string) string {
			return fmt.Sprintf("%s feed %s ran at %.1f times what the chlorine needs %s.", w.chemical(), e.subject, math.Abs(e.size), since)
		},
		func(_ *work, e *event, _ string) string {
			return fmt.Sprintf("%s: sulfite per chlorine %.1f times its usual.", e.subject, e.size)
		}, outfallChecks, feedCautions)
	outfallChlorine = newKind("chlorine-at-outfall", finding.Undecided, finding.Critical, milligramsMore, // mostly brought about by something else
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

func contrastOwn(w *work, e *event, _ string) string {
	return fmt.Sprintf("Dose less residual moved by %.2f mg/L within two hours against the four before, more than %.1f scales above the largest such move of a usual day, and the residual went along.",
		math.Abs(e.size), w.s.ContrastScales)
}
