// Package plant reads and checks a plant's description: plant.toml (points,
// basins, feeds, probes, limits, sources, settings) and tags.csv (one row per
// tag). It is checked once, whole, when it is loaded; later steps take it as
// right.
package plant

import (
	"time"

	"weirbook/analysis/quantity"
)

// System is the unit system of the reader's tables and charts.
type System string

// Unit systems.
const (
	US     System = "us"
	Metric System = "metric"
)

// Plant is a checked plant description. All quantities are in working units:
// MGD, mg/L, gal, ft, ft2, min, mg·min/L.
type Plant struct {
	Name     string
	Zone     *time.Location
	ZoneName string
	Units    System

	HourCoverage float64       // share of an hour that must be covered for it to be determined
	DayCoverage  float64       // the same for a day
	MaxGap       time.Duration // nothing is bridged beyond this, unless the tag says otherwise

	Points  []Point
	Basins  []Basin
	Feeds   []Feed
	Probes  []Probe
	Limits  []Limit
	Sources []Source
	// What the words of state tags mean, beyond those that the reader knows.
	StateWords StateWords
	Processes  []Process
	Reporting  Reporting
	Labs       []Lab // by the date from which they hold
	Codes      []Code
	Screen     map[string]float64 // overrides of screening thresholds, by name
	ORP        map[string]float64 // overrides of the who-is-wrong engine's thresholds, by name
	Reference  []Span             // stretches that the plant declares to be normal

	Tags []Tag

	Files []File // what it was read from, for the record of a run
}

// File is one of the files of a plant description, as it was read.
type File struct {
	Name   string // without its folder
	Bytes  int64
	SHA256 string
}

// Point is a place where something is measured or sampled.
type Point struct {
	Name          string // the word in tags.csv column "at", and the prefix of columns
	Title         string
	FlowAt        string  // the point whose flow carries the loads here; itself if it has a flow tag
	Basin         string  // the basin it lies in, if it does
	Train         string  // the train it belongs to, if stated; see Plant.TrainOf
	Fraction      float64 // share of that basin's volume upstream of it; NaN if not in a basin
	Dechlorinated bool    // after the dechlorination chemical
	Outfall       bool    // the receiving water begins here
	Influent      bool    // raw influent: removals are counted from here
}

// Basin is one chlorine contact basin, or one of several in parallel or series.
type Basin struct {
	Name, Title string
	Train       string // label of the train it belongs to; empty for a plant with one
	Inlet       string // sampling point where chlorine is mixed in; may be empty
	Outlet      string // sampling point at its end: its residual is the basin's
	FlowAt      string
	FlowShare   float64  // share of the flow at FlowAt that passes here, 0…1
	RunTag      string   // state tag: in service when on; empty: always
	Closed      []Span   // dates out of service
	After       []string // the basins upstream in series, in parallel with each other if several; the CT of the least adds

	Volume      float64      // gal; NaN if from level
	LevelAt     string       // point with a level tag
	Area        float64      // ft2, with LevelAt
	VolumeCurve [][2]float64 // ft, gal; with LevelAt

	BafflingFactor float64 // T10/T; NaN if another way is stated
	ModalFactor    float64 // modal time / T; NaN
	Tanks          float64 // tanks in series; NaN
	Dispersion     float64 // dispersion number d; NaN
	Tracer         *Tracer

	VolumeAccuracy float64 // ± percent of the volume: survey, or level; NaN: not stated
	FactorAccuracy float64 // ± percent of the contact time factor; NaN: not stated

	Require Requirement
}

// Tracer is a tracer test as it was run.
type Tracer struct {
	Kind       string    // "step" or "pulse"
	Flow       float64   // MGD during the test
	Volume     float64   // gal during the test: the basin's where that is fixed
	Background float64   // mg/L
	Applied    float64   // mg/L of a step above the background; NaN for a pulse
	Minutes    []float64 // sample times
	MgL        []float64 // measured concentrations
}

// Requirement is what the plant's permit or design asks of a basin. NaN: nothing asked.
type Requirement struct {
	CT           float64       // mg·min/L
	Residual     quantity.Kind // which residual CT and ResidualMin are judged on
	Time         string        // "t10" or "modal": which contact time CT is judged on
	JudgedStated bool          // plant.toml says so itself
	JudgedBy     string        // "dynamic" (the water leaving) or "steady" (lowest residual at peak flow)
	ContactTime  float64       // min at peak hourly flow
	ResidualMin  float64       // mg/L
	ResidualMax  float64       // mg/L at the basin outlet, operator's own ceiling
	ModalMin     float64       // min, least modal time
	GiardiaLog   float64       // log inactivation of Giardia by the published tables
	VirusLog     float64       // log inactivation of virus by the published tables
	TableReading string        // "conservative" or "linear"
	Disinfectant string        // "free" or "chloramine": which tables
	Collins      []float64     // coefficients of the Collins form: k, n
	Selleck      []float64     // coefficients of the Selleck form: b, n
	Source       string        // where the requirement is written, in the plant's words
}

