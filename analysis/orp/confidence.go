package orp

import "weirbook/analysis/finding"

// confidence is how often findings like this one were right on simulated months
// that the thresholds were set on (147 months, 808 findings; months nobody tuned on
// are scored in DEVELOPERS.md). A signal's own word is nearly always right; a
// verdict between hypotheses is as good as its posterior share is high, and worse
// than it says: the hypotheses are not all there are.
func (w *work) confidence(e *event) float64 {
	if e.ep == nil {
		switch e.kind {
		case "link-frozen", "link-blank", "repeated-block", "orp-frozen":
			return 0.98
		case "unit-mix-up", "feed-lost", "bisulfite-lost", "flow-frozen", "orp-clip", "orp-noise":
			return 0.97
		case "storm", "clock-shift":
			return 0.95
		case "residual-frozen", "bisulfite-surplus":
			return 0.92
		case "orp-response-lost":
			return 0.9
		case "residual-noise", "chlorine-at-outfall":
			return 0.35
		}
		return 0.85
	}
	c := byShare(e.share, e.party)
	if w.regime != nil && e.party != finding.FlowMeter {
		c *= 0.8 // free chlorine comes and goes: no law follows it well
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
		return step(0.45, 0.7, 0.94)
	case finding.ResidualAnalyser:
		return step(0.5, 0.85, 0.93)
	}
	return step(0.62, 0.65, 0.85)
}
