package contact

// Reason says why a minute or an hour has no value; Known when it has one.
type Reason uint8

// Reasons, in the order in which they are looked for.
const (
	Known           Reason = iota
	OutOfService           // the basin is out of service
	ServiceDoubt           // whether the basin is in service is not known
	FlowUnknown            // no usable flow reading in this minute
	VolumeUnknown          // no usable level reading in this minute
	FlowGap                // the look-back meets a gap in the flow
	VolumeGap              // the look-back meets a gap in the level
	ServiceChange          // the look-back meets a time out of service
	BeforeData             // the look-back reaches before the first reading
	ResidualUnknown        // no usable residual reading
	Idle                   // no water left the basin
	LowCoverage            // too little of the hour is known
	InputUnknown           // another input (pH, temperature, dose) is not known
	OutsideTable           // an input lies outside the published table
	StoodStill             // the reading behind it did not move: no proof
	OffScale               // an instrument stood at the end of its scale, and the bound does not tell
)

var reasonText = [...]string{
	"", "basin out of service", "service state unknown", "flow unknown",
	"basin volume unknown", "gap of flow inside the look-back",
	"gap of level inside the look-back", "basin out of service inside the look-back",
	"the water leaving came in before the data", "residual unknown",
	"no water left the basin", "too little of the hour is known",
	"pH, temperature or dose unknown", "outside the published table",
	"the reading behind it stood still",
	"an instrument stood at the end of its scale",
}

// String gives the words used in reports; empty for Known.
func (r Reason) String() string {
	if int(r) < len(reasonText) {
		return reasonText[r]
	}
	return "unknown reason"
}
