package loading

import "math"

// Use is what a feed used over a period.
type Use struct {
	Pounds    float64 // active chemical: as chlorine, or the dechlorination agent; trade factor
	Kilograms float64 // the same, exact
	Gallons   float64 // solution; NaN for gas and dry feeds
	Cost      float64 // NaN when no price is stated
	Cover     float64 // share of the period in which the feed was known
}

// UseOfLiquid is the use from the gallons fed. price is per gallon of solution
// when perGallon is set, else per pound of active chemical; NaN for no price.
// Kilograms follow from litres and g/L exactly.
func UseOfLiquid(gallons, gPerL, price float64, perGallon bool) Use {
	u := Use{
		Pounds:    gallons * Trade.PoundsPerGallon(gPerL),
		Kilograms: gallons * 3.785411784 * gPerL / 1000,
		Gallons:   gallons,
		Cost:      math.NaN(),
	}
	if perGallon {
		u.Cost = price * gallons
	} else {
		u.Cost = price * u.Pounds
	}
	return u
}

// UseOfGas is the use from the pounds weighed out.
func UseOfGas(pounds, pricePerPound float64) Use {
	return Use{Pounds: pounds, Kilograms: pounds * 0.45359237, Gallons: math.NaN(), Cost: pounds * pricePerPound}
}

// DaysLeft is how long what is in store lasts at the given use per day, same
// unit; NaN when nothing is used.
func DaysLeft(inStore, perDay float64) float64 {
	if !(perDay > 0) {
		return math.NaN()
	}
	return inStore / perDay
}

// PoundsPerMG is the chemical used per volume treated, lb per million gallons;
// NaN when nothing was treated.
func PoundsPerMG(pounds, millionGallons float64) float64 { return ratio(pounds, millionGallons) }
