package draft

import (
	"fmt"
	"strings"
)

// didYouMean suggests a known word for one that is not, "" where none is near.
func didYouMean(word string, known []string) string {
	if w := Nearest(word, known); w != "" {
		return fmt.Sprintf("; did you mean %s?", w)
	}
	return ""
}

// Nearest is the known word that a slip of the hand away from word is meant; ""
// where none is near enough: one change in three letters, two in six.
func Nearest(word string, known []string) string {
	best, low := "", len(word)/3+1
	if low > 3 {
		low = 3
	}
	for _, k := range known {
		if d := slips(strings.ToLower(word), strings.ToLower(k)); d < low {
			best, low = k, d
		}
	}
	return best
}

// slips counts the letters to add, drop, change or swap with the next between two
// words (the optimal string alignment distance).
func slips(a, b string) int {
	x, y := []rune(a), []rune(b)
	d := make([][]int, len(x)+1)
	for i := range d {
		d[i] = make([]int, len(y)+1)
		d[i][0] = i
	}
	for j := range d[0] {
		d[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			d[i][j] = min(d[i-1][j]+1, d[i][j-1]+1, d[i-1][j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				d[i][j] = min(d[i][j], d[i-2][j-2]+1)
			}
		}
	}
	return d[len(x)][len(y)]
}
