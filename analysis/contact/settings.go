package contact

// Settings are the thresholds of this package; reports print them.
type Settings struct {
	// MinCoverage is the share of an hour's minutes that must be known before
	// the hour has a value (0 to 1).
	MinCoverage float64
	// ZeroFlowMGD is the flow at or below which no water is taken to move; a
	// meter's noise around zero. A flow more negative than this is a reversal,
	// which the look-back cannot follow: unknown (MGD).
	ZeroFlowMGD float64
	// PeakMinutes is the span over which flow is averaged before the hour's
	// peak is taken: 1 (the highest minute) to 60.
	PeakMinutes int
}

// DefaultSettings are common practice, no source.
func DefaultSettings() Settings {
	return Settings{MinCoverage: 0.75, ZeroFlowMGD: 0.001, PeakMinutes: 1}
}

// maxFlowMGD is beyond any plant and keeps the running volume exact to a gallon.
const maxFlowMGD = 1e6

// cleanFlow gives the flow that the look-back uses: zero for a meter's noise
// around zero, ok false for unknown, reversed or absurd flow.
func (s Settings) cleanFlow(q float64) (mgd float64, ok bool) {
	switch {
	case q > s.ZeroFlowMGD && q <= maxFlowMGD:
		return q, true
	case q >= -s.ZeroFlowMGD && q <= s.ZeroFlowMGD:
		return 0, true
	}
	return 0, false // NaN and infinities fall through both comparisons
}
