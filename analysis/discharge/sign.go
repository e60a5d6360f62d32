package discharge

import (
	"weirbook/analysis/series"
)

// Sign is what stands before a laboratory result.
type Sign string

// Signs. Less: the result lies below the number. Greater: above it.
const (
	Exact   Sign = ""
	Less    Sign = "<"
	Greater Sign = ">"
)

// Value is a number with its sign.
type Value struct {
	V    float64
	Sign Sign
}

func signOf(f series.Flag) Sign {
	switch {
	case f&series.GreaterThan != 0:
		return Greater
	case f&series.LessThan != 0:
		return Less
	}
	return Exact
}

// ofSign counts the values with a sign.
func ofSign(vs []Value, s Sign) (n int) {
	for _, v := range vs {
		if v.Sign == s {
			n++
		}
	}
	return n
}
