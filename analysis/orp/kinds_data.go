package orp

import (
	"fmt"
	"math"

	"weirbook/analysis/finding"
)

// What a flow meter can be at fault in.
var (
	flowDrift  = newKind("flow-drift", finding.FlowMeter, finding.Warning, natural, flowSays, witnessed, flowChecks, flowCautions)
	flowOffset = newKind("flow-offset", finding.FlowMeter, finding.Warning, natural, flowSays, witnessed, flowChecks, flowCautions)
	flowStep   = newKind("flow-offset", finding.FlowMeter, finding.Warning, natural,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("Flow meter %s jumped to read %.0f %% too %s %s, and jumped back: water does not come and go at once.",
				e.subject, 100*math.Abs(math.Exp(e.size)-1), highLow(e.size), since)
		},
		func(w *work, e *event, _ string) string {
			return fmt.Sprintf("%s: a jump within a quarter of an hour and one back, each more than %.0f scales above the largest of a usual day.", e.subject, w.s.FlowStepScales)
		}, flowChecks, flowCautions)
	flowFrozen = newKind("flow-frozen", finding.FlowMeter, finding.Warning, unsized, stillSays, stillOwn, flowChecks, flowCautions)
)

func flowSays(_ *work, e *event, since string) string {
	return fmt.Sprintf("Flow meter %s reads %.0f %% too %s against the influent %s; dose, contact time and loads from it are wrong by as much.",
		e.subject, 100*math.Abs(math.Exp(e.size)-1), highLow(e.size), since)
}

// What the data themselves can be at fault in.
var (
	linkFrozen = newKind("link-frozen", finding.Data, finding.Notice, unsized,
		func(_ *work, e *event, since string) string {
			if e.subject != "all tags" {
				return fmt.Sprintf("%s stopped moving together %s: their data link, not the plant.", e.subject, since)
			}
			return fmt.Sprintf("All tags stopped moving together %s: the data link, not the plant.", since)
		},
		func(_ *work, e *event, _ string) string {
			return fmt.Sprintf("%.0f tags hold their last digit for %s together, each for longer than it ever does by itself.", e.size, lasting(e.Len()))
		}, dataChecks, dataCautions)
	linkBlank = newKind("link-blank", finding.Data, finding.Notice, unsized,
		func(_ *work, _ *event, since string) string {
			return fmt.Sprintf("No tag delivered readings %s.", since)
		},
		func(_ *work, e *event, _ string) string {
			return fmt.Sprintf("Nine tags of ten or more are without readings for %s.", lasting(e.Len()))
		}, dataChecks, dataCautions)
	repeatedBlock = newKind("repeated-block", finding.Data, finding.Notice, unsized,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("The readings %s repeat those of %s before, digit for digit: a block was written twice.", since, lasting(int(e.size)))
		},
		func(_ *work, e *event, _ string) string {
			return fmt.Sprintf("Every tag equals its own reading of %s before, for %s.", lasting(int(e.size)), lasting(e.Len()))
		}, dataChecks, dataCautions)
	clockShift = newKind("clock-shift", finding.Data, finding.Notice, minutes,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("The clocks of two systems disagree by about %.0f min %s: feeds and readings no longer move together.", math.Abs(e.size), since)
		},
		func(_ *work, e *event, _ string) string {
			return fmt.Sprintf("Sulfite feed and residual, which move together within minutes, do so %.0f min apart for %s.", math.Abs(e.size), lasting(e.Len()))
		}, dataChecks, dataCautions)
	unitMixUp = newKind("unit-mix-up", finding.Data, finding.Notice, factor,
		func(_ *work, e *event, since string) string {
			return fmt.Sprintf("%s reads %.3g times its usual %s: a unit or scale was mixed up on the way.", e.subject, e.size, since)
		},
		func(_ *work, e *event, _ string) string {
			return fmt.Sprintf("%s: %.4g times its usual level for %s.", e.subject, e.size, lasting(e.Len()))
		}, dataChecks, dataCautions)
	flowMissing = newKind("flow-missing", finding.Data, finding.Notice, unsized,
		words("%s delivered no readings %s while other tags went on: dose, contact time and loads of that time are not known."),
		func(_ *work, e *event, _ string) string {
			return fmt.Sprintf("%s: without a reading for %s.", e.subject, lasting(e.Len()))
		}, lists("Read the meter at the transmitter and hold it against the archive; export the stretch again.",
			"Look for another record of the same flow: a totaliser, a weir level, the influent meter."), dataCautions)
)
