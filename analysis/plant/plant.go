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
	Name     string `toml:"name"`
	Zone     *time.Location
	ZoneName string `toml:"time_zone"`
	Units    System `toml:"units" oneof:"us metric"`

	HourCoverage float64       `toml:"hour_coverage" range:"0.01 1" default:"0.75"` // share of an hour that must be covered for it to be determined
	DayCoverage  float64       `toml:"day_coverage" range:"0.01 1" default:"0.75"`  // the same for a day
	MaxGap       time.Duration `toml:"max_gap" range:"1s 744h" default:"15m"`       // nothing is bridged beyond this, unless the tag says otherwise

	Points  []Point  `toml:"point"`
	Basins  []Basin  `toml:"basin"`
	Feeds   []Feed   `toml:"feed"`
	Probes  []Probe  `toml:"probe"`
	Limits  []Limit  `toml:"limit"`
	Sources []Source `toml:"source"`
	// What the words of state tags mean, beyond those that the reader knows.
	StateWords StateWords         `toml:"state_words"`
	Processes  []Process          `toml:"process"`
	Reporting  Reporting          `toml:"reporting"`
	Labs       []Lab              `toml:"lab"` // by the date from which they hold
	Codes      []Code             `toml:"code"`
	Screen     map[string]float64 `toml:"screen"`    // overrides of screening thresholds, by name
	ORP        map[string]float64 `toml:"orp"`       // overrides of the who-is-wrong engine's thresholds, by name
	Reference  []Span             `toml:"reference"` // stretches that the plant declares to be normal

	Tags []Tag

	Files []File // what it was read from, for the record of a run

	Log []LogEntry // log.csv, by time; none: there is no such file
}

// File is one of the files of a plant description, as it was read.
type File struct {
	Name   string // without its folder
	Bytes  int64
	SHA256 string
}

// Point is a place where something is measured or sampled.
type Point struct {
	Name          string  `toml:"name"` // the word in tags.csv column "at", and the prefix of columns
	Title         string  `toml:"title"`
	FlowAt        string  `toml:"flow_at"`              // the point whose flow carries the loads here; itself if it has a flow tag
	Basin         string  `toml:"basin"`                // the basin it lies in, if it does
	Train         string  `toml:"train"`                // the train it belongs to, if stated; see Plant.TrainOf
	Fraction      float64 `toml:"fraction" range:"0 1"` // share of that basin's volume upstream of it; NaN if not in a basin
	Dechlorinated bool    `toml:"dechlorinated"`        // after the dechlorination chemical
	Outfall       bool    `toml:"outfall"`              // the receiving water begins here
	Influent      bool    `toml:"influent"`             // raw influent: removals are counted from here
}

// Basin is one chlorine contact basin, or one of several in parallel or series.
type Basin struct {
	Name      string   `toml:"name"`
	Title     string   `toml:"title"`
	Train     string   `toml:"train"`  // label of the train it belongs to; empty for a plant with one
	Inlet     string   `toml:"inlet"`  // sampling point where chlorine is mixed in; may be empty
	Outlet    string   `toml:"outlet"` // sampling point at its end: its residual is the basin's
	FlowAt    string   `toml:"flow_at"`
	FlowShare float64  `toml:"flow_share" range:"0 1" default:"1"` // share of the flow at FlowAt that passes here, 0…1
	RunTag    string   `toml:"run_tag"`                            // state tag: in service when on; empty: always
	Closed    []Span   `toml:"closed"`                             // dates out of service
	After     []string `toml:"after"`                              // the basins upstream in series, in parallel with each other if several; the CT of the least adds

	Volume      float64      `toml:"volume" unit:"gal"`                // gal; NaN if from level
	LevelAt     string       `toml:"level_at"`                         // point with a level tag
	Area        float64      `toml:"area" unit:"ft²" range:"1e-3 1e9"` // ft2, with LevelAt
	VolumeCurve [][2]float64 `toml:"volume_curve"`                     // ft, gal; with LevelAt

	BafflingFactor float64 `toml:"baffling_factor" range:"0.01 1"`    // T10/T; NaN if another way is stated
	ModalFactor    float64 `toml:"modal_factor" range:"0.01 1.5"`     // modal time / T; NaN
	Tanks          float64 `toml:"tanks_in_series" range:"1 1000"`    // tanks in series; NaN
	Dispersion     float64 `toml:"dispersion_number" range:"1e-4 10"` // dispersion number d; NaN
	Tracer         *Tracer `toml:"tracer"`

	VolumeAccuracy float64 `toml:"volume_accuracy" unit:"%"`       // ± percent of the volume: survey, or level; NaN: not stated
	FactorAccuracy float64 `toml:"contact_time_accuracy" unit:"%"` // ± percent of the contact time factor; NaN: not stated

	Require Requirement `toml:"require"`
}

