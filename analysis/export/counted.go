package export

import "strconv"

// counted writes a number with the words for one or for several.
func counted(n int, one, several string) string {
	return strconv.Itoa(n) + " " + pick(n, one, several)
}

// pick gives the word for one or for several.
func pick(n int, one, several string) string {
	if n == 1 {
		return one
	}
	return several
}
