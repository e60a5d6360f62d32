package quantity

import (
	"fmt"
	"sort"
	"strings"
)

// Kind is what a tag measures: the word in tags.csv column "measures", the
// prefix of a column name, and (by its title) the label in a chart.
type Kind string

// Kinds of measurement.
const (
	Flow              Kind = "flow"
	FlowTotal         Kind = "flow_total"
	ChlorineTotal     Kind = "chlorine_total"
	ChlorineFree      Kind = "chlorine_free"
	ORP               Kind = "orp"
	PH                Kind = "ph"
	Temp              Kind = "temperature"
	AmmoniaN          Kind = "ammonia_n"
	NitriteN          Kind = "nitrite_n"
	NitrateN          Kind = "nitrate_n"
	OrganicN          Kind = "organic_n"
	TKN               Kind = "tkn"
	Phosphorus        Kind = "phosphorus_total"
	BOD5              Kind = "bod5"
	CBOD5             Kind = "cbod5"
	COD               Kind = "cod"
	TSS               Kind = "tss"
	MLSS              Kind = "mlss"
	Alkalinity        Kind = "alkalinity"
	DissolvedOxygen   Kind = "dissolved_oxygen"
	TurbidityK        Kind = "turbidity"
	EColi             Kind = "e_coli"
	FecalColiform     Kind = "fecal_coliform"
	TotalColiform     Kind = "total_coliform"
	Enterococci       Kind = "enterococci"
	Level             Kind = "level"
	TankVolume        Kind = "tank_volume"
	HypochloriteFeed  Kind = "hypochlorite_feed"
	ChlorineFeed      Kind = "chlorine_feed"
	BisulfiteFeed     Kind = "bisulfite_feed"
	SulfurDioxideFeed Kind = "sulfur_dioxide_feed"
	HypochloriteGrams Kind = "hypochlorite_strength"
	RunStatus         Kind = "run_status"
	ConductivityK     Kind = "conductivity"
	Other             Kind = "other"
)

// Info is what the tool knows about a kind before it has seen any plant.
type Info struct {
	Kind    Kind
	Title   string // label in charts and tables
	Working Unit   // the unit values are kept in
	Metric  Unit   // the unit of metric reports; Working serves US reports
	Accepts []Dimension
	// Low and High are the widest span that makes physical sense, in the
	// working unit; readings outside are flagged when the tag states no span
	// of its own. Common practice, no source.
	Low, High float64
}

