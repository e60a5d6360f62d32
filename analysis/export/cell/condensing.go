package cell

import (
	"weirbook/analysis/series"
)

// Condensing is what is kept of readings that come more often than once a minute.
type Condensing uint8

const (
	KeepLine   Condensing = iota // continuous: mean of the straight line through the readings
	KeepLevel                    // on-change: mean of the levels held
	KeepChange                   // state: every change, and the first of each minute
	KeepTotal                    // counter: first and last of each minute, both sides of a drop
	KeepAll                      // grab, composite
)

func condensingFor(r series.Reading) Condensing {
	switch r {
	case series.OnChange:
		return KeepLevel
	case series.State:
		return KeepChange
	case series.Counter:
		return KeepTotal
	case series.Grab, series.Composite:
		return KeepAll
	}
	return KeepLine
}
