package orp

import (
	"fmt"
	"math"

	"weirbook/analysis/finding"
)

// What a residual analyser can be at fault in.
var (
	residualDrift = newKind("residual-drift", finding.ResidualAnalyser, finding.Warning, decades,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("Residual analyser %s drifted to %.0f %% %s the truth %s; take a DPD grab before trusting it.",
				e.subject, math.Abs(percent(e.size)), aboveBelow(e.size), since)
		}, witnessed, residualChecks, residualCautions)
	residualOffset = newKind("residual-offset", finding.ResidualAnalyser, finding.Warning, decades,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("Residual analyser %s reads %.0f %% too %s %s; take a DPD grab before trusting it.",
				e.subject, math.Abs(percent(e.size)), highLow(e.size), since)
		}, witnessed, residualChecks, residualCautions)
	grabDrift = newKind("residual-drift", finding.ResidualAnalyser, finding.Warning, decades,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("Residual analyser %s and its grabs part by %.0f %% (%s) %s; take a DPD grab before trusting it.",
				e.subject, math.Abs(percent(e.size)), highLow(e.size), since)
		},
		func(_ *work, e *event, _ string) string {
			return fmt.Sprintf("%s: at least four grabs in a row say the same, none of them counted for more than its share.", e.subject)
		}, residualChecks, residualCautions)
	sampleLost = newKind("residual-sample-lost", finding.ResidualAnalyser, finding.Warning, decades,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("Residual analyser %s reads %.0f %% low %s, as when it loses its sample; do not raise the feed on its word.",
				e.subject, -percent(e.size), since)
		}, witnessed, residualChecks, residualCautions)
	impossibleResidual = newKind("residual-sample-lost", finding.ResidualAnalyser, finding.Critical, decades,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("Residual analyser %s shows next to nothing %s while other instruments show chlorine: it has lost its sample. Do not raise the feed on its word.", e.subject, since)
		},
		func(w *work, e *event, _ string) string {
			return fmt.Sprintf("%s: below %.0f %% of its usual for %s, while ORP kept its level, free chlorine stood above it, or chlorine came through dechlorination.", e.subject, 100*w.s.NothingShare, lasting(e.Len()))
		}, residualChecks, residualCautions)
	overDosed = newKind("residual-offset", finding.ResidualAnalyser, finding.Warning, milligramsMore,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("Residual analyser %s shows more chlorine than was fed, by %.1f mg/L, %s: it reads high, unless the feed's strength or the flow is wrong.", e.subject, e.size, since)
		},
		func(_ *work, e *event, _ string) string {
			return fmt.Sprintf("%s stood %.2f mg/L above the dose that its water got; water cannot take up less than nothing.", e.subject, e.size)
		}, residualChecks, residualCautions)
	unseenChlorine = newKind("residual-sample-lost", finding.ResidualAnalyser, finding.Warning, decades,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("Residual analyser %s fell by %.0f %% at once %s and others still see the chlorine, as when it loses its sample; do not raise the feed on its word.",
				e.subject, -percent(e.size), since)
		},
		func(_ *work, e *event, _ string) string {
			return fmt.Sprintf("%s fell within two hours; a grab, the probes, or the chlorine that came through dechlorination do not bear it out.", e.subject)
		}, residualChecks, residualCautions)
	residualFrozen = newKind("residual-frozen", finding.ResidualAnalyser, finding.Warning, unsized, stillSays, stillOwn, residualChecks, residualCautions)
	// Noise of a residual is mostly brought about by something else.
	residualNoise = newKind("residual-noise", finding.ResidualAnalyser, finding.Warning, unsized, noiseSays, noiseOwn, residualChecks, residualCautions)
	residualClip  = newKind("residual-clip", finding.ResidualAnalyser, finding.Warning, unsized, clipSays, clipOwn, residualChecks, residualCautions)
	// Chlorine that the ORP in the same water does not see.
	outfallAnalyser = newKind("chlorine-at-outfall", finding.ResidualAnalyser, finding.Critical, milligramsMore,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("Outfall analyser %s shows %.2f mg/L %s, but the ORP beside it did not rise: check the analyser first.", e.subject, e.size, since)
		}, outfallOwn, residualChecks, residualCautions)
)
