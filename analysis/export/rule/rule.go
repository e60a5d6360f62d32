// Package rule holds what a plant says about its exports: tags.csv and [[source]]
// of plant.toml. What a rule leaves empty, the reader guesses.
package rule

import (
	"math"
	"time"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// TagRule is what tags.csv says about a tag.
type TagRule struct {
	Kind    quantity.Kind
	Unit    quantity.Unit // of the exported values
	HasUnit bool          // false: the export's own unit, or else the working unit
	Low     float64       // stated span, working unit; NaN: none
	High    float64
	Reading series.Reading
	Line    int // in tags.csv
}

// Working is the unit that the tag's values are kept in.
func (r TagRule) Working() (quantity.Unit, error) {
	info, _ := quantity.Of(r.Kind)
	if !r.HasUnit {
		return info.Working, nil
	}
	return quantity.Accept(r.Kind, r.Unit)
}

// SourceRule overrides what the reader would guess for the files of one control
// system. Empty fields leave the guess.
type SourceRule struct {
	Name          string
	Files         []string       // patterns against the file's name or its last part, * and ? as wildcards
	Zone          *time.Location // clock of its times
	ClockOffset   time.Duration  // added to its times
	DateOrder     string         // "ymd", "dmy" or "mdy"
	Decimal       string         // "." or ","
	Encoding      string         // "utf-8", "utf-16le", "utf-16be", "windows-1252", "shift-jis"
	Layout        string         // "long" or "wide"
	Tag           string         // of files that hold one tag
	TimeColumn    string         // heading
	ValueTimes    string         // "left" or "right": where a value's own time stands beside it
	Midnight      string         // "start" or "end": what 00:00 is of the date beside it
	FillNumbers   []float64      // besides the usual ones; empty: none at all; nil: those of Options, and what stands alone
	TagColumn     string
	TagColumns    []string // two headings whose words together name a tag: the place, then what was measured
	ValueColumn   string
	QualityColumn string // heading; NoQuality: no column is one
	QualityCodes  string // "opc-da", "opc-ua", "zero-good", "one-good"

	// What whole quality cells mean; capitals do not matter.
	GoodWords, UncertainWords, BadWords []string
}

// NoQuality as SourceRule.QualityColumn says that no column is a quality.
const NoQuality = "none"

// DefaultFillNumbers are numbers that loggers and control systems write when
// they have no value. Common practice, no source. A number is flagged only
// when it is met exactly, and not when the tag's stated span holds it.
func DefaultFillNumbers() []float64 {
	return []float64{-9999, -999, -99999, -999999, -999.25, -9999.9, -999.9, -99.99, -7999, 7999, -6999, 6999,
		9999, 99999, 999999, 9999999, -32768, 32767, 65535, -2147483648, 2147483647,
		math.MaxFloat32, -math.MaxFloat32, 1e30, -1e30, 1e35}
}

// StateWords says what a plant's own words in state tags mean, beyond those that
// the reader knows; they count above these. Upper and lower case are one.
type StateWords struct {
	On, Off []string
	Bad     []string // the signal was lost
}

// AllowsWords says that words are what the tag's values may be.
func (r TagRule) AllowsWords() bool {
	return r.Reading == series.State || r.Kind == quantity.RunStatus
}
