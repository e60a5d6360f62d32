package upset

import (
	"fmt"
	"math"

	"weirbook/analysis/align"
)

// Cause names one part of the split.
type Cause string

// Parts, in the order in which they are drawn.
const (
	ByTime        Cause = "contact time (flow)"
	ByVolume      Cause = "basin volume in service"
	ByFeed        Cause = "chlorine feed"
	ByStrength    Cause = "hypochlorite strength"
	ByDilution    Cause = "dilution (flow dosed)"
	ByDose        Cause = "chlorine dose"
	ByDemand      Cause = "demand"
	ByResidual    Cause = "residual" // where the dose is not known
	ByTemperature Cause = "temperature, in the requirement"
	ByPH          Cause = "pH, in the requirement"
)

// Part is one cause's share.
type Part struct {
	Cause Cause
	// CT is its part of the change of (CT less requirement), mg·min/L; below
	// zero took CT away. All parts add up to Split.Now - Split.Normal of the
	// margins.
	CT float64
	// Log is its part of the change of ln CT; a residual of nothing counts as
	// 0.001 mg/L there.
	Log         float64
	Normal, Now float64 // means of the quantity itself
	Unit        string
}

// Split says where the CT went: means over the minutes in which both now and
// normal are known.
type Split struct {
	Window            align.Window
	Minutes           int     // minutes split
	Share             float64 // of the minutes of the breach
	NormalCT, CT      float64 // mg·min/L
	NormalNeed, Need  float64 // mg·min/L; NaN: nothing required
	Parts             []Part
	LogNormal, LogNow float64 // mean ln CT
	NormalDose, Dose  float64 // mg/L; NaN: not known
	Limited           float64 // share of the minutes in which the demand followed the dose
	Without           string  // what could not be told apart, and why; may be empty
	// StrengthStated: the strength is as stated, not measured. It has no part, and
	// a weaker solution shows as demand.
	StrengthStated bool
}

// Margin and NormalMargin are CT less what is required, mg·min/L; where nothing
// is required, CT itself.
func (x *Split) Margin() float64       { return x.CT - zeroIfNaN(x.Need) }
func (x *Split) NormalMargin() float64 { return x.NormalCT - zeroIfNaN(x.NormalNeed) }

func zeroIfNaN(v float64) float64 {
	if isNaN(v) {
		return 0
	}
	return v
}

// State is what the CT of one parcel follows from. NaN: not known.
type State struct {
	Time     float64 // credited contact time, min
	Volume   float64 // gal in service
	Feed     float64 // gal/h, or lb/d
	Strength float64 // lb Cl2 per gal; 1/24 for a feed in lb/d
	DoseFlow float64 // MGD dosed
	Dose     float64 // mg/L
	Demand   float64 // mg/L: dose less residual
	Residual float64 // mg/L
	Temp, PH float64
}

// logFloor stands in for a residual of nothing in the logarithm, mg/L.
const logFloor = 1e-3

func logCT(time, residual float64) float64 {
	return math.Log(time) + math.Log(math.Max(residual, logFloor))
}

// model says which quantities are known well enough to be told apart.
type model struct {
	causes     []Cause
	fed        bool // feed, strength, flow known apart
	dosed      bool // at least the dose
	volume     bool
	limited    bool    // less was dosed and less used up: the demand follows the dose
	factor     float64 // lb per MG per mg/L
	requiredAt func(tempC, pH, residual float64) float64
}

// SplitStates splits the change from normal to now for single states. The
// required CTs are used where the requirement does not follow temperature and
// pH; NaN there: none.
//
// The CT is contact time × residual, residual = 24 × feed × strength / (8.34 × flow)
// less demand, never below zero. Flow enters twice: as time and as dilution. Where
// less was dosed and less used up, the demand follows the dose and is no part of
// its own: it cannot show what water would have used had there been more. See
// Nested for how the parts are made, and tree for their groups.
func SplitStates(normal, now State, requiredAt func(tempC, pH, residual float64) float64) []Part {
	m := modelOf(&normal, &now, tradeFactor, requiredAt)
	return m.split(&normal, &now)
}

func modelOf(a, b *State, factor float64, requiredAt func(tempC, pH, residual float64) float64) model {
	m := model{requiredAt: requiredAt, factor: factor, causes: []Cause{ByTime}}
	both := func(x, y float64) bool { return !isNaN(x) && !isNaN(y) }
	if both(a.Volume, b.Volume) && math.Abs(a.Volume-b.Volume) > 1e-6*a.Volume {
		m.volume = true
		m.causes = append(m.causes, ByVolume)
	}
	demand := both(a.Demand, b.Demand)
	switch {
	case demand && both(a.Feed, b.Feed) && both(a.Strength, b.Strength) && both(a.DoseFlow, b.DoseFlow):
		m.fed, m.dosed = true, true
		m.causes = append(m.causes, ByFeed, ByStrength, ByDilution, ByDemand)
	case demand && both(a.Dose, b.Dose):
		m.dosed = true
		m.causes = append(m.causes, ByDose, ByDemand)
	default:
		m.causes = append(m.causes, ByResidual)
	}
	if m.dosed && m.dose(b) < m.dose(a) && b.Demand < a.Demand {
		m.limited = true
		m.causes = m.causes[:len(m.causes)-1] // ByDemand stands last
	}
	if requiredAt != nil && both(a.Temp, b.Temp) && both(a.PH, b.PH) {
		m.causes = append(m.causes, ByTemperature, ByPH)
	} else {
		m.requiredAt = nil
	}
	return m
}

