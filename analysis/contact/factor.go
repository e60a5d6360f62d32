package contact

import "fmt"

// TimeKind is the point of the residence-time distribution that a contact time
// stands for.
type TimeKind string

// Kinds of contact time.
const (
	T10   TimeKind = "T10"   // 10 % of the water has left: drinking-water rules
	Modal TimeKind = "modal" // the time at which most water leaves: reuse rule
	Mean  TimeKind = "mean"  // the mean of the distribution
)

// Factor is the share of the basin's volume over flow that counts as contact
// time, with where it comes from.
type Factor struct {
	Value  float64  // contact time / (volume / flow); above 0
	Kind   TimeKind // what the contact time stands for
	Source string   // shown in the report: "baffling factor 0.7 (stated)"
	// FlowMGD is the flow at which a tracer test found it; 0 when not from a test.
	FlowMGD float64
	Notes   []string // what the test leaves in doubt
}

// Check refuses a factor that cannot be one.
func (f Factor) Check() error {
	if !(f.Value > 0 && f.Value <= 2) {
		return fmt.Errorf("contact time factor %g; it is a share of volume / flow, above 0 and normally at most 1", f.Value)
	}
	return nil
}

// BafflingFactor is T10 as a stated share of volume / flow (0 to 1).
func BafflingFactor(v float64) Factor {
	return Factor{Value: v, Kind: T10, Source: fmt.Sprintf("baffling factor %g (stated)", v)}
}

// ModalFactor is the modal time as a stated share of volume / flow.
func ModalFactor(v float64) Factor {
	return Factor{Value: v, Kind: Modal, Source: fmt.Sprintf("modal time factor %g (stated)", v)}
}

// Baffling is one row of the published table of baffling conditions.
type Baffling struct {
	Condition string
	Factor    float64 // T10 / (volume / flow)
	Extent    string
}

// BafflingTable is the table of EPA's Surface Water Treatment Rule guidance
// manual (1991), seen in a university reactor laboratory manual that cites it
// (verified).
func BafflingTable() []Baffling {
	return []Baffling{
		{"unbaffled", 0.1, "no baffles; agitated; low length to width; high inlet and outlet velocity"},
		{"poor", 0.3, "single or several unbaffled inlets and outlets; nothing inside"},
		{"average", 0.5, "inlet or outlet baffled; some baffles inside"},
		{"superior", 0.7, "perforated inlet baffle; serpentine or perforated baffles inside; outlet weir or perforated launders"},
		{"perfect", 1.0, "very high length to width (pipeline); perforated inlet, outlet and inside baffles"},
	}
}

// ContactTimeMin is the contact time (min) of a basin of volumeGal (gal) at
// flowMGD (MGD): factor x volume / flow. Infinite at no flow; NaN for a
// negative flow. Source: definition of T10, EPA guidance (verified).
func ContactTimeMin(volumeGal, flowMGD, factor float64) float64 {
	if !(flowMGD >= 0) {
		return nan
	}
	return factor * volumeGal / (flowMGD * GallonsPerMinutePerMGD)
}
