package cell

import (
	"strings"

	"weirbook/analysis/lab"
	"weirbook/analysis/series"
)

// signMeanings are those of the cells; see SignOf.
var signMeanings = map[string]series.Flag{
	"": 0, "=": 0, "<": series.LessThan, "<=": series.LessThan, "=<": series.LessThan, "≤": series.LessThan, "lt": series.LessThan, "less than": series.LessThan,
	"u": series.LessThan, "nd": series.LessThan, "n.d.": series.LessThan, "bdl": series.LessThan, "bql": series.LessThan, "brl": series.LessThan, "bld": series.LessThan,
	"not detected": series.LessThan, "non-detect": series.LessThan, "non detect": series.LessThan, "undetected": series.LessThan,
	"uj": series.LessThan | series.Uncertain,
	">":  series.GreaterThan, ">=": series.GreaterThan, "=>": series.GreaterThan, "≥": series.GreaterThan, "gt": series.GreaterThan, "greater than": series.GreaterThan,
	"j": series.Uncertain, "e": series.Uncertain, "b": series.Uncertain, "h": series.Uncertain, "q": series.Uncertain, "est": series.Uncertain, "estimated": series.Uncertain, "r": series.Bad, "rejected": series.Bad,
}

// SignOf gives the flags that a cell of signs asks for. less says that the column
// asks whether a result is less than its value.
func SignOf(cell string, less bool) (f series.Flag, known bool) {
	s := strings.ToLower(strings.TrimSpace(cell))
	if less {
		switch s {
		case "y", "yes", "true", "x", "1":
			return series.LessThan, true
		case "n", "no", "false", "0":
			return 0, true
		}
	}
	if f, known = signMeanings[s]; known {
		return f, true
	}
	m, known := lab.Of(s)
	return labFlag(m), known
}

// Detected reads a cell of a column that says whether something was detected.
func Detected(text string) (yes, known bool) {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "y", "yes", "true", "1", "d", "det", "detect", "detected", "hit":
		return true, true
	case "n", "no", "false", "0", "nd", "u", "<", "not detected", "non-detect", "nondetect":
		return false, true
	}
	return false, false
}
