package loading

import "math"

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
