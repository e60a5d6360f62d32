package whiteboard

import (
	"fmt"
	"math"
	"strings"

	"weirbook/analysis/speciation"
)

// Factor is one quantity of a product: above the line with Power 1, below it with -1.
type Factor struct {
	Name, Unit string
	Given      *Amount // nil: the one to work out
	Power      int
}

// Product solves constant × Π factors = 1 for the one factor that is missing, and
// writes the sum as on the board. constant is written as text; empty for 1.
func Product(title string, constant float64, text string, fs ...Factor) (*Work, error) {
	var names []string
	var given []bool
	for _, f := range fs {
		names, given = append(names, f.Name), append(given, f.Given != nil)
	}
	miss, err := unknown(names, given)
	if err != nil {
		return nil, err
	}
	w := &Work{Title: title}
	value, unit := 1.0, ""
	var above, below, over, under []string // names, then numbers
	sign := 1
	for _, f := range fs {
		if f.Name == miss {
			sign, unit = -f.Power, f.Unit
		}
	}
	put := func(power int, name, number string) {
		if power > 0 {
			above, over = append(above, name), append(over, number)
		} else {
			below, under = append(below, name), append(under, number)
		}
	}
	for _, f := range fs {
		if f.Name == miss {
			continue
		}
		v, err := w.in(f.Name, f.Given, f.Unit)
		if err != nil {
			return nil, err
		}
		if f.Power*sign < 0 {
			if err := positive(f.Name, v); err != nil {
				return nil, err
			}
		}
		value *= math.Pow(v, float64(f.Power*sign))
		put(f.Power*sign, f.Name, mid(v))
	}
	if text != "" {
		value *= math.Pow(constant, float64(sign))
		put(sign, text, text)
	}
	w.line("%s = %s", miss, quotient(above, below))
	w.line("%s = %s", miss, quotient(over, under))
	w.line("%s = %s %s", miss, mid(value), unit)
	w.result(miss, value, unit)
	return w, nil
}

func quotient(above, below []string) string {
	s := strings.Join(above, " × ")
	if s == "" {
		s = "1"
	}
	switch len(below) {
	case 0:
		return s
	case 1:
		return s + " ÷ " + below[0]
	}
	return s + " ÷ (" + strings.Join(below, " × ") + ")"
}

// SolutionWeight is the weight of a solution fed: lb/d = gal/d × 8.34 × specific
// gravity.
//
// Source: operator formula sheets; from memory.
func SolutionWeight(feed, weight *Amount, gravity float64) (*Work, error) {
	var g *Amount
	if !math.IsNaN(gravity) {
		if !(gravity > 0.5 && gravity < 3) {
			return nil, fmt.Errorf("specific gravity %s: that of a solution lies near 1", Num(gravity))
		}
		g, _ = ParseAmount(fmt.Sprintf("%.17g ratio", gravity)) // a finite number always parses
	}
	w, err := Product("Weight of a solution", 8.34, "8.34", Factor{"feed", "gpd", feed, 1}, Factor{"gravity", "ratio", g, 1}, Factor{"weight", "lb/d", weight, -1})
	if err != nil {
		return nil, err
	}
	w.note("this is the weight of the whole solution; the active chemical is its share by weight")
	return w, nil
}

// Batch is a dilution: concentration × volume before = concentration × volume after,
// any one unknown.
//
// Source: conservation of mass.
func Batch(strong, strongVolume, weak, weakVolume *Amount) (*Work, error) {
	w, err := Product("Batch", 1, "", Factor{"strong", "g/L", strong, 1}, Factor{"use", "gal", strongVolume, 1}, Factor{"weak", "g/L", weak, -1}, Factor{"make", "gal", weakVolume, -1})
	if err != nil {
		return nil, err
	}
	w.note("strong × use = weak × make: the water added is what is made less what is used. Add hypochlorite and acids to water, never mix them with one another, and follow the plant's own procedures")
	return w, nil
}

// HOCl is the share of free chlorine that is hypochlorous acid.
func HOCl(pH, tempC float64) (*Work, error) {
	if !(pH >= 0 && pH <= 14) {
		return nil, fmt.Errorf("give the --ph, 0 to 14")
	}
	if math.IsNaN(tempC) {
		return nil, fmt.Errorf("give the water's temperature, as in --temp 15degC")
	}
	if !(tempC >= 0 && tempC <= 40) {
		return nil, fmt.Errorf("temperature %s °C: the formula holds from 0 to 40", Num(tempC))
	}
	pKa := speciation.PKaHOCl(tempC)
	w := &Work{Title: "Hypochlorous acid"}
	w.line("pKa at %s °C = %s", mid(tempC), mid(pKa))
	w.line("HOCl = 1 ÷ (1 + 10^(pH − pKa)) = 1 ÷ (1 + 10^(%s − %s)) = %s", mid(pH), mid(pKa), mid(speciation.HOClFraction(pH, tempC)))
	w.result("HOCl", 100*speciation.HOClFraction(pH, tempC), "% of free chlorine")
	w.note("of free chlorine only: with ammonia in the water most of it is combined, and this share says nothing")
	return w, nil
}

// GeometricMean is the nth root of a product of results, each above zero.
func GeometricMean(vs []float64) (*Work, error) {
	if len(vs) == 0 {
		return nil, fmt.Errorf("give the results, as in: calc geomean 12 30 6")
	}
	sum := 0.0
	var texts []string
	for _, v := range vs {
		if !(v > 0) {
			return nil, fmt.Errorf("%s has no logarithm: the permit says what a result of zero or below a limit counts for", Num(v))
		}
		sum += math.Log10(v)
		texts = append(texts, mid(v))
	}
	w := &Work{Title: "Geometric mean"}
	w.line("mean of the logarithms = (log %s) ÷ %d = %s", strings.Join(texts, " + log "), len(vs), mid(sum/float64(len(vs))))
	w.line("geometric mean = 10^%s = %s", mid(sum/float64(len(vs))), mid(math.Pow(10, sum/float64(len(vs)))))
	w.result("geometric mean", math.Pow(10, sum/float64(len(vs))), "")
	return w, nil
}
