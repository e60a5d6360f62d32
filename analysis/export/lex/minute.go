package lex

import (
	"bytes"
)

const Minute = 60_000 // ms

func FloorDiv(a, b int64) int64 {
	q := a / b
	if a%b != 0 && (a < 0) != (b < 0) {
		q--
	}
	return q
}

// SameMinute says whether two times, in ms, lie in one minute.
func SameMinute(a, b int64) bool {
	return uint64(a-b+Minute) < 2*Minute && FloorDiv(a, Minute) == FloorDiv(b, Minute)
}

func Decimals(b []byte) int {
	if i := bytes.IndexAny(b, ".,"); i >= 0 {
		return len(b) - i - 1
	}
	return 0
}

func FloorMod(a, b int64) int64 {
	m := a % b
	if m < 0 {
		m += b
	}
	return m
}

func AbsDiff(a, b int64) int64 {
	if a < b {
		return b - a
	}
	return a - b
}
