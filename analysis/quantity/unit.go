// Package quantity names what a plant measures, the units it comes in, and
// converts between them.
//
// Values are converted to one working unit per kind when they are read, and to
// the reader's units when they are written; nothing between converts.
package quantity

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Dimension says which units can be converted into each other.
type Dimension uint8

// Dimensions met in disinfection work.
const (
	None          Dimension = iota
	VolumeRate              // flows and liquid feeds
	Concentration           // mass per volume
	Potential               // mV
	Acidity                 // pH
	Temperature
	Count    // organisms per 100 mL
	Length   // levels, weir lengths
	Area     // surfaces
	Volume   // basins, tanks
	Mass     // pounds of chemical
	MassRate // loads and dry or gas feeds
	Percent  // speed, stroke, strength, removal
	Turbidity
	Duration
	CTProduct // residual x time
	OnOff     // run status
	Conductivity
	Dimensionless
)

// Unit is one way to write a quantity. A value v in this unit is
// v*Scale + Offset in the base unit of its dimension.
type Unit struct {
	Symbol    string // as written in reports: "MGD", "mg/L"
	Slug      string // as written in column names: "mgd", "mg_per_l"
	Dimension Dimension
	Scale     float64
	Offset    float64
}

// Exact definitions (NIST SP 811: the gallon is 231 cubic inches, the pound
// 0.45359237 kg, the foot 0.3048 m).
const (
	LitresPerGallon     = 3.785411784
	KilogramsPerPound   = 0.45359237
	MetresPerFoot       = 0.3048
	GallonsPerCubicFoot = 1728.0 / 231.0
	MinutesPerDay       = 1440.0
	SecondsPerDay       = 86400.0
)

