package reports

import (
	"fmt"
	"strings"

	"weirbook/analysis"
	"weirbook/analysis/export"
)

// Unread says which of the exports could not be read, wholly or in part, and that
// what is told rests on the others; empty when all were read.
func Unread(read *export.Result) string {
	lost := analysis.Unread(read)
	if len(lost) == 0 {
		return ""
	}
	const shown = 3
	var names []string
	for i, m := range lost {
		if i == shown {
			names = append(names, fmt.Sprintf("%d more", len(lost)-shown))
			break
		}
		why, _, _ := strings.Cut(m.Text, ". ")
		names = append(names, place(m)+why)
	}
	return fmt.Sprintf("Not everything was read, and all figures rest on what was: %s.", strings.Join(names, "; "))
}
