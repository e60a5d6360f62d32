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

// Value is a number with its sign. Where the number is not known (V NaN), Less is
// a result below a limit that nobody states, Greater one of more than can be
// counted; without a sign there is no result.
type Value struct {
	V    float64
	Sign Sign
}

// there says that v is a result, with or without a number.
func (v Value) there() bool { return finite(v.V) || v.Sign != Exact }

// numberless counts the results of a sign that have no number.
func numberless(vs []Value, s Sign) (n int) {
	for _, v := range vs {
		if v.Sign == s && !finite(v.V) {
			n++
		}
	}
	return n
}

// SignOf is the sign of a reading, by its flags.
func SignOf(f series.Flag) Sign {
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