// units is every unit that the tool reads or writes. Base units: MGD, mg/L, mV,
// pH, degrees Celsius, count per 100 mL, ft, ft2, gal, lb, lb/d, percent, NTU,
// min, mg·min/L.
var units = []struct {
	Unit
	aliases string // lower case, without blanks, separated by blanks
}{
	{Unit{"MGD", "mgd", VolumeRate, 1, 0}, "mgd mgal/d mgal/day milliongallonsperday mil.gal/d"},
	{Unit{"gpm", "gpm", VolumeRate, MinutesPerDay / 1e6, 0}, "gpm gal/min usgpm galpermin gallons/min gallonsperminute"},
	{Unit{"gpd", "gpd", VolumeRate, 1e-6, 0}, "gpd gal/d gal/day gallonsperday gallons/day"},
	{Unit{"kgpd", "kgpd", VolumeRate, 1e-3, 0}, "kgpd kgal/d kgal/day kgd"},
	{Unit{"gal/h", "gal_per_h", VolumeRate, 24e-6, 0}, "gal/h gph gal/hr gal/hour gallons/hour gallonsperhour"},
	{Unit{"cfs", "cfs", VolumeRate, GallonsPerCubicFoot * SecondsPerDay / 1e6, 0}, "cfs ft3/s cuft/s ft³/s cft/s"},
	{Unit{"m³/h", "m3_per_h", VolumeRate, 24e3 / LitresPerGallon / 1e6, 0}, "m3/h m³/h m3/hr cmh m^3/h"},
	{Unit{"m³/d", "m3_per_d", VolumeRate, 1e3 / LitresPerGallon / 1e6, 0}, "m3/d m³/d m3/day cmd m^3/d"},
	{Unit{"m³/s", "m3_per_s", VolumeRate, 1e3 * SecondsPerDay / LitresPerGallon / 1e6, 0}, "m3/s m³/s cms m^3/s"},
	{Unit{"ML/d", "ml_per_d", VolumeRate, 1 / LitresPerGallon, 0}, "mld megalitres/d megalitersperday"},
	{Unit{"L/s", "l_per_s", VolumeRate, SecondsPerDay / LitresPerGallon / 1e6, 0}, "l/s lps l/sec litres/s"},
	{Unit{"L/h", "l_per_h", VolumeRate, 24 / LitresPerGallon / 1e6, 0}, "l/h lph l/hr litres/h liters/h"},
	{Unit{"L/min", "l_per_min", VolumeRate, MinutesPerDay / LitresPerGallon / 1e6, 0}, "l/min lpm"},
	{Unit{"mL/min", "ml_per_min", VolumeRate, MinutesPerDay / LitresPerGallon / 1e9, 0}, "ml/min mlpm cc/min"},
	{Unit{"mg/L", "mg_per_l", Concentration, 1, 0}, "mg/l ppm g/m3 g/m³ mgl mg/las mg/lasn mg/lascl2 mg/lcl2 mgcl2/l mgn/l mg-n/l mg/ln milligramsperliter"},
	{Unit{"µg/L", "ug_per_l", Concentration, 1e-3, 0}, "ug/l µg/l μg/l ppb mg/m3 mcg/l"},
	{Unit{"g/L", "g_per_l", Concentration, 1e3, 0}, "g/l"},
	{Unit{"lb/gal", "lb_per_gal", Concentration, KilogramsPerPound * 1e6 / LitresPerGallon, 0}, "lb/gal lbs/gal"},
	{Unit{"mV", "mv", Potential, 1, 0}, "mv millivolt millivolts"},
	{Unit{"V", "v", Potential, 1e3, 0}, "v volt volts"},
	{Unit{"pH", "ph", Acidity, 1, 0}, "ph phunits s.u. su standardunits"},
	{Unit{"°C", "deg_c", Temperature, 1, 0}, "c °c degc deg_c deg.c celsius ºc"},
	{Unit{"°F", "deg_f", Temperature, 5.0 / 9.0, -160.0 / 9.0}, "f °f degf deg_f deg.f fahrenheit ºf"},
	{Unit{"per 100 mL", "per_100ml", Count, 1, 0}, "per100ml /100ml mpn/100ml cfu/100ml col/100ml #/100ml mpn cfu org/100ml"},
	{Unit{"ft", "ft", Length, 1, 0}, "ft feet foot '"},
	{Unit{"in", "in", Length, 1.0 / 12, 0}, "in inch inches"},
	{Unit{"m", "m", Length, 1 / MetresPerFoot, 0}, "m metre meter metres meters"},
	{Unit{"cm", "cm", Length, 0.01 / MetresPerFoot, 0}, "cm"},
	{Unit{"ft²", "ft2", Area, 1, 0}, "ft2 ft² sqft sq.ft. ft^2"},
	{Unit{"m²", "m2", Area, 1 / (MetresPerFoot * MetresPerFoot), 0}, "m2 m² sqm m^2"},
	{Unit{"gal", "gal", Volume, 1, 0}, "gal gallon gallons usgal"},
	{Unit{"kgal", "kgal", Volume, 1e3, 0}, "kgal"},
	{Unit{"MG", "million_gal", Volume, 1e6, 0}, "milliongallons mgal"},
	{Unit{"ft³", "ft3", Volume, GallonsPerCubicFoot, 0}, "ft3 ft³ cuft cu.ft. ft^3 cf"},
	{Unit{"m³", "m3", Volume, 1e3 / LitresPerGallon, 0}, "m3 m³ cubicmetres cubicmeters m^3"},
	{Unit{"L", "l", Volume, 1 / LitresPerGallon, 0}, "l litre liter litres liters"},
	{Unit{"ML", "megalitre", Volume, 1e6 / LitresPerGallon, 0}, "megalitre megaliter"},
	{Unit{"lb", "lb", Mass, 1, 0}, "lb lbs pound pounds"},
	{Unit{"kg", "kg", Mass, 1 / KilogramsPerPound, 0}, "kg kilogram kilograms"},
	{Unit{"lb/d", "lb_per_d", MassRate, 1, 0}, "lb/d lb/day lbs/d lbs/day ppd poundsperday lb/24h"},
	{Unit{"lb/h", "lb_per_h", MassRate, 24, 0}, "lb/h lb/hr lbs/h lbs/hr pph"},
	{Unit{"kg/d", "kg_per_d", MassRate, 1 / KilogramsPerPound, 0}, "kg/d kg/day"},
	{Unit{"kg/h", "kg_per_h", MassRate, 24 / KilogramsPerPound, 0}, "kg/h kg/hr"},
	{Unit{"g/h", "g_per_h", MassRate, 0.024 / KilogramsPerPound, 0}, "g/h g/hr"},
	{Unit{"%", "percent", Percent, 1, 0}, "% percent pct perc"},
	{Unit{"NTU", "ntu", Turbidity, 1, 0}, "ntu fnu ftu"},
	{Unit{"min", "min", Duration, 1, 0}, "min minute minutes mins"},
	{Unit{"s", "s", Duration, 1.0 / 60, 0}, "s sec second seconds"},
	{Unit{"h", "h", Duration, 60, 0}, "h hr hour hours hrs"},
	{Unit{"d", "d", Duration, MinutesPerDay, 0}, "d day days"},
	{Unit{"mg·min/L", "mg_min_per_l", CTProduct, 1, 0}, "mg·min/l mg-min/l mgmin/l mg*min/l min·mg/l min-mg/l"},
	{Unit{"on/off", "on", OnOff, 1, 0}, "on/off onoff state bool boolean run/stop"},
	{Unit{"µS/cm", "us_per_cm", Conductivity, 1, 0}, "us/cm µs/cm μs/cm"},
	{Unit{"", "", Dimensionless, 1, 0}, "- none ratio"},
}

var byAlias = func() map[string]Unit {
	m := make(map[string]Unit)
	for _, u := range units {
		for _, a := range strings.Fields(u.aliases) {
			m[a] = u.Unit
		}
	}
	return m
}()

// exactCase holds the symbols in which case tells two units apart: "MG" is a
// million gallons, "ML" a megalitre, "mL/d" is nothing we read.
var exactCase = func() map[string]Unit {
	m := make(map[string]Unit)
	for _, u := range units {
		if u.Symbol != "" {
			m[u.Symbol] = u.Unit
		}
	}
	m["Mgal"] = m["MG"]
	m["mld"], m["MLD"] = m["ML/d"], m["ML/d"]
	return m
}()

