package screen

import (
	"fmt"
	"sort"
	"strings"
	"time"
)

// Settings holds every threshold of screening. The defaults are common
// practice without a source, except where a comment names one; each can be set
// in the plant description under the name beside it (see Settings.With).
type Settings struct {
	// Clock is the plant's time zone, for the times in messages. Not a threshold.
	Clock *time.Location

	FrozenFor    time.Duration // frozen_minutes: shortest stretch called frozen
	FrozenTimes  float64       // frozen_times: so many times the tag's usual longest (99th percentile) unchanged run
	FrozenGap    float64       // frozen_gap: and so many times the tag's next longest run that is not called frozen
	FrozenShare  float64       // frozen_share: local RMS of change below this share of the usual for that hour of day
	FrozenSteady float64       // frozen_steady: the RMS test applies only if nine tenths of the record stay above this share of usual
	FrozenChange float64       // frozen_changes: on-change tags: changes that silence must have swallowed
	MinRuns      int           // frozen_min_runs: fewer changes than this in the record: cannot be judged
	FrozenWhole  time.Duration // frozen_whole_hours: a record that never changes is frozen if it is longer; temperature in whole degrees: 4 times
	WholeRows    int           // frozen_whole_readings: and has more readings
	LinkTags     int           // link_tags: so many tags still together: the data link, not the probes
	LinkSlack    time.Duration // link_minutes: how far their starts and ends may lie apart

	SpikeWidth    int     // spike_neighbours: on each side (Hampel's usual: three)
	SpikeSigma    float64 // spike_sigma: distance from the median of the window, in robust standard deviations
	SpikeSpan     float64 // spike_span: nothing smaller than this share of the tag's usual range is a spike
	SpikeReadings int     // spike_readings: longest run of readings that is a spike, not an event
	SpikeMaxShare float64 // spike_max_share: more than this share is the tag's way; then none is flagged

	CounterTimes float64 // counter_times: a running total's step of more than so many usual ones is no flow

	GapMin      time.Duration // gap_minutes: shortest gap listed for continuous tags
	GapSpacings float64       // gap_spacings: and at least so many of the tag's own spacings
	GapOnChange time.Duration // gap_on_change_hours: silence listed for on-change tags

	UnitShare   float64       // unit_share: share of readings that must fit the other unit
	UnitFactor  float64       // unit_factor: how close to a known factor (as a ratio) a level must come
	UnitStretch time.Duration // unit_minutes: shortest stretch in another unit
}

// DefaultSettings are the thresholds used when the plant description states none.
func DefaultSettings() Settings {
	return Settings{
		Clock:         time.UTC,
		FrozenFor:     40 * time.Minute,
		FrozenTimes:   4,
		FrozenGap:     2.5,
		FrozenShare:   0.20,
		FrozenSteady:  0.40,
		FrozenChange:  15,
		MinRuns:       50,
		FrozenWhole:   48 * time.Hour,
		WholeRows:     500,
		LinkTags:      3,
		LinkSlack:     10 * time.Minute,
		SpikeWidth:    3,
		SpikeSigma:    8,
		SpikeSpan:     0.05,
		SpikeReadings: 2,
		SpikeMaxShare: 0.005,

		CounterTimes: 10,
		GapMin:       5 * time.Minute,
		GapSpacings:  3,
		GapOnChange:  4 * time.Hour,
		UnitShare:    0.9,
		UnitFactor:   2,
		UnitStretch:  30 * time.Minute,
	}
}

// knob is a threshold that the plant description may set.
type knob struct {
	set   func(float64)
	usual float64
}

// knobs binds the names of the plant description to the fields.
func (s *Settings) knobs() map[string]knob {
	span := func(d *time.Duration, unit time.Duration) knob {
		return knob{func(v float64) { *d = time.Duration(v * float64(unit)) }, float64(*d) / float64(unit)}
	}
	minutes := func(d *time.Duration) knob { return span(d, time.Minute) }
	hours := func(d *time.Duration) knob { return span(d, time.Hour) }
	num := func(p *float64) knob { return knob{func(v float64) { *p = v }, *p} }
	count := func(p *int) knob { return knob{func(v float64) { *p = int(v) }, float64(*p)} }
	return map[string]knob{
		"frozen_minutes":        minutes(&s.FrozenFor),
		"frozen_times":          num(&s.FrozenTimes),
		"frozen_gap":            num(&s.FrozenGap),
		"frozen_share":          num(&s.FrozenShare),
		"frozen_steady":         num(&s.FrozenSteady),
		"frozen_changes":        num(&s.FrozenChange),
		"frozen_min_runs":       count(&s.MinRuns),
		"frozen_whole_hours":    hours(&s.FrozenWhole),
		"frozen_whole_readings": count(&s.WholeRows),
		"link_tags":             count(&s.LinkTags),
		"link_minutes":          minutes(&s.LinkSlack),
		"spike_neighbours":      count(&s.SpikeWidth),
		"spike_sigma":           num(&s.SpikeSigma),
		"spike_span":            num(&s.SpikeSpan),
		"spike_readings":        count(&s.SpikeReadings),
		"spike_max_share":       num(&s.SpikeMaxShare),
		"counter_times":         num(&s.CounterTimes),
		"gap_minutes":           minutes(&s.GapMin),
		"gap_spacings":          num(&s.GapSpacings),
		"gap_on_change_hours":   hours(&s.GapOnChange),
		"unit_share":            num(&s.UnitShare),
		"unit_factor":           num(&s.UnitFactor),
		"unit_minutes":          minutes(&s.UnitStretch),
	}
}

// outOfSense is how many times the usual value, or which part of it, a threshold
// may be set to: beyond, it is a slip.
const outOfSense = 1000

// With gives the settings with the named ones replaced. An unknown name is an error
// that lists what is known; a value far from the usual one says what is sensible.
func (s Settings) With(overrides map[string]float64) (Settings, error) {
	knobs := s.knobs()
	names := make([]string, 0, len(overrides))
	for n := range overrides {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		k, ok := knobs[n]
		if !ok {
			var known []string
			for k := range knobs {
				known = append(known, k)
			}
			sort.Strings(known)
			return s, fmt.Errorf("screen has no setting %q; it has %s", n, strings.Join(known, ", "))
		}
		v := overrides[n]
		if low, high := k.usual/outOfSense, k.usual*outOfSense; !(v >= low && v <= high) {
			return s, fmt.Errorf("screen setting %s = %g is outside %g to %g; the usual is %g", n, v, low, high, k.usual)
		}
		k.set(v)
	}
	return s, nil
}

// gapMS is the gap worth listing for a continuous tag of this spacing, in ms.
func (s Settings) gapMS(spacing int64) int64 {
	return max(s.GapMin.Milliseconds(), int64(s.GapSpacings*float64(spacing)))
}

// at writes a moment on the plant's clock.
func (s Settings) at(ms int64) string {
	loc := s.Clock
	if loc == nil {
		loc = time.UTC
	}
	return time.UnixMilli(ms).In(loc).Format("2006-01-02 15:04")
}
