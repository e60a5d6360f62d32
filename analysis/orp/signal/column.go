// Package signal holds what the steps of the judgement share: a tag on the minute
// grid, its five-minute medians, and spans of minutes.
package signal

import (
	"math"
	"weirbook/analysis/series"
)

// Column is one tag on the minute grid. A zero Column is a signal that the plant
// does not have.
type Column struct {
	Tag string
	V   []float64     // one a minute, NaN where unknown
	F   []series.Flag // the remarks of all readings in the minute; nil: none
	// Low and High are the stated span; Low >= High means that none is stated.
	Low, High float64
	OnChange  bool // written when it changes: long stillness is usual
	// Point marks the minutes that hold a stored reading, where V has been laid over the
	// minutes between; nil: every known minute does.
	Point []bool
	// Mixed are stretches already known to be in another unit.
	Mixed []Mixed
}

// Mixed is a stretch in another unit, and by what factor it differs.
type Mixed struct {
	Span
	Factor float64
}

// Present reports whether the plant has the signal.
func (c *Column) Present() bool { return len(c.V) > 0 }

// Usable reports whether minute i is a number that may be used.
func (c *Column) Usable(i int) bool {
	return !math.IsNaN(c.V[i]) && (c.F == nil || c.F[i]&series.Unusable == 0)
}

// Stored reports whether minute i holds a reading of its own.
func (c *Column) Stored(i int) bool { return c.Usable(i) && (c.Point == nil || c.Point[i]) }