// Tracer is a tracer test as it was run.
type Tracer struct {
	Kind       string    `toml:"kind" oneof:"step pulse"`              // "step" or "pulse"
	Flow       float64   `toml:"flow" unit:"MGD"`                      // MGD during the test
	Volume     float64   `toml:"volume" unit:"gal"`                    // gal during the test: the basin's where that is fixed
	Background float64   `toml:"background" range:"0 1e6" default:"0"` // mg/L
	Applied    float64   `toml:"applied" range:"0 1e6"`                // mg/L of a step above the background; NaN for a pulse
	Minutes    []float64 `toml:"minutes"`                              // sample times
	MgL        []float64 `toml:"mg_per_l"`                             // measured concentrations
}

// Requirement is what the plant's permit or design asks of a basin. NaN: nothing asked.
type Requirement struct {
	CT           float64       `toml:"ct" unit:"mg·min/L" range:"0 1e6"`               // mg·min/L
	Residual     quantity.Kind `toml:"residual" oneof:" chlorine_total chlorine_free"` // which residual CT and ResidualMin are judged on
	Time         string        `toml:"time" oneof:"t10 modal"`                         // "t10" or "modal": which contact time CT is judged on
	JudgedStated bool          // plant.toml says so itself
	JudgedBy     string        `toml:"judged_by" oneof:"dynamic steady"`          // "dynamic" (the water leaving) or "steady" (lowest residual at peak flow)
	ContactTime  float64       `toml:"contact_time" unit:"min" range:"0 1e5"`     // min at peak hourly flow
	ResidualMin  float64       `toml:"residual_min" unit:"mg/L" range:"0 1000"`   // mg/L
	ResidualMax  float64       `toml:"residual_max" unit:"mg/L" range:"0 1000"`   // mg/L at the basin outlet, operator's own ceiling
	ModalMin     float64       `toml:"modal_min" unit:"min" range:"0 1e5"`        // min, least modal time
	GiardiaLog   float64       `toml:"giardia_log" range:"0 3"`                   // log inactivation of Giardia by the published tables
	VirusLog     float64       `toml:"virus_log" range:"0 4"`                     // log inactivation of virus by the published tables
	TableReading string        `toml:"table_reading" oneof:"conservative linear"` // "conservative" or "linear"
	Disinfectant string        `toml:"disinfectant" oneof:"free chloramine"`      // "free" or "chloramine": which tables
	Collins      []float64     `toml:"collins"`                                   // coefficients of the Collins form: k, n
	Selleck      []float64     `toml:"selleck"`                                   // coefficients of the Selleck form: b, n
	Source       string        `toml:"source"`                                    // where the requirement is written, in the plant's words
}

// Feed is a chemical feed.
type Feed struct {
	Name             string           `toml:"name"`
	Title            string           `toml:"title"`
	Chemical         string           `toml:"chemical" oneof:" hypochlorite chlorine bisulfite metabisulfite sulfite sulfur_dioxide"` // hypochlorite, chlorine, bisulfite, metabisulfite, sulfite, sulfur_dioxide
	Tag              string           `toml:"tag"`                                                                                    // the tag that says how much is fed
	LevelTag         string           `toml:"level_tag"`                                                                              // tank level or volume tag: what is drawn is known by the tank's drop
	TankArea         float64          `toml:"tank_area" unit:"ft²" range:"1e-3 1e9"`                                                  // ft2, for a LevelTag that measures level; NaN
	DosesAt          string           `toml:"doses_at"`                                                                               // point where it goes in
	Basin            string           `toml:"basin"`                                                                                  // the basin it doses, for chlorine
	FlowAt           string           `toml:"flow_at"`                                                                                // point whose flow it doses
	OwnFlow          bool             // it doses the basin's own share of that flow: a basin is named, and no flow_at
	StrengthTag      string           `toml:"strength_tag"` // tag of available chlorine, if measured
	Strength         float64          `toml:"strength" range:"0.01 1000"`
	StrengthAs       string           `toml:"strength_as"`                    // "trade percent", "weight percent available chlorine", "weight percent NaOCl", "g/L", "weight percent"
	SpecificGravity  float64          `toml:"specific_gravity" range:"0.8 2"` // NaN: not stated
	HalfLifeDays     float64          `toml:"half_life_days" range:"1 1e5"`   // of hypochlorite strength in storage; NaN: no decay assumed
	Delivered        []time.Time      `toml:"delivered"`                      // when the tank was filled with solution of Strength; HalfLifeDays runs from these
	Logged           []LoggedStrength // deliveries and changes of tank by log.csv, by time
	StrengthAccuracy float64          `toml:"strength_accuracy" unit:"%"` // ± percent of the strength; NaN: not stated
	FullStroke       float64          `toml:"full_stroke" unit:"later"`   // gal/h (or lb/d for gas) at 100 %, for tags in percent
	Calibration      [][2]float64     `toml:"pump_calibration"`           // percent, gal/h (or lb/d for gas): a pump's draw-down test, for tags in percent
	CalibrationUnit  string           `toml:"pump_calibration_unit"`      // of those rates as written
	StrokeTag        string           `toml:"stroke_tag"`                 // second setting in percent of a pump run by speed and stroke
	Capacity         float64          `toml:"capacity" unit:"later"`      // gal/h or lb/d that the system can deliver; NaN
	Ratio            float64          `toml:"ratio" range:"0.1 20"`       // mg chemical per mg chlorine, for dechlorination; NaN: field ratio
	Price            float64          `toml:"price" range:"0 1e6"`        // per PriceUnit; NaN
	PriceUnit        string           `toml:"price_unit"`                 // "gal", "lb"
	Currency         string           `toml:"currency"`
	Storage          float64          `toml:"storage" unit:"gal" range:"1e-3 1e9"` // gal held when full; NaN
}

