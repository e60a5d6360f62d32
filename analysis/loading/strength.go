package loading

import (
	"fmt"
	"math"
)

// StrengthAs says what the number on a chemical's label or certificate means.
// For one tank of hypochlorite they lie 15 percent and more apart.
type StrengthAs string

// Ways to state a strength, the words of the plant description.
const (
	TradePercent   StrengthAs = "trade percent"                     // g/L available chlorine / 10
	WeightChlorine StrengthAs = "weight percent available chlorine" // needs the specific gravity
	WeightNaOCl    StrengthAs = "weight percent NaOCl"              // needs the specific gravity
	VolumeNaOCl    StrengthAs = "weight/volume percent NaOCl"       // g NaOCl per 100 mL
	GramsPerLitre  StrengthAs = "g/L"                               // available chlorine; the salt itself for dechlorination
	WeightPercent  StrengthAs = "weight percent"                    // of the salt in solution; needs the specific gravity
)

// StrengthWords lists the ways to state a strength.
func StrengthWords() []StrengthAs {
	return []StrengthAs{TradePercent, WeightChlorine, WeightNaOCl, VolumeNaOCl, GramsPerLitre, WeightPercent}
}

// Molar masses in g/mol from standard atomic weights (Na 22.990, O 15.999,
// Cl 35.453, S 32.065, H 1.008, N 14.007); derived.
const (
	molarChlorine = 70.906  // Cl2
	molarNaOCl    = 74.442  // NaOCl
	molarNitrogen = 14.007  // N
	molarSO2      = 64.063  // SO2
	molarNaHSO3   = 104.060 // NaHSO3
	molarNa2S2O5  = 190.105 // Na2S2O5
	molarNa2SO3   = 126.042 // Na2SO3
	molarNa2S2O3  = 158.107 // Na2S2O3
)

// ChlorinePerNaOCl is the available chlorine of one gram of NaOCl, 0.9525: each
// mole counts as a mole of Cl2. Source: molar masses 70.906 and 74.442; White's
// Handbook of Chlorination (1972) gives the reverse, 1.05; verified.
const ChlorinePerNaOCl = molarChlorine / molarNaOCl

// Strength is what a solution holds.
type Strength struct {
	Value           float64
	As              StrengthAs
	SpecificGravity float64 // of the solution, for strengths by weight; else may be NaN
}

// Check says what is missing.
func (s Strength) Check() error {
	switch s.As {
	case TradePercent, VolumeNaOCl, GramsPerLitre:
	case WeightChlorine, WeightNaOCl, WeightPercent:
		if !(s.SpecificGravity > 0.5 && s.SpecificGravity < 2.5) {
			return fmt.Errorf("a strength in %s needs the solution's specific gravity (12.5 trade percent hypochlorite: about 1.16)", s.As)
		}
	default:
		return fmt.Errorf("strength as %q is not known; write one of %q", s.As, StrengthWords())
	}
	if !(s.Value >= 0) || math.IsInf(s.Value, 0) {
		return fmt.Errorf("strength %v: a number of zero or more is needed", s.Value)
	}
	if s.As != GramsPerLitre && s.Value > 100 {
		return fmt.Errorf("strength %v %s is over 100 percent", s.Value, s.As)
	}
	return nil
}

// GramsPerLitre is the content of one litre: available chlorine for
// hypochlorite, the salt itself for dechlorination chemicals. NaN where the
// strength is by weight and the specific gravity is not known.
//
// Source: trade percent = g/L available chlorine / 10; weight percent = trade
// percent / specific gravity; weight percent NaOCl = 1.05 x weight percent
// available chlorine (White's Handbook of Chlorination, 1972; verified).
func (s Strength) GramsPerLitre() float64 {
	switch s.As {
	case GramsPerLitre:
		return s.Value
	case TradePercent:
		return 10 * s.Value
	case VolumeNaOCl:
		return 10 * s.Value * ChlorinePerNaOCl
	case WeightChlorine, WeightPercent:
		return 10 * s.Value * s.SpecificGravity
	case WeightNaOCl:
		return 10 * s.Value * s.SpecificGravity * ChlorinePerNaOCl
	}
	return math.NaN()
}

// Labels is one hypochlorite under every name it is sold by.
type Labels struct {
	AvailableChlorine float64 // g/L
	TradePercent      float64
	WeightChlorine    float64 // weight percent available chlorine; NaN without specific gravity
	WeightNaOCl       float64 // weight percent NaOCl; NaN without specific gravity
	VolumeNaOCl       float64 // weight/volume percent NaOCl
	PoundsPerGallon   float64 // lb available chlorine per gallon, exact factor
}

// LabelsOf writes the strength of a hypochlorite in every way.
func LabelsOf(s Strength) Labels {
	g := s.GramsPerLitre()
	sg := s.SpecificGravity
	if sg == 0 {
		sg = math.NaN()
	}
	return Labels{
		AvailableChlorine: g,
		TradePercent:      g / 10,
		WeightChlorine:    g / 10 / sg,
		WeightNaOCl:       g / 10 / sg / ChlorinePerNaOCl,
		VolumeNaOCl:       g / 10 / ChlorinePerNaOCl,
		PoundsPerGallon:   Exact.PoundsPerGallon(g),
	}
}

// AfterStorage is the strength left after days in storage when half of it is
// lost in halfLifeDays: C = C0 / 2^(t / half-life). NaN or zero half-life: no
// decay is assumed. The half-life depends on strength, temperature, light and
// metals, and is the plant's own figure. Valid for weeks around the strength it
// was found at.
//
// Source: first-order decay; common practice.
func AfterStorage(strength, days, halfLifeDays float64) float64 {
	if math.IsNaN(halfLifeDays) || halfLifeDays <= 0 {
		return strength
	}
	return strength * math.Exp2(-days/halfLifeDays)
}
