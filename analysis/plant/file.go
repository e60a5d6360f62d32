package plant

import "fmt"

// The shapes of plant.toml. Quantities are written with their unit, as in
// volume = "110000 gal"; they are parsed and checked in build.go.

type fileRoot struct {
	Name         string             `toml:"name"`
	TimeZone     string             `toml:"time_zone"`
	Units        string             `toml:"units"`
	HourCoverage *float64           `toml:"hour_coverage"`
	DayCoverage  *float64           `toml:"day_coverage"`
	MaxGap       string             `toml:"max_gap"`
	Points       []filePoint        `toml:"point"`
	Basins       []fileBasin        `toml:"basin"`
	Feeds        []fileFeed         `toml:"feed"`
	Probes       []fileProbe        `toml:"probe"`
	Limits       []fileLimit        `toml:"limit"`
	Sources      []fileSource       `toml:"source"`
	StateWords   fileStateWords     `toml:"state_words"`
	Processes    []fileProcess      `toml:"process"`
	Reporting    fileReporting      `toml:"reporting"`
	Labs         []fileLab          `toml:"lab"`
	Codes        []fileCode         `toml:"code"`
	Screen       map[string]float64 `toml:"screen"`
	ORP          map[string]float64 `toml:"orp"`
	Reference    []fileSpan         `toml:"reference"`
}

type filePoint struct {
	Name          string   `toml:"name"`
	Title         string   `toml:"title"`
	FlowAt        string   `toml:"flow_at"`
	Basin         string   `toml:"basin"`
	Train         string   `toml:"train"`
	Fraction      *float64 `toml:"fraction"`
	Dechlorinated bool     `toml:"dechlorinated"`
	Outfall       bool     `toml:"outfall"`
	Influent      bool     `toml:"influent"`
}

type fileBasin struct {
	Name        string       `toml:"name"`
	Title       string       `toml:"title"`
	Train       string       `toml:"train"`
	Inlet       string       `toml:"inlet"`
	Outlet      string       `toml:"outlet"`
	FlowAt      string       `toml:"flow_at"`
	FlowShare   *float64     `toml:"flow_share"`
	RunTag      string       `toml:"run_tag"`
	Closed      []fileSpan   `toml:"closed"`
	After       words        `toml:"after"`
	Volume      string       `toml:"volume"`
	LevelAt     string       `toml:"level_at"`
	Area        string       `toml:"area"`
	VolumeCurve [][2]float64 `toml:"volume_curve"`

	BafflingFactor *float64    `toml:"baffling_factor"`
	ModalFactor    *float64    `toml:"modal_factor"`
	Tanks          *float64    `toml:"tanks_in_series"`
	Dispersion     *float64    `toml:"dispersion_number"`
	Tracer         *fileTracer `toml:"tracer"`
	VolumeAccuracy string      `toml:"volume_accuracy"`
	FactorAccuracy string      `toml:"contact_time_accuracy"`

	Require fileRequire `toml:"require"`
}

type fileTracer struct {
	Kind       string    `toml:"kind"`
	Flow       string    `toml:"flow"`
	Volume     string    `toml:"volume"`
	Background float64   `toml:"background"`
	Applied    *float64  `toml:"applied"`
	Minutes    []float64 `toml:"minutes"`
	MgL        []float64 `toml:"mg_per_l"`
}

type fileRequire struct {
	CT           string    `toml:"ct"`
	Residual     string    `toml:"residual"`
	Time         string    `toml:"time"`
	JudgedBy     string    `toml:"judged_by"`
	ContactTime  string    `toml:"contact_time"`
	ResidualMin  string    `toml:"residual_min"`
	ResidualMax  string    `toml:"residual_max"`
	ModalMin     string    `toml:"modal_min"`
	GiardiaLog   *float64  `toml:"giardia_log"`
	VirusLog     *float64  `toml:"virus_log"`
	TableReading string    `toml:"table_reading"`
	Disinfectant string    `toml:"disinfectant"`
	Collins      []float64 `toml:"collins"`
	Selleck      []float64 `toml:"selleck"`
	Source       string    `toml:"source"`
}

