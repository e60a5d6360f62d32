package orp

import (
	"fmt"
	"math"

	"weirbook/analysis/finding"
)

// What an ORP probe can be at fault in.
var (
	orpDrift = newKind("orp-drift", finding.ORPProbe, finding.Warning, millivolts,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("ORP probe %s drifted to %.0f mV %s what the chlorine says, %s; do not rely on it before it is checked for fouling.",
				e.subject, math.Abs(e.size), aboveBelow(e.size), since)
		}, witnessed, probeChecks, probeCautions)
	orpOffset = newKind("orp-offset", finding.ORPProbe, finding.Warning, millivolts,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("ORP probe %s reads %.0f mV too %s %s; do not rely on it before it is checked.", e.subject, math.Abs(e.size), highLow(e.size), since)
		}, witnessed, probeChecks, probeCautions)
	orpStep = newKind("orp-calibration-step", finding.ORPProbe, finding.Warning, millivolts,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("ORP probe %s reads %.0f mV too %s since it was serviced, %s; repeat the calibration.", e.subject, math.Abs(e.size), highLow(e.size), since)
		}, witnessed, probeChecks, probeCautions)
	orpInLoop = newKind("orp-drift", finding.ORPProbe, finding.Critical, millivoltsShort,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("ORP probe %s does not show the chlorine that is there, about %.0f mV short, %s: dose and residual climbed while it stood; where it steers the feed, do not rely on it before it is checked for fouling.",
				e.subject, math.Abs(e.size), since)
		},
		func(w *work, e *event, _ string) string {
			return fmt.Sprintf("%s stood while the residual was above %.1f times and the dose above %.2f times its usual, with no more demand to ask for it.", e.subject, w.s.LoopResidual, w.s.LoopDose)
		}, probeChecks, probeCautions)
	orpFrozen   = newKind("orp-frozen", finding.ORPProbe, finding.Warning, unsized, stillSays, stillOwn, probeChecks, probeCautions)
	orpNoise    = newKind("orp-noise", finding.ORPProbe, finding.Warning, unsized, noiseSays, noiseOwn, probeChecks, probeCautions)
	orpClip     = newKind("orp-clip", finding.ORPProbe, finding.Warning, unsized, clipSays, clipOwn, clipChecks, probeCautions)
	orpResponse = newKind("orp-response-lost", finding.ORPProbe, finding.Warning, unsized,
		words("ORP probe %s hardly responds any more %s; it looks steady because it is slow."),
		func(w *work, e *event, _ string) string {
			return fmt.Sprintf("%s: its quarter-hour moves over %d h fell below %.0f %% of the usual, though it is not frozen.", e.subject, w.s.ResponseHours, 100*w.s.ResponseShare)
		}, probeChecks, probeCautions)
)

func stillSays(_ *work, e *event, since string) string {
	return fmt.Sprintf("%s stands still %s; its reading is not the water's.", e.subject, since)
}

func stillOwn(w *work, e *event, _ string) string {
	return fmt.Sprintf("%s: movement below %.0f %% of what is usual for it, for %s.", e.subject, 100*w.s.FrozenShare, lasting(e.Len()))
}

func noiseSays(_ *work, e *event, since string) string {
	return fmt.Sprintf("%s is noisy %s, %.0f times its usual; do not act on single readings.", e.subject, since, e.size)
}

func noiseOwn(_ *work, e *event, _ string) string {
	return fmt.Sprintf("%s: minute-to-minute changes up to %.1f times the usual, for %s, without the moves adding up to anything.", e.subject, e.size, lasting(e.Len()))
}

func clipSays(_ *work, e *event, since string) string {
	return fmt.Sprintf("%s runs against the end of its span at %.4g %s; the true value lies beyond it.", e.subject, e.size, since)
}

func clipOwn(_ *work, e *event, _ string) string {
	return fmt.Sprintf("%s: many readings share the value %.4g and none passes it.", e.subject, e.size)
}
