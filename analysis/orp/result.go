package orp

import (
	"weirbook/analysis/finding"
	"weirbook/analysis/series"
)

// Model is what one probe is expected to read.
type Model struct {
	Tag   string
	Place Place
	// Law tells the fitted relation in words and numbers.
	Law string
	// OnFree is true when the law stands on free chlorine, false when on total.
	OnFree bool
	// Slope is mV per tenfold residual, SlopeSD its standard error.
	Slope, SlopeSD float64
	// Identified is false when the data could not tell the slope and the
	// prior held it.
	Identified bool
	Intercept  float64 // mV at 1 mg/L of effective chlorine, usual pH and temperature
	Scale      float64 // mV, robust scatter of half-hour medians about the law
	Effective  float64 // independent readings behind the fit
	LagMin     float64 // probe's lag behind the residual, minutes
	Used       int     // half-hours in the fit
	// Expected, Lo and Hi are mV per minute of the grid; NaN where the residual
	// is unknown. Lo and Hi hold about 99 % of sound half-hour medians.
	Expected, Lo, Hi []float64
	// Residual is reading minus expected, mV, five-minute medians held over
	// their minutes.
	Residual []float64
	Note     string // what the reader should know: no data, prior slope …
}

// Doubt is a stretch in which an instrument should not be believed.
type Doubt struct {
	series.Stretch
	Tag        string
	Party      finding.Party
	Kind       string
	Confidence float64
}

// Service is a short stretch in which an instrument was out for service, and five
// minutes in which it recovers.
type Service struct {
	series.Stretch
	Tag string
}

// Result is the whole judgement.
type Result struct {
	Models   []Model // in the order of Input.Probes; those after dechlorination have no law
	Findings []finding.Finding
	// Doubts lists, by tag and start, when each instrument should not be
	// believed: contact time and loads say so there.
	Doubts []Doubt
	// Services lists, by tag and start, when an instrument was out for cleaning
	// or calibration and back within the hour: no fault, but what it read then
	// was not the water.
	Services []Service
	// Alarms holds for each finding, in the same order, when a one-sided rule
	// working on the readings so far would have spoken (Unix milliseconds).
	Alarms []int64
	// Notes say what the judgement had to do without.
	Notes    []string
	Settings Settings
	// DemandMgL is dose less residual of the water leaving, usual pattern not
	// taken off; one a minute, NaN where unknown.
	DemandMgL []float64
}
