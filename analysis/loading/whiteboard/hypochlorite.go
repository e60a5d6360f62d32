package whiteboard

import (
	"fmt"
	"math"

	"weirbook/analysis/loading"
)

// HypochloriteGiven is what is known about a hypochlorite, and optionally about
// what it doses.
type HypochloriteGiven struct {
	Solution         Solution
	AgeDays          float64 // days in storage since the strength was found; NaN: none
	HalfLifeDays     float64 // NaN: no decay
	Feed, Flow, Dose *Amount // optional: two of them
	Dry              float64 // available chlorine of a dry product, percent; NaN: liquid
}

// Hypochlorite writes a strength under every name it goes by, takes storage off,
// and works out feed, flow or dose with it.
func Hypochlorite(g HypochloriteGiven) (*Work, error) {
	w := &Work{Title: "Hypochlorite"}
	if !math.IsNaN(g.Dry) {
		return dryHypochlorite(w, g)
	}
	if !g.Solution.given() {
		return nil, fmt.Errorf("give the --strength (12.5%% --as trade, or 125g/L), or --dry 65%% for a dry product")
	}
	gpl, err := w.gramsPerLitre(g.Solution, false)
	if err != nil {
		return nil, err
	}
	if err := positive("strength", gpl); err != nil {
		return nil, err
	}
	if !math.IsNaN(g.AgeDays) {
		if !(g.AgeDays >= 0) || !(g.HalfLifeDays > 0) {
			return nil, fmt.Errorf("strength after storage needs --age in days and the plant's own --half-life in days, both above zero")
		}
		left := loading.AfterStorage(gpl, g.AgeDays, g.HalfLifeDays)
		w.line("after %s days with a half-life of %s days: g/L = %s ÷ 2^(%s ÷ %s) = %s", mid(g.AgeDays), mid(g.HalfLifeDays), mid(gpl), mid(g.AgeDays), mid(g.HalfLifeDays), mid(left))
		gpl = left
	}
	l := loading.LabelsOf(loading.Strength{Value: gpl, As: loading.GramsPerLitre, SpecificGravity: g.Solution.Gravity})
	if g.Feed != nil || g.Flow != nil || g.Dose != nil {
		d, err := Dose(DoseGiven{Feed: g.Feed, Flow: g.Flow, Dose: g.Dose, Solution: Solution{Strength: gramsOf(gpl), Gravity: g.Solution.Gravity}})
		if err != nil {
			return nil, err
		}
		w.Working = append(w.Working, d.Working...)
		w.Results = append(w.Results, d.Results...)
		w.Notes = append(w.Notes, d.Notes...)
	}
	w.result("available chlorine", l.AvailableChlorine, "g/L")
	w.result("trade percent", l.TradePercent, "%")
	if !math.IsNaN(l.WeightChlorine) {
		w.line("weight percent available chlorine = trade percent ÷ specific gravity = %s ÷ %s = %s", mid(l.TradePercent), mid(g.Solution.Gravity), mid(l.WeightChlorine))
		w.line("weight percent NaOCl = %s ÷ 0.9525 = %s", mid(l.WeightChlorine), mid(l.WeightNaOCl))
		w.result("weight percent available chlorine", l.WeightChlorine, "%")
		w.result("weight percent NaOCl", l.WeightNaOCl, "%")
	} else {
		w.note("give --gravity to see the weight percentages")
	}
	w.result("weight/volume percent NaOCl", l.VolumeNaOCl, "%")
	w.result("chlorine in a gallon", l.PoundsPerGallon, "lb/gal")
	w.note("lb/gal by the exact factor 8.345404")
	w.note("hypochlorite burns and, with acid, frees chlorine gas: follow the plant's own procedures and the product's safety data sheet")
	return w, nil
}

func gramsOf(gpl float64) *Amount {
	a, err := ParseAmount(fmt.Sprintf("%.17g g/L", gpl))
	if err != nil {
		return nil // a finite positive number always parses
	}
	return a
}

func dryHypochlorite(w *Work, g HypochloriteGiven) (*Work, error) {
	if g.Solution.given() || g.Feed != nil {
		return nil, fmt.Errorf("--dry stands for a dry product: give --flow and --dose with it, no strength or feed")
	}
	if !(g.Dry > 0 && g.Dry <= 100) {
		return nil, fmt.Errorf("--dry: the available chlorine of a dry product lies above 0 and up to 100 percent")
	}
	d, err := Dose(DoseGiven{Flow: g.Flow, Dose: g.Dose})
	if err != nil {
		return nil, err
	}
	w.Working = d.Working
	lb := d.Results[0].Value
	p := loading.DryChemical(lb, g.Dry/100)
	w.line("lb/d product = lb/d chlorine ÷ fraction available = %s ÷ %s = %s", mid(lb), mid(g.Dry/100), mid(p))
	w.result("dry product", p, "lb/d")
	w.Results = append(w.Results, d.Results...)
	w.Notes = d.Notes
	w.note("dry hypochlorite is a strong oxidiser: keep it dry and away from acids and organics; follow the product's safety data sheet")
	return w, nil
}
