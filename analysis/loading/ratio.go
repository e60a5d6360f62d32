package loading

import "math"

// ratio divides, and is NaN instead of infinite where the divisor is zero: what
// cannot be determined is not a number.
func ratio(a, b float64) float64 {
	if b == 0 {
		return math.NaN()
	}
	return a / b
}

// Removal is the percentage taken out between two points: mg/L or loads, of the
// same unit. It is negative where more leaves than came in, and NaN where
// nothing came in.
//
// Source: operator formula sheets, (in - out)/in x 100; verified.
func Removal(in, out float64) float64 { return 100 * ratio(in-out, in) }
