package contact

import (
	"fmt"
	"math"
)

// Pathogen is what a table is about.
type Pathogen string

// Pathogens.
const (
	Giardia Pathogen = "Giardia"
	Virus   Pathogen = "virus"
)

// Disinfectant chooses the tables.
type Disinfectant string

// Disinfectants.
const (
	FreeChlorine Disinfectant = "free"
	Chloramine   Disinfectant = "chloramine"
)

// Reading is how a table is read between its rows and columns.
type Reading string

// Ways of reading. Conservative takes the next lower temperature, the next
// higher pH and the next higher chlorine; Linear takes straight lines between
// the neighbours, which the notes to 40 CFR 141.74(b)(3) allow for pH and
// temperature (from memory).
const (
	Conservative Reading = "conservative"
	Linear       Reading = "linear"
)

// Conditions are the water's, at the outlet of a segment.
type Conditions struct {
	TempC       float64 // °C
	PH          float64
	ChlorineMgL float64 // mg/L of the disinfectant
}

// TableCT is the CT that a published table asks for.
type TableCT struct {
	CTMgMinL float64 // mg·min/L for Log; NaN when not determined
	Log      float64 // the log inactivation of CTMgMinL
	Why      Reason
	Note     string // what was assumed at the table's edge; empty when nothing was
}

// FullCT reads the CT for the highest log inactivation of the tables: 3 for
// Giardia, 4 for virus.
//
// Colder than the first row and below the first column read the first ("or
// lower"); warmer than 25 °C reads 25 °C, which asks for more. A pH above the
// table is outside it. Free chlorine above 3.0 mg/L reads 3.0 mg/L, as the
// instructions of EPA's profiling manual say (verified in a public copy of
// them); the CT asked for would go on rising, so the note gives the regression.
func FullCT(p Pathogen, d Disinfectant, c Conditions, r Reading) TableCT {
	out := TableCT{CTMgMinL: nan, Log: 3, Why: InputUnknown}
	if p == Virus {
		out.Log = 4
	}
	if math.IsNaN(c.TempC) || math.IsInf(c.TempC, 0) {
		return out
	}
	needsPH := d == FreeChlorine || p == Giardia
	if needsPH && (math.IsNaN(c.PH) || math.IsInf(c.PH, 0)) {
		return out
	}
	if p == Giardia && d == FreeChlorine && (math.IsNaN(c.ChlorineMgL) || math.IsInf(c.ChlorineMgL, 0)) {
		out.Why = ResidualUnknown
		return out
	}
	tables := byTemperature()
	switch {
	case p == Giardia && d == FreeChlorine:
		out.CTMgMinL, out.Note = giardiaFree(c, r)
	case p == Virus && d == FreeChlorine:
		out.CTMgMinL = virusFree(c, r)
	case p == Giardia && d == Chloramine && c.PH >= 6 && c.PH <= 9:
		out.CTMgMinL = tables["giardia chloramine"].at(c.TempC, 3, r)
	case p == Virus && d == Chloramine:
		out.CTMgMinL = tables["virus chloramine"].at(c.TempC, 4, r)
		out.Note = "valid only where chlorine is added before ammonia"
	}
	out.Why = Known
	if math.IsNaN(out.CTMgMinL) {
		out.Why = OutsideTable
	}
	return out
}

// giardiaFree reads the 3-log table.
func giardiaFree(c Conditions, r Reading) (ct float64, note string) {
	t := giardia()
	if c.PH > t.ph[len(t.ph)-1] {
		return nan, ""
	}
	tl, th, tw := node(t.temps, c.TempC)
	cl, ch, cw := node(t.chlorine, c.ChlorineMgL)
	pl, ph, pw := node(t.ph, c.PH)
	if r == Conservative {
		th, cl, pl = tl, ch, ph
	}
	line := func(temp, chlorine int) float64 {
		row := t.ct[temp][chlorine]
		return row[pl] + pw*(row[ph]-row[pl])
	}
	plane := func(temp int) float64 { return line(temp, cl) + cw*(line(temp, ch)-line(temp, cl)) }
	ct = plane(tl) + tw*(plane(th)-plane(tl))
	if end := t.chlorine[len(t.chlorine)-1]; c.ChlorineMgL > end {
		note = fmt.Sprintf("the table ends at %g mg/L and its last row is used, as its instructions say; the regression asks for %.0f mg·min/L at this residual",
			end, GiardiaRegressionCT(3, c))
	}
	return ct, note
}

// virusFree reads the 4-log table; it has pH 6 to 9 and pH 10, and water more
// acid than 6 reads pH 6 to 9.
func virusFree(c Conditions, r Reading) float64 {
	low := byTemperature()["virus free pH 6-9"].at(c.TempC, 4, r)
	high := byTemperature()["virus free pH 10"].at(c.TempC, 4, r)
	switch {
	case c.PH <= 9:
		return low
	case c.PH > 10:
		return nan
	case r == Conservative:
		return high
	}
	return low + (c.PH-9)*(high-low)
}