// LoggedStrength is what log.csv says a tank holds from a moment on.
type LoggedStrength struct {
	At    time.Time
	Value float64 // NaN: the strength stated
	As    string  // as Feed.StrengthAs
}

// Probe adds what tags.csv cannot say about an ORP tag.
type Probe struct {
	Tag       string      `toml:"tag"`
	Reference string      `toml:"reference_electrode"` // reference electrode, "Ag/AgCl 3.33M KCl" …
	Cleaned   []time.Time `toml:"cleaned"`
}

// Limit is one line of the permit.
type Limit struct {
	Parameter quantity.Kind `toml:"parameter"`
	At        string        `toml:"at"`
	Statistic string        `toml:"statistic"` // one of StatisticNames; what each means: package discharge
	Value     float64       `toml:"value" range:"-1e12 1e12"`
	Low       float64       `toml:"low" range:"-1e12 1e12"` // for ranges (pH); NaN
	High      float64       `toml:"high" range:"-1e12 1e12"`
	// The numbers as written: "0.10" has two significant figures.
	Written, LowWritten, HighWritten string
	ReportOnly                       bool   `toml:"report_only"`                      // the permit asks for the figure and sets no limit
	Figures                          int    `toml:"figures" range:"1 9" default:"-1"` // to round to, where they do not follow from the limit; -1: not stated
	Decimals                         int    `toml:"decimals" range:"0 9" default:"-1"`
	Unit                             string `toml:"unit"`
	Season                           string `toml:"season"`                                    // "05-01..10-31", see ParseSeason; empty: all year
	Sample                           string `toml:"sample" oneof:" grab composite continuous"` // "grab", "composite", "continuous"; empty: samples where there are any, else the signal
	Frequency                        string `toml:"frequency"`                                 // "1/day", "3/week", "1/month", "continuous", see ParseFrequency
	Source                           string `toml:"source"`
	Line                             int    // in plant.toml

	PHGranted bool `toml:"ph_excursions_granted"` // of a continuous pH range: the permit grants the minutes of 40 CFR 401.17

	// Where the permit rules otherwise for this limit than [reporting] says.
	NonDetect       string  `toml:"non_detect" oneof:" zero half limit without-sign value mle kaplan-meier"` // see Reporting; empty: as there
	NonDetectValue  float64 `toml:"non_detect_value" range:"0 1e9"`                                          // for "value", in the parameter's working unit
	CompositeDay    string  `toml:"composite_day" oneof:" stamped day-before begun most-hours"`              // see Reporting; empty: as there
	ComplianceLevel float64 `toml:"compliance_level" range:"0 1e9"`                                          // in Unit: a result below it counts as one below a reporting limit of this height, and as within the limit; NaN
}

// StateWords are a plant's own words of state tags: in service, out of service, or
// no signal.
type StateWords struct {
	On  []string `toml:"on"`
	Off []string `toml:"off"`
	Bad []string `toml:"bad"`
}

