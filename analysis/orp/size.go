package orp

import (
	"math"

	"weirbook/analysis/finding"
)

// How the number that an event measures becomes the signed size of its finding.
var (
	unsized         = func(float64) finding.Size { return finding.Size{} }
	stopped         = func(float64) finding.Size { return finding.Size{Value: -100, Unit: "%"} }
	natural         = func(x float64) finding.Size { return finding.Size{Value: 100 * (math.Exp(x) - 1), Unit: "%"} } // of ln(reading/truth)
	decades         = func(x float64) finding.Size { return finding.Size{Value: percent(x), Unit: "%"} }              // of log10(reading/truth)
	factor          = func(x float64) finding.Size { return finding.Size{Value: 100 * (math.Abs(x) - 1), Unit: "%"} } // of reading/normal
	millivolts      = func(x float64) finding.Size { return finding.Size{Value: x, Unit: "mV"} }
	millivoltsShort = func(x float64) finding.Size { return finding.Size{Value: -math.Abs(x), Unit: "mV"} }
	milligramsMore  = func(x float64) finding.Size { return finding.Size{Value: math.Abs(x), Unit: "mg/L"} }
	milligramsLess  = func(x float64) finding.Size { return finding.Size{Value: -math.Abs(x), Unit: "mg/L"} }
	minutes         = func(x float64) finding.Size { return finding.Size{Value: x, Unit: "min"} }
)