// tree groups the causes: time and volume; the residual, in it the dose and the
// demand, in the dose feed, strength and dilution; the requirement's two. So a
// feed that follows the flow leaves demand and time with what is theirs.
func (m *model) tree() Group {
	var root, residual, dose, need Group
	for k, c := range m.causes {
		g := Group{Part: k}
		switch c {
		case ByFeed, ByStrength, ByDilution:
			dose.Members = append(dose.Members, g)
		case ByDemand, ByDose:
			residual.Members = append(residual.Members, g)
		case ByTemperature, ByPH:
			need.Members = append(need.Members, g)
		default:
			root.Members = append(root.Members, g)
		}
	}
	if len(dose.Members) > 0 {
		residual.Members = append(residual.Members, dose)
	}
	for _, g := range []Group{residual, need} {
		if len(g.Members) > 0 {
			root.Members = append(root.Members, g)
		}
	}
	return root
}

// mix takes from now the parts in set, from normal the others.
func (m *model) mix(a, b *State, set uint) State {
	x := *a
	for k, c := range m.causes {
		if set&(1<<k) == 0 {
			continue
		}
		switch c {
		case ByTime:
			x.Time = b.Time
			if m.volume { // time per gallon; the volume is a part of its own
				x.Time *= a.Volume / b.Volume
			}
		case ByVolume:
			x.Time *= b.Volume / a.Volume
		case ByFeed:
			x.Feed = b.Feed
		case ByStrength:
			x.Strength = b.Strength
		case ByDilution:
			x.DoseFlow = b.DoseFlow
		case ByDose:
			x.Dose = b.Dose
		case ByDemand:
			x.Demand = b.Demand
		case ByResidual:
			x.Residual = b.Residual
		case ByTemperature:
			x.Temp = b.Temp
		case ByPH:
			x.PH = b.PH
		}
	}
	return x
}

// dose is the dose of a state, mg/L.
func (m *model) dose(x *State) float64 {
	if m.fed {
		return doseOf(x.Feed, x.Strength, x.DoseFlow, m.factor)
	}
	return x.Dose
}

// ct gives CT and residual of a mixed state of a and b.
func (m *model) ct(a, b, x *State) (ct, residual float64) {
	c := x.Residual
	if m.dosed {
		d, demand := m.dose(x), x.Demand
		if m.limited {
			// Water that is given less chlorine uses up less: from normal to now
			// the demand goes with the dose, in a straight line.
			da, db := m.dose(a), m.dose(b)
			demand = a.Demand + (b.Demand-a.Demand)*(d-da)/(db-da)
		}
		c = math.Max(0, d-demand)
	}
	return x.Time * c, c
}

// doseOf is mg/L from gal/h, lb/gal and MGD by the pounds formula.
func doseOf(feed, strength, mgd, factor float64) float64 {
	return 24 * feed * strength / (factor * mgd)
}

func (m *model) split(a, b *State) []Part {
	margin := func(set uint) float64 {
		x := m.mix(a, b, set)
		ct, c := m.ct(a, b, &x)
		if m.requiredAt != nil {
			ct -= m.requiredAt(x.Temp, x.PH, c)
		}
		return ct
	}
	logs := func(set uint) float64 {
		x := m.mix(a, b, set)
		_, c := m.ct(a, b, &x)
		return logCT(x.Time, c)
	}
	tree := m.tree()
	lin, lg := Nested(tree, len(m.causes), margin), Nested(tree, len(m.causes), logs)
	out := make([]Part, len(m.causes))
	for k, c := range m.causes {
		out[k] = Part{Cause: c, CT: lin[k], Log: lg[k]}
		out[k].Normal, out[k].Now, out[k].Unit = quantityOf(c, a, b)
	}
	return out
}

func quantityOf(c Cause, a, b *State) (normal, now float64, unit string) {
	switch c {
	case ByTime:
		return a.Time, b.Time, "min"
	case ByVolume:
		return a.Volume, b.Volume, "gal"
	case ByFeed:
		return a.Feed, b.Feed, "gal/h"
	case ByStrength:
		return a.Strength, b.Strength, "lb/gal"
	case ByDilution:
		return a.DoseFlow, b.DoseFlow, "MGD"
	case ByDose:
		return a.Dose, b.Dose, "mg/L"
	case ByDemand:
		return a.Demand, b.Demand, "mg/L"
	case ByResidual:
		return a.Residual, b.Residual, "mg/L"
	case ByTemperature:
		return a.Temp, b.Temp, "°C"
	case ByPH:
		return a.PH, b.PH, ""
	}
	panic(fmt.Sprintf("upset: cause %q", c))
}