// Source says how one control system writes its exports.
type Source struct {
	Name        string   `toml:"name"`
	Files       []string `toml:"files"` // patterns against file names, "*" and "?" as wildcards
	Zone        *time.Location
	ZoneName    string        `toml:"time_zone"`
	ClockOffset time.Duration `toml:"clock_offset" range:"-87600h 87600h"` // added to its times
	DateOrder   string        `toml:"date_order" oneof:" ymd dmy mdy"`     // "ymd", "dmy", "mdy"; empty: decided from the file
	Decimal     string        `toml:"decimal" oneof:" . ,"`                // "." or ","
	Encoding    string        `toml:"encoding"`
	Layout      string        `toml:"layout" oneof:" long wide"` // "long", "wide"; empty: decided from the file
	Tag         string        `toml:"tag"`                       // of files that hold one tag; empty: named by the file
	TimeColumn  string        `toml:"time_column"`
	ValueTimes  string        `toml:"value_times" oneof:" left right"` // where a value's own time stands; empty: decided from the file
	Midnight    string        `toml:"midnight" oneof:" start end"`     // of the date beside 00:00; empty: decided from the file
	FillNumbers []float64     `toml:"fill_numbers"`                    // that stand for no value besides the usual ones; empty: none at all; nil: the usual ones, and those that stand alone
	TagColumn   string        `toml:"tag_column"`
	TagColumns  []string      `toml:"tag_columns"` // two headings whose words together name a tag, place first
	ValueColumn string        `toml:"value_column"`
	Quality     string        `toml:"quality_column"`                                          // heading of the quality column; "none": no column is one
	Codes       string        `toml:"quality_codes" oneof:" opc-da opc-ua zero-good one-good"` // how its numbers are meant: "opc-da", "opc-ua", "zero-good", "one-good"; empty: decided from the file
	// What words of quality mean, where the reader does not know them, or takes
	// them otherwise.
	GoodWords      []string `toml:"good_words"`
	UncertainWords []string `toml:"uncertain_words"`
	BadWords       []string `toml:"bad_words"`
}

// Process is a unit process with the sizes its loading rates are reckoned from.
type Process struct {
	Name          string             `toml:"name"`
	Title         string             `toml:"title"`
	FlowAt        string             `toml:"flow_at"`
	LoadAt        string             `toml:"load_at"`                                  // point whose concentration loads it
	Area          float64            `toml:"area" unit:"ft²" range:"1e-3 1e9"`         // ft2
	Volume        float64            `toml:"volume" unit:"gal" range:"1e-3 1e12"`      // gal
	WeirLength    float64            `toml:"weir_length" unit:"ft" range:"1e-3 1e6"`   // ft
	MediaVolume   float64            `toml:"media_volume" unit:"ft³" range:"1e-3 1e9"` // ft3
	DesignAverage map[string]float64 `toml:"design_average"`                           // by rate word, in the units of the plant's system; see ProcessRates
	DesignPeak    map[string]float64 `toml:"design_peak"`
}

// Reporting holds the permit's own rules for the monthly summary.
type Reporting struct {
	NonDetect       string      `toml:"non_detect" oneof:"limit zero half without-sign value mle kaplan-meier"`            // "zero", "half", "limit", "without-sign", "value", "mle", "kaplan-meier"
	NonDetectValue  float64     `toml:"non_detect_value" range:"0 1e9"`                                                    // for "value", in the working unit of each parameter
	AllBelow        string      `toml:"all_below" oneof:"less-than-largest as-rule"`                                       // when every result is below: "less-than-largest" or "as-rule"
	Rounding        string      `toml:"rounding" oneof:"half-up half-even"`                                                // "half-up" or "half-even"
	RoundTo         string      `toml:"round_to" oneof:"figures decimals"`                                                 // "figures" or "decimals" of the limit
	Week            string      `toml:"week_begins" oneof:"sunday monday tuesday wednesday thursday friday saturday"`      // first day of the permit's week, "sunday"
	StraddlingWeeks string      `toml:"straddling_weeks" oneof:"where-it-ends where-it-begins most-days whole-weeks-only"` // "where-it-ends", "where-it-begins", "most-days", "whole-weeks-only"
	CompositeDay    string      `toml:"composite_day" oneof:"most-hours stamped day-before begun"`                         // day a composite counts for: "stamped", the "day-before", or that of "most-hours" of the 24 that end at its stamp
	Holidays        []time.Time `toml:"holidays"`                                                                          // dates, midnight UTC, on which no sample is due
	TooMany         string      `toml:"too_many" oneof:" exclude upper-limit"`                                             // bacteria too many to count: "exclude", "upper-limit" of the method, or empty: not stated
	NoDischarge     float64     `toml:"no_discharge_at" unit:"MGD" default:"0"`                                            // MGD; a day whose flow never rises above it is a day without discharge
	Facility        string      `toml:"facility"`
	PermitNumber    string      `toml:"permit_number"`
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