type fileFeed struct {
	Name             string       `toml:"name"`
	Title            string       `toml:"title"`
	Chemical         string       `toml:"chemical"`
	Tag              string       `toml:"tag"`
	LevelTag         string       `toml:"level_tag"`
	TankArea         string       `toml:"tank_area"`
	Delivered        []string     `toml:"delivered"`
	StrengthAccuracy string       `toml:"strength_accuracy"`
	Calibration      [][2]float64 `toml:"pump_calibration"`
	CalibrationUnit  string       `toml:"pump_calibration_unit"`
	StrokeTag        string       `toml:"stroke_tag"`
	DosesAt          string       `toml:"doses_at"`
	Basin            string       `toml:"basin"`
	FlowAt           string       `toml:"flow_at"`
	StrengthTag      string       `toml:"strength_tag"`
	Strength         *float64     `toml:"strength"`
	StrengthAs       string       `toml:"strength_as"`
	SpecificGravity  *float64     `toml:"specific_gravity"`
	HalfLifeDays     *float64     `toml:"half_life_days"`
	FullStroke       string       `toml:"full_stroke"`
	Capacity         string       `toml:"capacity"`
	Ratio            *float64     `toml:"ratio"`
	Price            *float64     `toml:"price"`
	PriceUnit        string       `toml:"price_unit"`
	Currency         string       `toml:"currency"`
	Storage          string       `toml:"storage"`
}

type fileProbe struct {
	Tag       string   `toml:"tag"`
	Reference string   `toml:"reference_electrode"`
	Cleaned   []string `toml:"cleaned"`
}

type fileLimit struct {
	Parameter string   `toml:"parameter"`
	At        string   `toml:"at"`
	Statistic string   `toml:"statistic"`
	Value     *float64 `toml:"value"`
	Low       *float64 `toml:"low"`
	High      *float64 `toml:"high"`
	Unit      string   `toml:"unit"`
	Season    string   `toml:"season"`
	Sample    string   `toml:"sample"`
	Frequency string   `toml:"frequency"`
	Source    string   `toml:"source"`

	NonDetect       string   `toml:"non_detect"`
	NonDetectValue  *float64 `toml:"non_detect_value"`
	ComplianceLevel *float64 `toml:"compliance_level"`
	CompositeDay    string   `toml:"composite_day"`

	ReportOnly bool     `toml:"report_only"`
	Figures    *float64 `toml:"figures"`
	Decimals   *float64 `toml:"decimals"`
}

type fileSource struct {
	Name        string   `toml:"name"`
	Files       []string `toml:"files"`
	TimeZone    string   `toml:"time_zone"`
	ClockOffset string   `toml:"clock_offset"`
	DateOrder   string   `toml:"date_order"`
	Decimal     string   `toml:"decimal"`
	Encoding    string   `toml:"encoding"`
	Layout      string   `toml:"layout"`
	Tag         string   `toml:"tag"`
	TimeColumn  string   `toml:"time_column"`
	TagColumn   string   `toml:"tag_column"`
	ValueColumn string   `toml:"value_column"`
	Quality     *string  `toml:"quality_column"`
	Codes       string   `toml:"quality_codes"`
	GoodWords   []string `toml:"good_words"`
	Uncertain   []string `toml:"uncertain_words"`
	BadWords    []string `toml:"bad_words"`
}

type fileStateWords struct {
	On  []string `toml:"on"`
	Off []string `toml:"off"`
	Bad []string `toml:"bad"`
}

type fileProcess struct {
	Name          string             `toml:"name"`
	Title         string             `toml:"title"`
	FlowAt        string             `toml:"flow_at"`
	LoadAt        string             `toml:"load_at"`
	Area          string             `toml:"area"`
	Volume        string             `toml:"volume"`
	WeirLength    string             `toml:"weir_length"`
	MediaVolume   string             `toml:"media_volume"`
	DesignAverage map[string]float64 `toml:"design_average"`
	DesignPeak    map[string]float64 `toml:"design_peak"`
}

type fileReporting struct {
	NonDetect       string   `toml:"non_detect"`
	NonDetectValue  *float64 `toml:"non_detect_value"`
	Rounding        string   `toml:"rounding"`
	Week            string   `toml:"week_begins"`
	StraddlingWeeks string   `toml:"straddling_weeks"`
	Facility        string   `toml:"facility"`
	PermitNumber    string   `toml:"permit_number"`
	AllBelow        string   `toml:"all_below"`
	RoundTo         string   `toml:"round_to"`
	CompositeDay    string   `toml:"composite_day"`
	TooMany         string   `toml:"too_many"`
	Holidays        []string `toml:"holidays"`
	NoDischarge     string   `toml:"no_discharge_at"`
}

type fileSpan struct {
	From string `toml:"from"`
	To   string `toml:"to"`
}

// words is one word, or a list of them.
type words []string

// UnmarshalTOML takes "a" and ["a", "b"].
func (w *words) UnmarshalTOML(v any) error {
	list, ok := v.([]any)
	if !ok {
		list = []any{v}
	}
	for _, x := range list {
		s, ok := x.(string)
		if !ok {
			return fmt.Errorf("%v is no name; write \"name\" or [\"name\", \"name\"]", x)
		}
		*w = append(*w, s)
	}
	return nil
}
