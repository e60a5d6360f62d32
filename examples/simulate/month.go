package simulate

import "time"

// Tag names at the simulated plant. Invented, in the style of instrument loop
// numbers: F flow, A analysis, T temperature; IT indicating transmitter, IC
// indicating controller.
const (
	TagInfluentFlow = "FIT-101" // influent flow, MGD
	TagAmmonia      = "AIT-301" // ammonia after secondary, mg/L N
	TagHypoFeed     = "FIC-411" // hypochlorite feed, gal/h
	TagTotal        = "AIT-421" // total residual, basin outlet, mg/L
	TagFree         = "AIT-422" // free residual, basin outlet, mg/L
	TagORPMiddle    = "AIT-423" // ORP, middle of the basin, mV
	TagORPOutlet    = "AIT-424" // ORP, basin outlet, mV
	TagPH           = "AIT-425" // pH, basin outlet
	TagTemperature  = "TIT-426" // water temperature, basin outlet, °C
	TagEffluentFlow = "FIT-501" // effluent flow, MGD
	TagSulfiteFeed  = "FIC-511" // bisulfite feed, gal/h
	TagFinal        = "AIT-521" // total residual after dechlorination, mg/L
	TagORPFinal     = "AIT-522" // ORP after dechlorination, mV
)

// The two systems a plant's tags come from.
const (
	SourceProcess   = "process"   // flows, feeds, ammonia
	SourceAnalysers = "analysers" // residuals, ORP, pH, temperature
)

// Sampling points, as in the at column of tags.csv.
const (
	PointInfluent  = "influent"
	PointSecondary = "secondary"
	PointFeed      = "basin_inlet"
	PointMiddle    = "basin_middle"
	PointOutlet    = "basin_outlet"
	PointOutfall   = "outfall"
)

// Config says what to simulate. The zero value of a field takes its default.
type Config struct {
	Name   string    // of the scenario, for listings
	Seed   uint64    // same seed, same month
	Start  time.Time // its calendar date is the first local day; default 2026-03-01
	Days   int       // local days; default 31
	Zone   string    // IANA name; default America/Denver
	Plant  Plant     // default DefaultPlant(Nitrified)
	Events []Event
	Clean  bool // leave out also what is no event: service dips stay, noise bursts, demand bursts and small storms go
}

// Quality of a reading.
type Quality uint8

// Qualities. A Missing reading has no row.
const (
	Missing Quality = iota
	Bad
	Uncertain
	Good
)

// Word is the quality as a word; empty for Missing.
func (q Quality) Word() string { return [...]string{"", "bad", "uncertain", "good"}[q&3] }

// OPCDA is the quality as a classic OPC number (0, 64, 192).
func (q Quality) OPCDA() int { return [...]int{0, 0, 64, 192}[q&3] }

// Tag is one instrument's minute readings.
type Tag struct {
	Name     string
	Measures string // the word of tags.csv: flow, chlorine_total, orp …
	At       string // sampling point
	Unit     string
	Reading  string // continuous or on-change
	Source   string
	Low      float64 // span
	High     float64
	Decimals int
	Note     string
	V        []float64 // one a minute from Month.Start; NaN where Missing, not to be believed where Bad
	Q        []Quality
}

// LabResult is one laboratory or grab result.
type LabResult struct {
	Time      time.Time // when the sample was taken, on the plant's clock as written down; composites: end of the day
	Tag       string    // LAB-TRC, LAB-EC …
	What      string    // chlorine_total, chlorine_free, e_coli, tss, bod5, ammonia_n
	At        string    // sampling point
	Reading   string    // grab or composite
	Value     float64
	Qualifier string // "", "<" or ">"
	Unit      string
	Decimals  int
	Blunder   bool // a sampling or reading mistake: truth, not written to the sheet
}

// Truth is what really happened, a column a minute, outlet of the basin unless
// said otherwise.
type Truth struct {
	InfluentMGD    []float64
	FlowMGD        []float64 // effluent, through the basin
	TemperatureC   []float64
	PH             []float64
	AmmoniaMgL     []float64 // after secondary, mg/L N
	DoseMgL        []float64 // chlorine applied at the inlet, mg/L as Cl2
	DemandMgL      []float64 // fast demand of the water entering, mg/L as Cl2
	FreeMgL        []float64
	TotalMgL       []float64
	MiddleTotalMgL []float64 // at the middle of the basin
	MiddleFreeMgL  []float64
	FinalMgL       []float64 // total after dechlorination
	SulfiteMgL     []float64 // bisulfite left after dechlorination, mg/L NaHSO3
	ContactMin     []float64 // age of the parcel leaving: the flow since then fills baffling factor × volume; min
	CTTotal        []float64 // ContactMin × TotalMgL, mg·min/L
	CTFree         []float64 // ContactMin × FreeMgL, mg·min/L
	HypoGPH        []float64 // what really went in, gal/h
	HypoPercent    []float64 // true strength, trade percent
	ChlorineLbD    []float64 // chlorine fed, lb/d
	SulfiteGPH     []float64
	ORPStaticMV    []float64 // what a new, clean, fast outlet probe would read, mV

	StoredLb   [2]float64 // chlorine in the basin at the start and the end, lb
	ConsumedLb float64    // chlorine used up in the basin over the month, lb
	EnteredLb  float64    // chlorine fed over the month, lb
	LeftLb     float64    // chlorine leaving the basin over the month, lb
}

// Month is one simulated month (of any number of days).
type Month struct {
	Config Config
	Loc    *time.Location
	Start  int64 // Unix seconds of the first minute
	N      int   // minutes
	Tags   []Tag // in a fixed order
	Lab    []LabResult
	Events []Event // resolved, in the order of Config.Events
	Truth  Truth
}

// Tag gives the tag of that name, or nil.
func (m *Month) Tag(name string) *Tag {
	for i := range m.Tags {
		if m.Tags[i].Name == name {
			return &m.Tags[i]
		}
	}
	return nil
}

// Time is the start of minute i on the plant's clock.
func (m *Month) Time(i int) time.Time { return time.Unix(m.Start+60*int64(i), 0).In(m.Loc) }

// Index is the minute that t falls in; it may lie outside 0 … N-1.
func (m *Month) Index(t time.Time) int {
	d := t.Unix() - m.Start
	if d < 0 {
		return int((d - 59) / 60)
	}
	return int(d / 60)
}

// Seen is when an event shows at the basin outlet, as minutes [from, to) that
// may lie outside the month. For an event of an instrument or the data that is
// the event itself. For one of the water or the feed it begins when the first
// tenth of the changed water leaves (baffling factor × volume has passed) and
// ends when 1.6 volumes have passed after it, some nine tenths of the rest.
func (m *Month) Seen(e Event) (from, to int) {
	from, to = m.Index(e.Start), m.Index(e.End)
	switch e.Kind {
	case FeedLost, FeedShort, DemandSpike, Ammonia, StrengthLoss:
		p := m.Config.Plant
		return m.after(from, p.Baffling*p.BasinGal), m.after(to, 1.6*p.BasinGal)
	}
	return from, to
}

// after is the minute by which gal have passed since minute i.
func (m *Month) after(i int, gal float64) int {
	for i < m.N && gal > 0 {
		gal -= m.Truth.FlowMGD[max(i, 0)] * galPerMinPerMGD
		i++
	}
	return i
}
