package whiteboard

import (
	"fmt"

	"weirbook/analysis/loading"
	"weirbook/analysis/quantity"
)

// Solution is what a liquid chemical holds, as the label gives it.
type Solution struct {
	Strength *Amount            // percent or g/L
	As       loading.StrengthAs // what a percentage means; empty for g/L
	Gravity  float64            // specific gravity; NaN: not given
}

// gramsPerLitre writes the content of a litre on the board.
func (w *Work) gramsPerLitre(s Solution, salt bool) (float64, error) {
	switch s.Strength.Unit.Dimension {
	case quantity.Concentration:
		return w.in("strength", s.Strength, "g/L")
	case quantity.Percent:
	default:
		return 0, fmt.Errorf("strength: write a percentage or g/L, such as 12.5%% or 125g/L")
	}
	as := s.As
	if as == "" && salt {
		as = loading.WeightPercent
	}
	if as == "" {
		return 0, fmt.Errorf("strength: say what %s %% is with --as: trade (g/L available chlorine ÷ 10), chlorine (weight percent available chlorine), naocl (weight percent NaOCl) or volume (weight/volume percent NaOCl); they differ by 15 percent and more", Num(s.Strength.Value))
	}
	st := loading.Strength{Value: s.Strength.Value, As: as, SpecificGravity: s.Gravity}
	if err := st.Check(); err != nil {
		return 0, fmt.Errorf("%w; give it with --gravity", err)
	}
	g := st.GramsPerLitre()
	v, sg := mid(st.Value), mid(s.Gravity)
	switch as {
	case loading.TradePercent:
		w.line("g/L available chlorine = trade percent × 10 = %s × 10 = %s", v, mid(g))
	case loading.WeightChlorine:
		w.line("g/L available chlorine = weight percent × specific gravity × 10 = %s × %s × 10 = %s", v, sg, mid(g))
	case loading.WeightNaOCl:
		w.line("g/L available chlorine = weight percent NaOCl × 0.9525 × specific gravity × 10 = %s × 0.9525 × %s × 10 = %s", v, sg, mid(g))
	case loading.VolumeNaOCl:
		w.line("g/L available chlorine = w/v percent NaOCl × 0.9525 × 10 = %s × 0.9525 × 10 = %s", v, mid(g))
	case loading.WeightPercent:
		w.line("g/L = weight percent × specific gravity × 10 = %s × %s × 10 = %s", v, sg, mid(g))
	}
	return g, nil
}

// ParseAs reads what a percentage means.
func ParseAs(s string) (loading.StrengthAs, error) {
	switch s {
	case "":
		return "", nil
	case "trade":
		return loading.TradePercent, nil
	case "chlorine":
		return loading.WeightChlorine, nil
	case "naocl":
		return loading.WeightNaOCl, nil
	case "volume":
		return loading.VolumeNaOCl, nil
	case "weight":
		return loading.WeightPercent, nil
	}
	for _, as := range loading.StrengthWords() {
		if s == string(as) {
			return as, nil
		}
	}
	return "", fmt.Errorf("strength as %q: write trade, chlorine, naocl, volume or weight", s)
}

// feedResults gives a solution feed in the units that pumps are set in.
func (w *Work) feedResults(galPerDay float64) {
	w.result("feed", galPerDay, "gal/d")
	w.result("feed", galPerDay/24, "gal/h")
	w.result("feed", galPerDay*quantity.LitresPerGallon*1000/quantity.MinutesPerDay, "mL/min")
}

// given says whether a solution was described at all.
func (s Solution) given() bool { return s.Strength != nil }
