// Package series holds one tag's readings as columns, and the flags that
// screening puts beside them.
//
// A flag never changes a value. What a reading was when it was read stays
// there; the flags say why later steps use it, use it with care, or leave it.
package series

import (
	"fmt"
	"math"
	"sort"
)

// Flag is a set of remarks on one reading.
type Flag uint16

// Remarks on a reading. Those in Unusable keep a value out of every mean, load
// and CT; the others are shown and counted, and the value is used.
const (
	Bad         Flag = 1 << iota // the export's own quality says bad
	Uncertain                    // the export's own quality says uncertain
	OutsideSpan                  // outside the span stated for the tag
	Frozen                       // part of a stretch without any change, longer than the tag's usual
	Spike                        // far from its neighbours, and back again
	SuspectFill                  // a number that loggers write for "no value" (-9999, 7999 …)
	UnitDoubt                    // the level fits another unit better than the declared one
	LessThan                     // a result below the stated value ("<10")
	GreaterThan                  // a result above the stated value (">2420")
	Condensed                    // several readings of one minute, kept as their time-weighted mean
	Late                         // stood out of time order in its file and was sorted in
	Invalid                      // judged not to follow the process: service dip, calibration, faulty instrument
)

// Unusable is the set of flags that keep a reading out of every derived number.
const Unusable = Bad | OutsideSpan | SuspectFill | UnitDoubt | Invalid | Spike

// flagNames in the order of the bits; the words of readings.csv and the report.
var flagNames = []string{
	"bad quality", "uncertain quality", "outside span", "frozen", "spike",
	"suspected fill number", "unit in doubt", "less-than result",
	"greater-than result", "condensed to a minute", "out of order", "not following the process",
}

// Names lists the remarks in f in a fixed order.
func (f Flag) Names() []string {
	var out []string
	for i, n := range flagNames {
		if f&(1<<i) != 0 {
			out = append(out, n)
		}
	}
	return out
}

// Reading says how a tag's values came about, and so what holds between them.
type Reading uint8

// Kinds of reading, the words of tags.csv column "reading".
const (
	Continuous Reading = iota // sampled signal: straight line between readings
	OnChange                  // written when it changes: holds until the next reading
	Grab                      // one sample at one time: holds nowhere else
	Composite                 // one result for a sampling period (normally 24 h)
	State                     // on/off or a mode: holds until the next reading
	Counter                   // running total with rollover and reset
)

var readingNames = []string{"continuous", "on-change", "grab", "composite", "state", "counter"}

// String gives the word used in tags.csv.
func (r Reading) String() string {
	if int(r) < len(readingNames) {
		return readingNames[r]
	}
	return fmt.Sprintf("reading(%d)", uint8(r))
}

// ParseReading reads the word of tags.csv.
func ParseReading(s string) (Reading, bool) {
	for i, n := range readingNames {
		if n == s {
			return Reading(i), true
		}
	}
	return 0, false
}

// ReadingNames lists the words that tags.csv accepts.
func ReadingNames() []string { return append([]string(nil), readingNames...) }

// Series is one tag's readings, in time order, as columns of equal length.
//
// T is Unix time in milliseconds, UTC, strictly increasing. V is in the
// working unit of the tag's kind (see package quantity); NaN where the row
// carried a quality but no number. F holds the remarks.
type Series struct {
	Tag string
	T   []int64
	V   []float64
	F   []Flag
}

// Len is the number of readings.
func (s *Series) Len() int { return len(s.T) }

// Usable reports whether reading i is a number that derived figures may use.
func (s *Series) Usable(i int) bool {
	return s.F[i]&Unusable == 0 && !math.IsNaN(s.V[i])
}

// Find gives the index of the first reading at or after t (milliseconds).
func (s *Series) Find(t int64) int {
	return sort.Search(len(s.T), func(i int) bool { return s.T[i] >= t })
}

// Between gives the index range [lo, hi) of readings with start <= T < end.
func (s *Series) Between(start, end int64) (lo, hi int) { return s.Find(start), s.Find(end) }

// Append adds a reading. The caller keeps time order.
func (s *Series) Append(t int64, v float64, f Flag) {
	s.T = append(s.T, t)
	s.V = append(s.V, v)
	s.F = append(s.F, f)
}

// Check reports the first place where the columns break their promise: equal
// lengths, strictly increasing time.
func (s *Series) Check() error {
	if len(s.T) != len(s.V) || len(s.T) != len(s.F) {
		return fmt.Errorf("tag %s: columns of unequal length: %d times, %d values, %d flags", s.Tag, len(s.T), len(s.V), len(s.F))
	}
	for i := 1; i < len(s.T); i++ {
		if s.T[i] <= s.T[i-1] {
			return fmt.Errorf("tag %s: reading %d is not later than the one before it", s.Tag, i)
		}
	}
	return nil
}

// Stretch is a span of time, [Start, End), in Unix milliseconds.
type Stretch struct{ Start, End int64 }