var infos = func() map[Kind]Info {
	u := MustUnit
	mgl := u("mg/L")
	c := []Dimension{Concentration}
	feed := []Dimension{VolumeRate, MassRate, Percent}
	count := u("per 100 mL")
	n := []Dimension{Count}
	list := []Info{
		{Flow, "Flow", u("MGD"), u("m³/d"), []Dimension{VolumeRate}, 0, 2000},
		{FlowTotal, "Flow total", u("gal"), u("m³"), []Dimension{Volume}, 0, 1e15},
		{ChlorineTotal, "Total chlorine residual", mgl, mgl, c, 0, 50},
		{ChlorineFree, "Free chlorine residual", mgl, mgl, c, 0, 50},
		{ORP, "ORP", u("mV"), u("mV"), []Dimension{Potential}, -1500, 1500},
		{PH, "pH", u("pH"), u("pH"), []Dimension{Acidity}, 0, 14},
		{Temp, "Temperature", u("°C"), u("°C"), []Dimension{Temperature}, -5, 60},
		{AmmoniaN, "Ammonia as N", mgl, mgl, c, 0, 200},
		{NitriteN, "Nitrite as N", mgl, mgl, c, 0, 200},
		{NitrateN, "Nitrate as N", mgl, mgl, c, 0, 500},
		{OrganicN, "Organic nitrogen", mgl, mgl, c, 0, 500},
		{TKN, "Total Kjeldahl nitrogen", mgl, mgl, c, 0, 500},
		{Phosphorus, "Total phosphorus", mgl, mgl, c, 0, 200},
		{BOD5, "BOD5", mgl, mgl, c, 0, 20000},
		{CBOD5, "CBOD5", mgl, mgl, c, 0, 20000},
		{COD, "COD", mgl, mgl, c, 0, 50000},
		{TSS, "Total suspended solids", mgl, mgl, c, 0, 50000},
		{MLSS, "Mixed liquor suspended solids", mgl, mgl, c, 0, 50000},
		{Alkalinity, "Alkalinity as CaCO3", mgl, mgl, c, 0, 5000},
		{DissolvedOxygen, "Dissolved oxygen", mgl, mgl, c, 0, 50},
		{TurbidityK, "Turbidity", u("NTU"), u("NTU"), []Dimension{Turbidity}, 0, 4000},
		{EColi, "E. coli", count, count, n, 0, 1e10},
		{FecalColiform, "Fecal coliform", count, count, n, 0, 1e10},
		{TotalColiform, "Total coliform", count, count, n, 0, 1e10},
		{Enterococci, "Enterococci", count, count, n, 0, 1e10},
		{Level, "Level", u("ft"), u("m"), []Dimension{Length}, -50, 500},
		{TankVolume, "Tank volume", u("gal"), u("m³"), []Dimension{Volume}, 0, 1e9},
		{HypochloriteFeed, "Hypochlorite feed", u("gal/h"), u("L/h"), feed, 0, 1e5},
		{ChlorineFeed, "Chlorine gas feed", u("lb/d"), u("kg/d"), []Dimension{MassRate, Percent}, 0, 1e6},
		{BisulfiteFeed, "Bisulfite feed", u("gal/h"), u("L/h"), feed, 0, 1e5},
		{SulfurDioxideFeed, "Sulfur dioxide feed", u("lb/d"), u("kg/d"), []Dimension{MassRate, Percent}, 0, 1e6},
		{HypochloriteGrams, "Available chlorine of the hypochlorite", u("g/L"), u("g/L"), []Dimension{Concentration, Percent}, 0, 250},
		{RunStatus, "Run status", u("on/off"), u("on/off"), []Dimension{OnOff}, 0, 1e6},
		{ConductivityK, "Conductivity", u("µS/cm"), u("µS/cm"), []Dimension{Conductivity}, 0, 1e6},
		{Other, "Other", u("none"), u("none"), nil, -1e300, 1e300},
	}
	m := make(map[Kind]Info, len(list))
	for _, i := range list {
		m[i.Kind] = i
	}
	return m
}()

// Of gives what is known about k; ok is false for a word that is no kind.
func Of(k Kind) (Info, bool) {
	i, ok := infos[k]
	return i, ok
}

// Kinds lists every kind in alphabetical order.
func Kinds() []Kind {
	out := make([]Kind, 0, len(infos))
	for k := range infos {
		out = append(out, k)
	}
	sort.Slice(out, func(i, j int) bool { return out[i] < out[j] })
	return out
}

// ParseKind reads the word of tags.csv column "measures".
func ParseKind(s string) (Kind, error) {
	k := Kind(strings.ToLower(strings.TrimSpace(s)))
	if _, ok := infos[k]; ok {
		return k, nil
	}
	var names []string
	for _, k := range Kinds() {
		names = append(names, string(k))
	}
	return "", fmt.Errorf("unknown measurement %q; write one of %s", s, strings.Join(names, ", "))
}

// Accept says whether a tag of kind k may be exported in unit u, and in which
// unit its values are kept: the kind's working unit, or the base unit of the
// dimension where a kind comes in several (a feed in lb/d stays in lb/d, a feed
// in percent of stroke stays in percent).
func Accept(k Kind, u Unit) (working Unit, err error) {
	info, ok := infos[k]
	if !ok {
		return Unit{}, fmt.Errorf("unknown measurement %q", k)
	}
	if k == Other {
		return u, nil
	}
	if info.Working.Dimension == u.Dimension {
		return info.Working, nil
	}
	for _, d := range info.Accepts {
		if d == u.Dimension {
			switch d {
			case MassRate:
				return MustUnit("lb/d"), nil
			case Percent:
				return MustUnit("%"), nil
			case VolumeRate:
				return MustUnit("gal/h"), nil
			case Concentration:
				return MustUnit("mg/L"), nil
			}
		}
	}
	return Unit{}, fmt.Errorf("%s is not a unit of %s; it comes in %s", u.Symbol, k, info.Working.Symbol)
}
