package align

import (
	"sort"
	"time"

	"weirbook/analysis/series"
)

// Rule says what is taken to hold between the readings of one tag.
type Rule struct {
	Reading series.Reading // how the tag is read: line, hold, or nothing between
	// MaxGap is the longest stretch that is bridged by a line, or over which a
	// value is held. Zero bridges nothing, so nothing is covered.
	MaxGap time.Duration
	// UncertainAsBad leaves readings that the export calls uncertain out, as if
	// it had called them bad (the setting TreatUncertainAsBad of OPC 10000-13).
	UncertainAsBad bool
	AtBad          AtBad // what an unusable reading does to its surroundings
}

// AtBad says what an unusable reading (bad quality, no number, outside span,
// spike …) does between two usable ones. The names in brackets are those of
// OPC 10000-13 for the same behaviour.
type AtBad uint8

const (
	// ByReading bridges for continuous tags, where one lost sample says little,
	// and stops for on-change and state tags, where it says that the value is
	// no longer known.
	ByReading AtBad = iota
	// Bridge passes over unusable readings as if they had not been written, as
	// long as the usable ones on both sides are within MaxGap ("interpolated
	// bounds").
	Bridge
	// Stop holds the last usable value up to the unusable reading and covers
	// nothing from there to the next usable one ("simple bounds").
	Stop
)

// holds says whether a value stays until the next reading.
func (r Rule) holds() bool { return r.Reading == series.OnChange || r.Reading == series.State }

// spreads says whether the tag is a signal at all: grabs and composites hold
// for their own sample only, a counter has to be differenced first.
func (r Rule) spreads() bool { return r.Reading == series.Continuous || r.holds() }

// stops says whether an unusable reading ends what is known.
func (r Rule) stops() bool {
	return r.AtBad == Stop || r.AtBad == ByReading && r.holds()
}

// mask is the set of flags that keep a reading out under this rule.
func (r Rule) mask() series.Flag {
	if r.UncertainAsBad {
		return series.Unusable | series.Uncertain
	}
	return series.Unusable
}

// Settings holds every choice of this package that is not the tag's own.
// Common practice, no source.
type Settings struct {
	MaxGapContinuous time.Duration // longest line between two readings of a continuous tag
	MaxGapOnChange   time.Duration // longest time that an on-change value is believed to hold
	MaxGapState      time.Duration // the same for on/off and mode tags, which may rest for weeks
	// Spacings lets a tag that is exported seldom (every 15 minutes, hourly)
	// be bridged over this many of its own usual spacings, at most
	// MaxGapSparse, where that is longer than MaxGapContinuous.
	Spacings     float64
	MaxGapSparse time.Duration
	// MinCover is the share of an hour or day that must be covered for its mean
	// to be stated; below it the window is not determined.
	MinCover       float64
	UncertainAsBad bool
}

// DefaultSettings are the choices made when the plant description makes none.
func DefaultSettings() Settings {
	return Settings{
		MaxGapContinuous: 15 * time.Minute,
		MaxGapOnChange:   4 * time.Hour,
		MaxGapState:      31 * 24 * time.Hour,
		Spacings:         2.5,
		MaxGapSparse:     3 * time.Hour,
		MinCover:         0.75,
	}
}

// RuleFor gives the rule for s when it is read as reading.
func (c Settings) RuleFor(s *series.Series, reading series.Reading) Rule {
	r := Rule{Reading: reading, UncertainAsBad: c.UncertainAsBad}
	switch reading {
	case series.Continuous:
		r.MaxGap = c.MaxGapContinuous
		if own := time.Duration(c.Spacings * float64(Spacing(s))); own > r.MaxGap {
			r.MaxGap = min(own, c.MaxGapSparse)
		}
	case series.OnChange:
		r.MaxGap = c.MaxGapOnChange
	case series.State:
		r.MaxGap = c.MaxGapState
	}
	return r
}

// Spacing gives the median time between neighbouring readings, zero for fewer
// than two readings. Long series are sampled evenly: the median of some
// thousand steps is the median of all for any tag with a scan rate.
func Spacing(s *series.Series) time.Duration {
	n := s.Len() - 1
	if n < 1 {
		return 0
	}
	step := n/4096 + 1
	d := make([]int64, 0, n/step+1)
	for i := 0; i < n; i += step {
		d = append(d, s.T[i+1]-s.T[i])
	}
	sort.Slice(d, func(i, j int) bool { return d[i] < d[j] })
	return time.Duration(d[len(d)/2]) * time.Millisecond
}
