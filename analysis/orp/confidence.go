package orp

import "weirbook/analysis/finding"

// confidence is how often findings like this one were right on simulated months
// that the thresholds were set on (245 months, some 1,300 findings; months nobody tuned on
// are scored in DEVELOPERS.md). A signal's own word is nearly always right; a
// verdict between hypotheses is as good as its posterior share is high, and worse
// than it says: the hypotheses are not all there are.
func (w *work) confidence(e *event) float64 {
	c := e.kind.confidence
	if e.ep == nil {
		return c
	}
	if c == byVerdict {
		c = byShare(e.share, e.party())
	}
	if w.Turning { // free chlorine comes and goes: no law follows it well
		switch e.party() {
		case finding.ORPProbe:
			c *= 0.6
		case finding.ResidualAnalyser, finding.Process:
			c *= 0.9
		}
	}
	return c
}

// byShare turns the posterior share of the party into how often it was right.
func byShare(share float64, p finding.Party) float64 {
	step := func(low, mid, high float64) float64 {
		switch {
		case share >= 0.985:
			return high
		case share >= 0.95:
			return mid
		}
		return low
	}
	switch p {
	case finding.FlowMeter:
		return step(0.85, 0.95, 0.98)
	case finding.ORPProbe:
		return step(0.2, 0.65, 0.93)
	case finding.ResidualAnalyser:
		return step(0.38, 0.83, 0.95)
	}
	return step(0.66, 0.77, 0.78)
}
