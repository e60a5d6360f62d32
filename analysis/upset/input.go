package upset

import (
	"fmt"
	"math"
	"time"

	"weirbook/analysis/align"
	"weirbook/analysis/finding"
	"weirbook/analysis/loading"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// Further kinds of column, derived ones that no tag measures.
const (
	Dose     quantity.Kind = "chlorine_dose"   // mg/L as Cl2
	Demand   quantity.Kind = "chlorine_demand" // mg/L as Cl2: dose less residual
	Contact  quantity.Kind = "contact_time"    // min
	CT       quantity.Kind = "ct"              // mg·min/L
	Strength quantity.Kind = "strength"        // lb Cl2 per gal
)

// Column is one signal that is watched for moves, a value a minute.
type Column struct {
	Tag   string // as in the exports; for a derived column what it is reckoned from
	Kind  quantity.Kind
	Title string // "ammonia after secondary"
	Unit  string
	V     []float64 // minute means, NaN where unknown; readings not to be believed taken out

	Place Place

	// Lead is the share of the basin that the water measured here has still
	// before it: 1 at the feed, 0.5 half-way, 0 at the outlet. Flows act on the
	// whole basin at once and have 0.
	Lead float64
	// LeadMin is a fixed travel time further upstream, min; negative for points
	// after the basin.
	LeadMin float64
	// Floor is the least move worth telling of, in Unit; 0: the kind's own (see
	// Settings.Floors), NaN there too: the scatter decides alone.
	Floor float64
	// RestsOn are the tags that a derived column is reckoned from.
	RestsOn []string
	// Steers is set for feeds that the plant's control may have moved in answer.
	Steers bool
}

// Place says where along the water a column is measured.
type Place uint8

// Places, in the order of the water's way.
const (
	Upstream Place = iota // before the feed point, and the flows
	AtFeed
	InBasin
	AtOutlet
	AtOutfall // after dechlorination
)

// What a limit is held against.
type What string

// Whats, in the order in which they are told.
const (
	CTShort      What = "ct-short"
	ResidualLow  What = "residual-low"
	ContactShort What = "contact-time-short"
	ResidualHigh What = "residual-high"
	FinalHigh    What = "final-residual-high"
	EColiHigh    What = "e-coli-high"
)

// Judged is a column that is held against what the plant requires.
type Judged struct {
	What  What
	Title string // "CT in the contact basin"
	Unit  string
	V     []float64
	// Limit is the requirement, one a minute or a single value for all minutes.
	// CT, low residual and contact time must not be below it, the others not above.
	Limit []float64
	// Flow, MGD, is the water that leaves in that state; nil: not known.
	Flow []float64
	// RestsOn are the tags that the statement rests on: residual analyser, flow
	// meter.
	RestsOn []string
	Source  string // where the requirement is written, in the plant's words
	Hourly  bool   // one value an hour: a breach begins with its hour
}

// limit gives the requirement in minute i.
func (j *Judged) limit(i int) float64 {
	if len(j.Limit) == 1 {
		return j.Limit[0]
	}
	return j.Limit[i]
}

// Below reports whether the limit is a lower one.
func (w What) Below() bool { return w == CTShort || w == ResidualLow || w == ContactShort }

// Sample is one E. coli result of the final effluent.
type Sample struct {
	At        int64 // Unix milliseconds
	Value     float64
	Qualifier string // "", "<", ">"
	Limit     float64
	Unit      string // "MPN/100 mL"
	Tag       string
}

// Doubt is a stretch in which an instrument was not to be trusted.
type Doubt struct {
	series.Stretch
	Tag        string
	Party      finding.Party
	Kind       string
	Confidence float64
	Says       string // one sentence; may be empty
}

// Noted is one entry of the plant's log.
type Noted struct {
	series.Stretch
	Says  string    // with its time, on the plant's clock
	Short string    // in a few words, without
	Cause CauseKind // what it may have brought about; empty: nothing
}

// Basin holds the basin's own columns, each as long as the grid or nil.
type Basin struct {
	Name, Title string
	// For the water that leaves in each minute.
	CT       []float64 // mg·min/L
	Required []float64 // mg·min/L; one value for all, or one a minute; nil: nothing required
	Residual []float64 // mg/L as Cl2, the one CT is judged on
	Contact  []float64 // min, credited contact time
	Volume   []float64 // gal in service; nil: it did not change
	Delay    []float64 // min from the feed point to the outlet; nil: unknown
	Flow     []float64 // MGD

	// At the feed point, by the clock there; shifted by Delay inside.
	Feed     []float64 // gal/h, or lb/d for gas
	Strength []float64 // lb Cl2 per gal; nil for gas
	FeedFlow []float64 // MGD dosed; nil: Flow
	Dose     []float64 // mg/L, where feed and strength are not known apart; nil: from them

	// RequiredAt gives the required CT for temperature °C, pH and residual mg/L
	// where the requirement depends on them; nil: it does not.
	RequiredAt func(tempC, pH, residual float64) float64
	Temp, PH   []float64 // for RequiredAt

	ResidualMin float64 // mg/L; NaN: none
	FreeBasis   bool    // CT is judged on free chlorine
}

// Supply is what is known of a feed system. NaN: not known.
type Supply struct {
	Title      string
	Gas        bool
	FullStroke float64 // gal/h (lb/d for gas) at 100 %
	Capacity   float64 // gal/h (lb/d) it can deliver
	LbPerGal   float64 // active chemical in a gallon: lb Cl2 for chlorine feeds, lb salt for bisulfite
	Ratio      float64 // dechlorination only: mg chemical per mg Cl2
	RatioFrom  string  // where Ratio is from
	Chemical   string  // "sodium hypochlorite", "sodium bisulfite"
}

// Outfall is what passes into the receiving water.
type Outfall struct {
	Final   []float64 // mg/L total residual; nil: not measured
	Flow    []float64 // MGD
	RestsOn []string
	Salt    bool // receiving water is salt
	// DetectMgL is the plant's stated detection limit; NaN: Settings.DetectMgL.
	DetectMgL float64
}

// Input is everything an explanation is made from. Every column has Grid.N
// values.
type Input struct {
	Grid   align.Grid
	Loc    *time.Location
	Plant  string // name
	Metric bool   // write in metric units; columns come in the reader's units already
	// Factor is the pounds factor, lb per MG per mg/L; 0: the trade's 8.34.
	Factor                   float64
	Columns                  []Column // upstream first: neighbours that move together are told in this order
	Judged                   []Judged
	Samples                  []Sample
	Doubts                   []Doubt
	Found                    []Found // what judging the instruments holds of this water
	Log                      []Noted // what the plant's log says
	Basin                    Basin
	Chlorine, Dechlorination Supply
	Outfall                  Outfall
	// Unclean are further stretches that are no normal operation: findings
	// against the process, days the operators took out.
	Unclean []series.Stretch
}

// check reports the first thing that cannot be worked with.
func (in *Input) check() error {
	if in.Grid.N <= 0 {
		return fmt.Errorf("upset: the time grid is empty")
	}
	if in.Loc == nil {
		return fmt.Errorf("upset: no time zone")
	}
	fits := func(name string, v []float64) error {
		if v != nil && len(v) != in.Grid.N {
			return fmt.Errorf("upset: %s has %d minutes, the grid has %d", name, len(v), in.Grid.N)
		}
		return nil
	}
	for _, c := range in.Columns {
		if err := fits(c.Title, c.V); err != nil {
			return err
		}
	}
	for _, j := range in.Judged {
		if err := fits(j.Title, j.V); err != nil {
			return err
		}
		if len(j.Limit) != 1 && len(j.Limit) != in.Grid.N {
			return fmt.Errorf("upset: the limit of %s has %d values, the grid has %d minutes", j.Title, len(j.Limit), in.Grid.N)
		}
		if err := fits("flow of "+j.Title, j.Flow); err != nil {
			return err
		}
	}
	b := &in.Basin
	for _, c := range []struct {
		name string
		v    []float64
	}{
		{"CT", b.CT}, {"residual", b.Residual}, {"contact time", b.Contact}, {"volume", b.Volume}, {"delay", b.Delay},
		{"flow", b.Flow}, {"feed", b.Feed}, {"strength", b.Strength}, {"feed flow", b.FeedFlow}, {"dose", b.Dose},
		{"temperature", b.Temp}, {"pH", b.PH}, {"final residual", in.Outfall.Final}, {"outfall flow", in.Outfall.Flow},
	} {
		if err := fits(c.name, c.v); err != nil {
			return err
		}
	}
	if b.Required != nil && len(b.Required) != 1 && len(b.Required) != in.Grid.N {
		return fmt.Errorf("upset: required CT has %d values, the grid has %d minutes", len(b.Required), in.Grid.N)
	}
	return nil
}

// factor is lb per MG per mg/L.
func (in *Input) factor() float64 {
	if in.Factor > 0 {
		return in.Factor
	}
	return tradeFactor
}

// tradeFactor is the trade's pounds factor.
const tradeFactor = float64(loading.Trade)

// at gives a column's value, NaN outside it or where there is none.
func at(v []float64, i int) float64 {
	if i < 0 || i >= len(v) {
		return math.NaN()
	}
	return v[i]
}

func isNaN(v float64) bool { return v != v }
