package orp

import (
	"fmt"
	"math"
	"time"

	"weirbook/analysis/finding"
)

// put turns an event into a finding in words.
func (w *work) put(e *event) finding.Finding {
	f := finding.Finding{
		Start: w.in.Grid.Milli(e.from), End: w.in.Grid.Milli(min(e.to, w.in.Grid.N)),
		Kind: e.kind, AtFault: e.party, Subject: e.subject,
		Severity: severityOf(e), Confidence: w.confidence(e),
	}
	f.Summary = w.summary(e)
	f.Evidence = w.evidence(e)
	f.CheckNext = w.checks(e)
	f.Cautions = cautions(e)
	if e.ep != nil {
		f.Votes = w.votes(e.ep)
	} else {
		f.Votes = []finding.Vote{{Witness: "its own signal", For: e.party, Weight: e.ratio, Says: f.Evidence[0]}}
	}
	return f
}

func severityOf(e *event) finding.Severity {
	switch e.kind {
	case "feed-lost", "bisulfite-lost", "chlorine-at-outfall", "demand-rise", "ammonia-breakthrough":
		if e.party == finding.Process || e.kind == "chlorine-at-outfall" {
			return finding.Critical
		}
	}
	if e.party == finding.Data {
		return finding.Notice
	}
	return finding.Warning
}

// clock writes a minute on the plant's clock.
func (w *work) clock(minute int) string {
	loc := w.in.Loc
	if loc == nil {
		loc = time.UTC
	}
	return w.in.Grid.Time(minute).In(loc).Format("2 Jan 15:04")
}

// span in words: minutes, hours or days.
func lasting(minutes int) string {
	switch {
	case minutes < 100:
		return fmt.Sprintf("%d min", minutes)
	case minutes < 72*60:
		return fmt.Sprintf("%.1f h", float64(minutes)/60)
	}
	return fmt.Sprintf("%.1f days", float64(minutes)/1440)
}

// change in percent of a log10 ratio.
func percent(log10 float64) float64 { return 100 * (math.Pow(10, log10) - 1) }

func aboveBelow(x float64) string {
	if x < 0 {
		return "below"
	}
	return "above"
}

func highLow(x float64) string {
	if x < 0 {
		return "low"
	}
	return "high"
}

// summary is one sentence that can be read out on the radio.
func (w *work) summary(e *event) string {
	since := fmt.Sprintf("since %s", w.clock(e.from))
	if e.to < w.in.Grid.N-60 {
		since = fmt.Sprintf("from %s to %s (%s)", w.clock(e.from), w.clock(e.to), lasting(e.len()))
	}
	tag := e.subject
	size := math.Abs(e.size)
	switch e.kind {
	case "orp-drift":
		return fmt.Sprintf("ORP probe %s drifted to %.0f mV %s what the chlorine says, %s; go by the residual and check the probe for fouling.", tag, size, aboveBelow(e.size), since)
	case "orp-offset":
		return fmt.Sprintf("ORP probe %s reads %.0f mV too %s %s; go by the residual.", tag, size, highLow(e.size), since)
	case "orp-calibration-step":
		return fmt.Sprintf("ORP probe %s reads %.0f mV too %s since it was serviced, %s; repeat the calibration.", tag, size, highLow(e.size), since)
	case "orp-frozen", "residual-frozen", "flow-frozen":
		return fmt.Sprintf("%s stands still %s; its reading is not the water's.", tag, since)
	case "orp-noise", "residual-noise":
		return fmt.Sprintf("%s is noisy %s, %.0f times its usual; do not act on single readings.", tag, since, e.size)
	case "orp-response-lost":
		return fmt.Sprintf("ORP probe %s hardly responds any more %s; it looks steady because it is slow.", tag, since)
	case "orp-clip", "residual-clip", "flow-clip":
		return fmt.Sprintf("%s runs against the end of its span at %.4g %s; the true value lies beyond it.", tag, e.size, since)
	case "residual-sample-lost":
		return fmt.Sprintf("Residual analyser %s reads %.0f %% low %s, as when it loses its sample; do not raise the feed on its word.", tag, -percent(e.size), since)
	case "residual-drift":
		return fmt.Sprintf("Residual analyser %s drifted to %.0f %% %s the truth %s; take a DPD grab before trusting it.", tag, math.Abs(percent(e.size)), aboveBelow(e.size), since)
	case "residual-offset":
		return fmt.Sprintf("Residual analyser %s reads %.0f %% too %s %s; take a DPD grab before trusting it.", tag, math.Abs(percent(e.size)), highLow(e.size), since)
	case "flow-drift", "flow-offset":
		return fmt.Sprintf("Flow meter %s reads %.0f %% too %s against the influent %s; dose, contact time and loads from it are wrong by as much.", tag, 100*math.Abs(math.Exp(e.size)-1), highLow(e.size), since)
	case "ammonia-breakthrough":
		return fmt.Sprintf("Ammonia binds the chlorine %s: ORP fell further than the residual explains, the instruments agree with each other, and what is left of the residual disinfects less than it looks.", since)
	case "demand-rise":
		return fmt.Sprintf("The water takes up %.1f mg/L more chlorine than usual %s, or that much less is reaching it; both instruments agree.", size, since)
	case "feed-lost":
		return fmt.Sprintf("Chlorine feed %s stopped %s.", tag, since)
	case "storm":
		return fmt.Sprintf("High flow %s, up to %.1f times the mean above its usual; contact time is short.", since, size-1)
	case "bisulfite-lost":
		return fmt.Sprintf("Bisulfite feed %s stopped %s; chlorine may be reaching the outfall.", tag, since)
	case "bisulfite-surplus":
		return fmt.Sprintf("Bisulfite feed %s runs at %.1f times what the chlorine needs %s.", tag, size, since)
	case "chlorine-at-outfall":
		if e.party == finding.ResidualAnalyser {
			return fmt.Sprintf("Outfall analyser %s shows %.2f mg/L %s, but the ORP beside it did not rise: check the analyser first.", tag, size, since)
		}
		return fmt.Sprintf("Chlorine at the outfall %s, up to %.2f mg/L on %s.", since, size, tag)
	case "link-frozen":
		return fmt.Sprintf("All tags stopped moving together %s: the data link, not the plant.", since)
	case "link-blank":
		return fmt.Sprintf("No tag delivered readings %s.", since)
	case "repeated-block":
		return fmt.Sprintf("The readings %s repeat those of %s before, digit for digit: a block was written twice.", since, lasting(int(e.size)))
	case "clock-shift":
		return fmt.Sprintf("The clocks of two systems disagree by about %.0f min %s: feeds and readings no longer move together.", size, since)
	case "unit-mix-up":
		return fmt.Sprintf("%s reads %.3g times its usual %s: a unit or scale was mixed up on the way.", tag, e.size, since)
	}
	return fmt.Sprintf("%s: %s %s.", tag, e.kind, since)
}

