package analysis

import (
	"weirbook/analysis/contact"
	"weirbook/analysis/export"
	"weirbook/analysis/finding"
	"weirbook/analysis/orp"
	"weirbook/analysis/plant"
	"weirbook/analysis/screen"
)

// Result is everything a run found, as plain data. Reports lay it out and add
// nothing to it.
type Result struct {
	*Frame
	Read   *export.Result
	Screen screen.Report

	Hourly, Daily Table
	Basins        []Basin
	Feeds         []Feed
	Judgements    []Judgement
	Findings      []finding.Finding // worst first
	Notes         []string          // what the run had to do without
	Settings      []Setting
}

// Basin is one contact basin over the period.
type Basin struct {
	plant.Basin
	ResidualTag plant.Tag // whose reading CT is reckoned with
	FlowTag     plant.Tag
	Flow        []float64 // MGD through this basin, by minute
	Residual    []float64 // mg/L at the outlet, by minute
	Track       contact.Track
	Dynamic     []contact.TrackHour  // per hour of the period
	Steady      []contact.SteadyHour // per hour of the period
	Hours       []BasinHour          // per hour of the period
	Note        string
}

// BasinHour is what an hour's disinfection comes to.
type BasinHour struct {
	State    State
	Why      string  // why it is not determined, or what was short
	Required float64 // CT, mg·min/L; NaN: none asked
	CT       float64 // least dynamic CT of the hour, mg·min/L
	Low      float64 // lower and upper end of CT within the instruments' accuracy; NaN: none stated
	High     float64
	Residual float64 // lowest of the hour, mg/L
	Contact  float64 // shortest dynamic contact time of the hour, min
	Doubt    bool    // an instrument behind it is judged at fault in this hour
	DoubtOf  string  // its tag
}

// State says how an hour stands against what is asked of it.
type State uint8

// States of an hour.
const (
	NotDetermined State = iota
	Short               // below what is asked
	ShortWithin         // below, by less than the instruments' accuracy
	MetWithin           // met, by less than the instruments' accuracy
	Met
	NothingAsked // the plant description asks nothing of this basin
)

var stateNames = [...]string{"not determined", "short", "short within the instruments' accuracy",
	"met within the instruments' accuracy", "met", "nothing asked"}

// String is the word in hourly.csv and the report.
func (s State) String() string { return stateNames[s] }

// Feed is one chemical feed over the period.
type Feed struct {
	plant.Feed
	Tag      plant.Tag
	Rate     []float64 // pounds a day of active chemical, by minute: as chlorine, or as the dechlorination salt or gas
	DoseMgL  []float64 // by minute, of the water being dosed
	PoundsHr []float64 // per hour of the period, active chemical
	GalHr    []float64 // per hour of the period, solution; NaN for gas
}

// Judgement is the who-is-wrong engine's verdict on one basin's instruments.
type Judgement struct {
	Basin string
	orp.Result
}

// Setting is one threshold that was used, for the report and run.json.
type Setting struct {
	Name  string
	Value string
	Why   string
}
