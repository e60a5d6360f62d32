package analysis

import (
	"strings"

	"weirbook/analysis/finding"
	"weirbook/analysis/upset"
)

// addUpsetFindings puts each explained episode among the findings.
func (r *Result) addUpsetFindings() {
	for i := range r.Upsets {
		u := &r.Upsets[i]
		r.Findings = append(r.Findings, upsetFinding(u.Input, u.Explanation, u.Subject))
	}
}

// What an episode's finding is believed from. Common practice, no source.
const (
	shortAsMeasured = 0.95 // instruments without doubt show that something asked was not met
	shortBySample   = 0.97 // a laboratory result says so too
	perhapsOnly     = 0.6  // the account says that it may be an instrument only
	sureDoubt       = 0.8  // a doubt from this confidence on is believed before the shortfall
)

// upsetFinding puts an episode among the findings. The process is held at fault,
// unless what was short rests for most of the time on an instrument that is
// surely in doubt, and no laboratory result speaks for the shortfall: then the
// instrument is.
func upsetFinding(in upset.Input, x upset.Explanation, subject string) finding.Finding {
	m := x.Episode.Main()
	f := finding.Finding{Start: x.Episode.Start, End: x.Episode.End, Kind: string(m.What), AtFault: finding.Process, Subject: subject,
		Severity: finding.Critical, Confidence: shortAsMeasured, Evidence: append([]string(nil), upset.Headline(&in, &x)...)}
	f.Summary = upset.Short(&in, &x)
	if m.What == upset.ResidualHigh {
		f.Severity = finding.Warning
	}
	sampled := len(x.Episode.Of(upset.EColiHigh)) > 0
	doubt, party := strongestDoubt(in, m.Trust.Tags, f.Start, f.End)
	switch {
	case sampled:
		f.Confidence = shortBySample
	case doubt >= sureDoubt && m.Trust.Doubtful > 0.5:
		f.AtFault, f.Severity, f.Confidence = party, finding.Warning, doubt*m.Trust.Doubtful
	default:
		f.Confidence *= 1 - doubt*m.Trust.Doubtful
	}
	if x.Cause.Kind == upset.InstrumentOnly && !sampled {
		f.Confidence = min(f.Confidence, perhapsOnly)
	}
	for _, mv := range x.Moves {
		f.Evidence = append(f.Evidence, upset.MoveLine(&in, &x, mv))
	}
	f.Evidence = append(f.Evidence, x.Cause.Says)
	f.CheckNext = []string{
		"Take a DPD grab of total and free chlorine beside the analyser and compare.",
		"Follow the likely cause in the field: " + strings.TrimRight(x.Cause.Says, ".") + ".",
	}
	f.Cautions = []string{"Protective equipment for hypochlorite and for samples; lock out and tag out a feed pump before opening it. Changes of dose are for a licensed operator, by the plant's procedures."}
	return f
}

// strongestDoubt is the surest doubt on one of the tags in a stretch, and whom it
// holds at fault; 0 for none.
func strongestDoubt(in upset.Input, tags []string, start, end int64) (confidence float64, party finding.Party) {
	for _, d := range in.Doubts {
		for _, t := range tags {
			if d.Tag == t && d.Start < end && d.End > start && d.Confidence > confidence {
				confidence, party = d.Confidence, d.Party
			}
		}
	}
	return confidence, party
}