// evidence tells with numbers why.
func (w *work) evidence(e *event) []string {
	var out []string
	if e.ep != nil {
		for _, v := range w.votes(e.ep) {
			if v.Weight > 0 || len(out) < 2 {
				out = append(out, v.Witness+": "+v.Says)
			}
			if len(out) == 5 {
				break
			}
		}
		out = append(out, fmt.Sprintf("In log likelihood this explanation stands %.0f above \"all is well\" and %.0f above the next best of another party, %s.", e.ratio, e.ep.margin, w.rivalName(e.ep)))
	} else {
		out = append(out, w.ownSignal(e))
	}
	if e.hits > 1 {
		out = append(out, fmt.Sprintf("Told as one event: %d alarms with short silences between.", e.hits))
	}
	out = append(out, e.extra...)
	out = append(out, fmt.Sprintf("Going by the readings so far, the alarm would have come at %s, %s after the start found in hindsight.", w.clock(e.alarm), lasting(max(0, e.alarm-e.from))))
	return out
}

func (w *work) rivalName(e *episode) string {
	for _, r := range e.rivals {
		if r.h.party != e.h.party {
			return r.h.subject
		}
	}
	return "none"
}

// ownSignal tells what a signal says about itself.
func (w *work) ownSignal(e *event) string {
	switch e.kind {
	case "orp-frozen", "residual-frozen", "flow-frozen":
		return fmt.Sprintf("%s: movement below %.0f %% of what is usual for it, for %s.", e.subject, 100*w.s.FrozenShare, lasting(e.len()))
	case "orp-noise", "residual-noise":
		return fmt.Sprintf("%s: minute-to-minute changes up to %.1f times the usual, for %s, without the moves adding up to anything.", e.subject, e.size, lasting(e.len()))
	case "orp-response-lost":
		return fmt.Sprintf("%s: its quarter-hour moves over %d h fell below %.0f %% of the usual, though it is not frozen.", e.subject, w.s.ResponseHours, 100*w.s.ResponseShare)
	case "orp-clip", "residual-clip", "flow-clip":
		return fmt.Sprintf("%s: many readings share the value %.4g and none passes it.", e.subject, e.size)
	case "feed-lost", "bisulfite-lost":
		return fmt.Sprintf("%s: the feed's own signal is below %.0f %% of its usual %.3g for %s.", e.subject, 100*w.s.FeedShare, e.size, lasting(e.len()))
	case "storm":
		return fmt.Sprintf("%s: flow above the usual of the hours around by more than %.0f %% of the mean.", e.subject, 100*(w.s.StormRatio-1))
	case "bisulfite-surplus":
		return fmt.Sprintf("%s: sulfite per chlorine %.1f times its usual.", e.subject, e.size)
	case "chlorine-at-outfall":
		return fmt.Sprintf("%s: above its usual and above %.2f mg/L for %s.", e.subject, w.s.FinalMgL, lasting(e.len()))
	case "link-frozen":
		return fmt.Sprintf("At least %d tags hold their last digit for %s together.", w.s.LinkTags, lasting(e.len()))
	case "link-blank":
		return fmt.Sprintf("Nine tags of ten or more are without readings for %s.", lasting(e.len()))
	case "repeated-block":
		return fmt.Sprintf("Every tag equals its own reading of %s before, for %s.", lasting(int(e.size)), lasting(e.len()))
	case "clock-shift":
		return fmt.Sprintf("Sulfite feed and residual, which move together within minutes, do so %.0f min apart for %s.", math.Abs(e.size), lasting(e.len()))
	case "unit-mix-up":
		return fmt.Sprintf("%s: %.4g times its usual level for %s.", e.subject, e.size, lasting(e.len()))
	}
	return fmt.Sprintf("%s: %s.", e.subject, e.kind)
}
