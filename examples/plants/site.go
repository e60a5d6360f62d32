package plants

// Control is how the chlorine feed is steered.
type Control string

// Controls.
const (
	Compound   Control = "flow and residual"
	ByResidual Control = "residual alone"
	ByFlow     Control = "flow alone"
	ByORP      Control = "ORP"
	ByHand     Control = "by hand"
)

// Storage is how readings are stored.
type Storage string

// Ways to store.
const (
	Scan         Storage = "scan"          // every Every minutes
	Exception    Storage = "exception"     // on change beyond a deadband, and a heartbeat
	SwingingDoor Storage = "swinging door" // where a straight line no longer does
)

// Site is an invented plant. Concentrations in mg/L, chlorine as Cl2, nitrogen
// as N.
type Site struct {
	Name, Class string // Class: for the table by type
	Zone        string // IANA
	Trains      int    // 1, or 2 with one outfall
	FlowMGD     float64
	Swing       float64 // of the day's flow, share of the mean
	BasinGal    float64 // of each train
	Tanks       int     // stirred tanks in series that mix like the basin
	Gas         bool    // chlorine gas, and sulfur dioxide for dechlorination
	Dechlor     bool
	Control     Control
	Aim         float64 // residual aimed at: total, free where there is no total
	Dose        float64 // mg/L, to begin with
	ORPAim      float64 // mV, where ORP controls

	// What the plant has.
	Free, Total, Middle, Outlet, FinalAnalyser, FinalORP bool
	PH, Temp, Ammonia, Inflow                            bool
	GrabsPerDay                                          int
	Blunders                                             float64 // share of grabs
	SpanTotal, SpanFinal                                 float64

	// The water.
	NH3, NH3Swing, NO2, Fast, Slow, Organic float64
	TempC, AcidPH                           float64
	Sun                                     float64 // free chlorine lost in full sun, 1/min
	Rain                                    float64 // rains a month

	// Its instruments.
	Wander     float64 // mV, of a probe
	FilmPerDay float64 // mV a day that a film takes
	CleanDays  int     // days between cleanings
	OxideMV    float64 // what the oxide layer adds
	AnalyserSD float64 // relative wander of a residual analyser

	// Its records.
	Storage   Storage
	Every     int     // minutes, of a scan
	Deadband  float64 // share of each tag's usual movement in an hour
	Heartbeat int     // minutes
	Links     int     // controllers

	Quality bool // the export has a column of quality words

	// Its calendar, minutes of the record; zero: none.
	NightStop              bool
	SeasonFrom             int     // disinfection begins
	ClosedFrom, ClosedTo   int     // basin closed and drained
	AimStepAt              int     // the operators change what they aim at
	AimStep                float64 // by this share
	StandardsEveryDays     int     // a standard is read at the analysers
	Style                  int     // of tag names
	HoldDuringService      bool
	FinalLagMin, SampleLag float64
}