// Feed is a chemical feed.
type Feed struct {
	Name, Title      string
	Chemical         string  // hypochlorite, chlorine, bisulfite, metabisulfite, sulfite, sulfur_dioxide
	Tag              string  // the tag that says how much is fed
	LevelTag         string  // tank level or volume tag: what is drawn is known by the tank's drop
	TankArea         float64 // ft2, for a LevelTag that measures level; NaN
	DosesAt          string  // point where it goes in
	Basin            string  // the basin it doses, for chlorine
	FlowAt           string  // point whose flow it doses
	OwnFlow          bool    // it doses the basin's own share of that flow: a basin is named, and no flow_at
	StrengthTag      string  // tag of available chlorine, if measured
	Strength         float64
	StrengthAs       string       // "trade percent", "weight percent available chlorine", "weight percent NaOCl", "g/L", "weight percent"
	SpecificGravity  float64      // NaN: not stated
	HalfLifeDays     float64      // of hypochlorite strength in storage; NaN: no decay assumed
	Delivered        []time.Time  // when the tank was filled with solution of Strength; HalfLifeDays runs from these
	StrengthAccuracy float64      // ± percent of the strength; NaN: not stated
	FullStroke       float64      // gal/h (or lb/d for gas) at 100 %, for tags in percent
	Calibration      [][2]float64 // percent, gal/h (or lb/d for gas): a pump's draw-down test, for tags in percent
	StrokeTag        string       // second setting in percent of a pump run by speed and stroke
	Capacity         float64      // gal/h or lb/d that the system can deliver; NaN
	Ratio            float64      // mg chemical per mg chlorine, for dechlorination; NaN: field ratio
	Price            float64      // per PriceUnit; NaN
	PriceUnit        string       // "gal", "lb"
	Currency         string
	Storage          float64 // gal held when full; NaN
}

// Probe adds what tags.csv cannot say about an ORP tag.
type Probe struct {
	Tag       string
	Reference string // reference electrode, "Ag/AgCl 3.33M KCl" …
	Cleaned   []time.Time
}

// Limit is one line of the permit.
type Limit struct {
	Parameter quantity.Kind
	At        string
	Statistic string // one of StatisticNames; what each means: package discharge
	Value     float64
	Low, High float64 // for ranges (pH); NaN
	// The numbers as written: "0.10" has two significant figures.
	Written, LowWritten, HighWritten string
	ReportOnly                       bool // the permit asks for the figure and sets no limit
	Figures, Decimals                int  // to round to, where they do not follow from the limit; -1: not stated
	Unit                             string
	Season                           string // "05-01..10-31", see ParseSeason; empty: all year
	Sample                           string // "grab", "composite", "continuous"; empty: samples where there are any, else the signal
	Frequency                        string // "1/day", "3/week", "1/month", "continuous", see ParseFrequency
	Source                           string
	Line                             int // in plant.toml

	// Where the permit rules otherwise for this limit than [reporting] says.
	NonDetect       string  // see Reporting; empty: as there
	NonDetectValue  float64 // for "value", in the parameter's working unit
	CompositeDay    string  // see Reporting; empty: as there
	ComplianceLevel float64 // in Unit: a result below it counts as one below a reporting limit of this height, and as within the limit; NaN
}

// StateWords are a plant's own words of state tags: in service, out of service, or
// no signal.
type StateWords struct{ On, Off, Bad []string }

// Source says how one control system writes its exports.
type Source struct {
	Name        string
	Files       []string // patterns against file names, "*" and "?" as wildcards
	Zone        *time.Location
	ZoneName    string
	ClockOffset time.Duration // added to its times
	DateOrder   string        // "ymd", "dmy", "mdy"; empty: decided from the file
	Decimal     string        // "." or ","
	Encoding    string
	Layout      string // "long", "wide"; empty: decided from the file
	Tag         string // of files that hold one tag; empty: named by the file
	TimeColumn  string
	TagColumn   string
	ValueColumn string
	Quality     string // heading of the quality column; "none": no column is one
	Codes       string // how its numbers are meant: "opc-da", "opc-ua", "zero-good", "one-good"; empty: decided from the file
	// What words of quality mean, where the reader does not know them, or takes
	// them otherwise.
	GoodWords, UncertainWords, BadWords []string
}

// Process is a unit process with the sizes its loading rates are reckoned from.
type Process struct {
	Name, Title   string
	FlowAt        string
	LoadAt        string             // point whose concentration loads it
	Area          float64            // ft2
	Volume        float64            // gal
	WeirLength    float64            // ft
	MediaVolume   float64            // ft3
	DesignAverage map[string]float64 // by rate word, in the units of the plant's system; see ProcessRates
	DesignPeak    map[string]float64
}

// Reporting holds the permit's own rules for the monthly summary.
type Reporting struct {
	NonDetect       string      // "zero", "half", "limit", "without-sign", "value", "mle", "kaplan-meier"
	NonDetectValue  float64     // for "value", in the working unit of each parameter
	AllBelow        string      // when every result is below: "less-than-largest" or "as-rule"
	Rounding        string      // "half-up" or "half-even"
	RoundTo         string      // "figures" or "decimals" of the limit
	Week            string      // first day of the permit's week, "sunday"
	StraddlingWeeks string      // "where-it-ends", "where-it-begins", "most-days", "whole-weeks-only"
	CompositeDay    string      // day a composite counts for: "stamped", the "day-before", or that of "most-hours" of the 24 that end at its stamp
	Holidays        []time.Time // dates, midnight UTC, on which no sample is due
	TooMany         string      // bacteria too many to count: "exclude", "upper-limit" of the method, or empty: not stated
	NoDischarge     float64     // MGD; a day whose flow never rises above it is a day without discharge
	Facility        string
	PermitNumber    string
}

// Span is a span of time.
type Span struct{ From, To time.Time }

// Point finds a point by name.
func (p *Plant) Point(name string) (Point, bool) {
	for _, q := range p.Points {
		if q.Name == name {
			return q, true
		}
	}
	return Point{}, false
}

// Basin finds a basin by name.
func (p *Plant) Basin(name string) (Basin, bool) {
	for _, b := range p.Basins {
		if b.Name == name {
			return b, true
		}
	}
	return Basin{}, false
}

// Title is a point's title, or its name where it has none.
func (p *Plant) Title(point string) string {
	if q, ok := p.Point(point); ok && q.Title != "" {
		return q.Title
	}
	return point
}