// PrintedCT reads a table at a log inactivation that it prints: 0.5 to 3 by 0.5
// for Giardia, 2, 3 or 4 for virus; NaN for others. Fractions of the Giardia
// table by free chlorine are the 3-log cell x log / 3 rounded half up, as in
// print (verified on 14 cells).
func PrintedCT(p Pathogen, d Disinfectant, log float64, c Conditions) float64 {
	if p == Giardia && d == FreeChlorine {
		if half := log * 2; half != math.Trunc(half) || half < 1 || half > 6 {
			return nan
		}
		return roundHalfUp(FullCT(p, d, c, Conservative).CTMgMinL * log / 3)
	}
	if full := FullCT(p, d, c, Conservative); full.Why != Known {
		return nan
	}
	name := "virus free pH 6-9"
	switch {
	case d == Chloramine && p == Giardia:
		name = "giardia chloramine"
	case d == Chloramine:
		name = "virus chloramine"
	case c.PH > 9:
		name = "virus free pH 10"
	}
	return byTemperature()[name].at(c.TempC, log, Conservative)
}

// SegmentCT is one disinfection segment: the CT achieved in it and its water.
type SegmentCT struct {
	CTMgMinL   float64
	Conditions Conditions
}

// Inactivation is what the segments of a train come to.
type Inactivation struct {
	Ratio float64 // sum over segments of CT / CT for the full log
	Log   float64 // full log x ratio
	Why   Reason
	// Beyond says that Log lies above the end of the table, 3 log of Giardia or 4 of
	// virus, of which nothing is published.
	Beyond bool
	Notes  []string
}

// LogInactivation adds the inactivation ratios CTcalc/CT99.9 of the segments;
// the log inactivation is 3.0 x the sum for Giardia (40 CFR 141.534, verified)
// and 4.0 x the sum of CTcalc/CT99.99 for virus (EPA profiling manuals, from
// memory). One segment that is not determined leaves the whole undetermined.
func LogInactivation(p Pathogen, d Disinfectant, segments []SegmentCT, r Reading) Inactivation {
	out := Inactivation{Ratio: nan, Log: nan, Why: InputUnknown}
	sum, full := 0.0, 0.0
	for _, s := range segments {
		t := FullCT(p, d, s.Conditions, r)
		if t.Why != Known {
			out.Why = t.Why
			return out
		}
		if math.IsNaN(s.CTMgMinL) {
			out.Why = ResidualUnknown
			return out
		}
		if t.Note != "" && (len(out.Notes) == 0 || out.Notes[len(out.Notes)-1] != t.Note) {
			out.Notes = append(out.Notes, t.Note)
		}
		sum += s.CTMgMinL / t.CTMgMinL
		full = t.Log
	}
	if len(segments) == 0 {
		return out
	}
	out.Ratio, out.Log, out.Why = sum, full*sum, Known
	out.Beyond = out.Log > full
	return out
}

// GiardiaRegressionCT is the CT for a log inactivation of Giardia by free
// chlorine from the regression of Smith, Clark, Pierce and Regli (1995), quoted
// in the EPA profiling manuals (from memory):
//
//	T <  12.5 °C: 0.353 I (12.006 + exp(2.46 - 0.073 T + 0.125 C + 0.389 pH))
//	T >= 12.5 °C: 0.361 I (-2.261 + exp(2.69 - 0.065 T + 0.111 C + 0.361 pH))
//
// It meets or exceeds every cell of the table. Fitted for 0.5 to 25 °C and pH 6
// to 9, read at those edges below 0.5 °C, above 25 °C and below pH 6; NaN above
// pH 9.
func GiardiaRegressionCT(log float64, c Conditions) float64 {
	if !(c.PH <= 9) {
		return nan
	}
	t := math.Min(math.Max(c.TempC, 0.5), 25)
	ph, cl := math.Max(c.PH, 6), math.Max(c.ChlorineMgL, 0)
	if t < 12.5 {
		return 0.353 * log * (12.006 + math.Exp(2.46-0.073*t+0.125*cl+0.389*ph))
	}
	return 0.361 * log * (-2.261 + math.Exp(2.69-0.065*t+0.111*cl+0.361*ph))
}

// GiardiaPowerCT is a power law printed on a public water-research page
// (verified there; its origin is not stated): 0.2828 pH^2.69 C^0.15
// 0.933^(T-5) L. It lies 11 % below to 8 % above the tables, so it is shown for
// comparison and decides nothing.
func GiardiaPowerCT(log float64, c Conditions) float64 {
	return 0.2828 * math.Pow(c.PH, 2.69) * math.Pow(c.ChlorineMgL, 0.15) * math.Pow(0.933, c.TempC-5) * log
}
