// Package health finds what a signal says about itself, without asking another:
// that it stands still (still.go), flickers (noise.go), runs against the end of its
// span (clip.go), stopped answering (response.go), was out for service (service.go),
// or is in another unit (leap.go); and what several say together: their link
// stopped (link.go), was silent (silence.go), or wrote a block twice (repeat.go). Examine asks all of it.
package health

// Kind is what is wrong with a signal.
type Kind string

// Kinds.
const (
	Frozen        Kind = "frozen"        // stands still
	Dither        Kind = "dither"        // moves by far less than its own usual
	Noise         Kind = "noise"         // flickers far more than its own usual
	Clip          Kind = "clip"          // many readings share the end value and none passes it
	OffScale      Kind = "off-scale"     // stands at the top of its stated span: it means at least that; no fault
	ResponseLost  Kind = "response-lost" // hardly answers, though it is not still
	Missing       Kind = "missing"       // no readings, though other tags go on
	Service       Kind = "service"       // out for cleaning or calibration; no fault
	UnitMixUp     Kind = "unit-mix-up"   // in another unit or scale
	LinkFrozen    Kind = "link-frozen"   // all stopped together
	LinkBlank     Kind = "link-blank"    // nearly none delivered
	RepeatedBlock Kind = "repeated-block"
)
