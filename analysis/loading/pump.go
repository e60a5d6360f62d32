package loading

import (
	"fmt"
	"math"
	"sort"
)

// Calibration is a pump's draw-down test: output at several settings, straight
// lines between, and through zero below the first point.
type Calibration struct {
	Percent []float64 // setting, ascending
	Output  []float64 // gal/h (or lb/d for a gas feeder) at that setting
}

// FullStroke is the calibration of a pump known by its output at 100 percent
// only: output in proportion to the setting.
func FullStroke(output float64) Calibration {
	return Calibration{Percent: []float64{100}, Output: []float64{output}}
}

// Check says what is wrong with a calibration.
func (c Calibration) Check() error {
	if len(c.Percent) == 0 || len(c.Percent) != len(c.Output) {
		return fmt.Errorf("a pump calibration needs as many outputs as settings, and at least one; it has %d settings and %d outputs", len(c.Percent), len(c.Output))
	}
	for i, p := range c.Percent {
		if !(p > 0) || i > 0 && p <= c.Percent[i-1] {
			return fmt.Errorf("a pump calibration's settings must be above zero and rise; setting %d is %v", i+1, p)
		}
		if !(c.Output[i] >= 0) {
			return fmt.Errorf("a pump calibration's outputs must not be negative; output %d is %v", i+1, c.Output[i])
		}
	}
	return nil
}

// At is the output at a setting in percent. A setting of zero or below gives
// zero. Beyond the last point the last line is carried on up to one fifth over;
// further out the output is not known.
func (c Calibration) At(percent float64) float64 {
	n := len(c.Percent)
	switch {
	case n == 0 || math.IsNaN(percent) || percent > 1.2*c.Percent[n-1]:
		return math.NaN()
	case percent <= 0:
		return 0
	}
	i := sort.SearchFloat64s(c.Percent, percent)
	x0, y0 := 0.0, 0.0
	if i == n {
		i = n - 1
	}
	if i > 0 {
		x0, y0 = c.Percent[i-1], c.Output[i-1]
	}
	return y0 + (c.Output[i]-y0)*(percent-x0)/(c.Percent[i]-x0)
}

// StrokeAndSpeed is the setting in percent of a pump run by both: the product.
func StrokeAndSpeed(strokePercent, speedPercent float64) float64 {
	return strokePercent * speedPercent / 100
}
