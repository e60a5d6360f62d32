package robust

import "math"

// CUSUM is a one-sided cumulative sum of standardised values: S = max(0, S + z − K).
//
// Page (1954). With K = 0.5 and H = 5 standard deviations of independent normal
// values it runs 931 values between false alarms, one-sided (465 two-sided), and
// meets a one-sigma shift after 10.4 values on average.
type CUSUM struct {
	K, H  float64
	S     float64
	Since int // place at which the running sum last left zero
	n     int
}

// Step takes the next value and says whether the sum is above H. A NaN leaves the
// sum as it is.
func (c *CUSUM) Step(z float64) bool {
	c.n++
	if math.IsNaN(z) {
		return c.S > c.H
	}
	if c.S == 0 {
		c.Since = c.n - 1
	}
	c.S = math.Max(0, c.S+z-c.K)
	return c.S > c.H
}
