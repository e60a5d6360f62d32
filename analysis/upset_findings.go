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
		r.Findings = append(r.Findings, upsetFinding(u.Input, u.Explanation, u.Basin))
	}
}

// upsetFinding puts an episode among the findings.
func upsetFinding(in upset.Input, x upset.Explanation, basin string) finding.Finding {
	m := x.Episode.Main()
	f := finding.Finding{Start: x.Episode.Start, End: x.Episode.End, Kind: string(m.What), AtFault: finding.Process, Subject: basin,
		Severity: finding.Critical, Confidence: 0.9, Evidence: append([]string(nil), upset.Headline(&in, &x)...)}
	f.Summary = upset.Short(&in, &x)
	if m.What == upset.ResidualHigh {
		f.Severity = finding.Warning
	}
	if m.Trust.Doubtful > 0.5 {
		// As measured it is short; the instrument that says so is not believed.
		f.Confidence, f.Severity = 0.4, finding.Warning
		for _, d := range in.Doubts {
			if len(m.Trust.Tags) > 0 && d.Tag == m.Trust.Tags[0] && d.Start < f.End && d.End > f.Start {
				f.AtFault = d.Party
			}
		}
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
