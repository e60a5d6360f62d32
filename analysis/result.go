package analysis

import (
	"weirbook/analysis/align"
	"weirbook/analysis/contact"
	"weirbook/analysis/export"
	"weirbook/analysis/finding"
	"weirbook/analysis/orp"
	"weirbook/analysis/plant"
	"weirbook/analysis/screen"
	"weirbook/analysis/series"
)

// Result is everything a run found, as plain data. Reports lay it out and add
// nothing to it.
type Result struct {
	*Frame
	Asked  Asked
	Named  []string // the files named to be read, of which an archive holds several
	Read   *export.Result
	Screen screen.Report

	Hourly, Daily Table
	hourly        *hourStats
	ends          ends // see offscale.go
	Sampled       []SampledLoads
	Basins        []Basin
	Feeds         []Feed
	Chemicals     []ChemicalUse
	Processes     []ProcessLoading
	Removals      []Removal
	Judgements    []Judgement
	Upsets        []Upset
	Findings      []finding.Finding // worst first
	Permit        []PermitMonth     // nil without limits
	Coverage      []TagCoverage
	Notes         []string // what the run had to do without
	Settings      []Setting
}

// Asked is the period that a command line asked for, Unix milliseconds; 0: as far
// as the readings go.
type Asked struct{ From, To int64 }

// Basin is one contact basin over the period.
type Basin struct {
	plant.Basin
	ResidualTag plant.Tag // whose reading CT is reckoned with
	FlowTag     plant.Tag
	Flow        []float64 // MGD through this basin, by minute
	Residual    []float64 // mg/L at the outlet, by minute
	InService   []float64 // by minute; nil: always
	Contact     contact.Basin
	Track       contact.Track         // through this basin and those before it in series
	Dynamic     []contact.TrackHour   // per hour of the period
	Steady      []contact.SteadyHour  // per hour of the period, by the contact time that CT is asked for
	SteadyT10   []contact.SteadyHour  // the same by T10; nil where the description states none
	SteadyModal []contact.SteadyHour  // the same by modal time
	Segments    [][]contact.SegmentCT // per hour, this basin and those before it in series; nil without pH and temperature
	Own         contact.Track         // through this basin alone
	PHTag       plant.Tag
	TempTag     plant.Tag
	PHHour      []align.Stat
	TempHour    []align.Stat
	Path        []float64   // exposure along the path, mg·min/L by minute; nil unless the inlet residual is measured
	DelayMin    []float64   // since it was dosed, of the water leaving, by minute
	Hours       []BasinHour // per hour of the period
	Note        string
}

// BasinHour is what an hour's disinfection comes to.
type BasinHour struct {
	Asked    bool             // anything is asked of this basin
	Verdict  contact.Verdict  // the worst of Judged
	Judged   []contact.Judged // one for each thing asked
	Why      string           // what was short, or why it is not determined
	Required float64          // CT asked, mg·min/L; NaN: none
	CT       contact.Band     // the CT it is judged by, with its band
	Residual float64          // lowest of the hour, mg/L
	Doubt    bool             // an instrument behind it is judged at fault in this hour
	DoubtOf  string           // its tag
}

// Short says that something asked was not met.
func (h BasinHour) Short() bool {
	return h.Verdict == contact.Short || h.Verdict == contact.ShortWithin
}

// Feed is one chemical feed over the readings.
type Feed struct {
	plant.Feed
	Tag        plant.Tag
	GalPerHour []float64 // solution, by minute; nil for gas, and where only a tank tells
	LbPerDay   []float64 // active chemical, by minute: as chlorine, or the dechlorination salt or gas; nil if not known by a tag
	DoseMgL    []float64 // active chemical per water dosed, by minute, at the feed point
	Strengths  []float64 // g/L active chemical, by minute
	FlowTag    plant.Tag
	FlowMGD    []float64 // of the water dosed, by minute
	TankTag    plant.Tag
	Tank       *series.Series // content in gal; nil without a tank tag
	Ratio      float64        // dechlorination: mg agent per mg chlorine; NaN for chlorine
	// Stoichiometric is the same by molar masses, beside the field ratio.
	Stoichiometric float64
	RatioFrom      string
	Note           string
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

// TagCoverage is how much of each day of the period a signal's readings cover.
type TagCoverage struct {
	Tag   plant.Tag
	Share []float64 // 0…1
}