// misread undoes what a program leaves of °, µ, ³, ² and · when it opens UTF-8
// text as Windows-1252: "Â°C", "Âµg/L", "mÂ³/d", and "Î¼g/L" of the Greek letter.
var misread = strings.NewReplacer("Â", "", "Î¼", "µ")

// ParseUnit reads a unit as operators write it, also where a spreadsheet has
// mangled its signs. Case matters only where it tells two units apart (MG, ML/d).
func ParseUnit(s string) (Unit, error) {
	t := strings.TrimSpace(s)
	t = strings.TrimSuffix(strings.TrimPrefix(t, "["), "]")
	t = strings.TrimSuffix(strings.TrimPrefix(t, "("), ")")
	t = misread.Replace(t)
	if u, ok := exactCase[t]; ok {
		return u, nil
	}
	k := strings.ToLower(strings.Join(strings.Fields(t), ""))
	if u, ok := byAlias[k]; ok {
		return u, nil
	}
	if t == "" {
		return Unit{}, fmt.Errorf("no unit given")
	}
	return Unit{}, unknownUnit(t)
}

// unknownUnit is what was written for a unit. Its text is put together when it
// is asked for: readers try many a word as a unit.
type unknownUnit string

func (u unknownUnit) Error() string {
	if m := meant(string(u)); m != "" {
		return fmt.Sprintf("unknown unit %q; did you mean %s? Known units: %s", string(u), m, strings.Join(Symbols(), ", "))
	}
	return fmt.Sprintf("unknown unit %q; known units: %s", string(u), strings.Join(Symbols(), ", "))
}

// MustUnit is ParseUnit for units written in the program itself.
func MustUnit(s string) Unit {
	u, err := ParseUnit(s)
	if err != nil {
		panic(err)
	}
	return u
}

// Symbols lists every unit's symbol, in the order of the table.
func Symbols() []string {
	var out []string
	for _, u := range units {
		if u.Symbol != "" {
			out = append(out, u.Symbol)
		}
	}
	return out
}

// SymbolsOf lists the symbols of one dimension's units.
func SymbolsOf(d Dimension) []string {
	var out []string
	for _, u := range units {
		if u.Dimension == d && u.Symbol != "" {
			out = append(out, u.Symbol)
		}
	}
	return out
}

// Convert turns v in from into to. Units of different dimensions do not convert.
func Convert(v float64, from, to Unit) (float64, error) {
	if from.Dimension != to.Dimension {
		return math.NaN(), fmt.Errorf("%s cannot be converted to %s", from.Symbol, to.Symbol)
	}
	if from.Scale == to.Scale && from.Offset == to.Offset {
		return v, nil // bit for bit
	}
	return (v*from.Scale + from.Offset - to.Offset) / to.Scale, nil
}

var (
	groupedNumber       = regexp.MustCompile(`^[+-]?\d{1,3}(,\d{3})+(\.\d*)?(?:[eE][+-]?\d+)?$`)
	thousandsOrDecimals = regexp.MustCompile(`^\+?([1-9]\d{0,2})\.(\d{3})$`)
)

// ParseQuantity reads a number with its unit, "5MGD", "185,000 gal", "2.0 mg/L".
func ParseQuantity(s string) (float64, Unit, error) {
	t := strings.TrimSpace(s)
	i := 0
	for i < len(t) && (t[i] >= '0' && t[i] <= '9' || strings.IndexByte("+-.,", t[i]) >= 0 ||
		(t[i] == 'e' || t[i] == 'E') && i > 0 && i+1 < len(t) && strings.IndexByte("+-0123456789", t[i+1]) >= 0) {
		i++
	}
	num := strings.ReplaceAll(t[:i], ",", "")
	if strings.Contains(t[:i], ",") && !groupedNumber.MatchString(t[:i]) {
		return math.NaN(), Unit{}, fmt.Errorf("%q: a comma stands between thousands, and a point before decimals; write 1,500.5 for one thousand five hundred and a half", s)
	}
	v, err := strconv.ParseFloat(num, 64)
	if err != nil || math.IsInf(v, 0) {
		return math.NaN(), Unit{}, fmt.Errorf("%q does not begin with a number", s)
	}
	u, err := ParseUnit(t[i:])
	if err != nil {
		return math.NaN(), Unit{}, fmt.Errorf("%q: %w", s, err)
	}
	// 152.000 gal: nobody measures a basin to a thousandth of a gallon.
	if m := thousandsOrDecimals.FindStringSubmatch(t[:i]); m != nil && u.Dimension == Volume && (u.Symbol == "gal" || u.Symbol == "L" || u.Symbol == "ft³" || u.Symbol == "m³") {
		return math.NaN(), Unit{}, fmt.Errorf("%q: is that %s,%s %s, or %g? Write %s%s %s, or the other with fewer decimals", s, m[1], m[2], u.Symbol, v, m[1], m[2], u.Symbol)
	}
	return v, u, nil
}
