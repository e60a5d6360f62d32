package ledger

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
)

const fromLine = " (from line "

// TableName names a table that begins at a line of a file, and is not its first.
func TableName(file string, line int) string {
	return fmt.Sprintf("%s%s%d)", file, fromLine, line)
}

// CompareNames orders tables by file, and those of one file as they stand in it.
func CompareNames(a, b string) int {
	if a == b {
		return 0
	}
	fa, la := splitTableName(a)
	fb, lb := splitTableName(b)
	return cmp.Or(strings.Compare(fa, fb), cmp.Compare(la, lb), strings.Compare(a, b))
}

func splitTableName(s string) (file string, line int) {
	if i := strings.LastIndex(s, fromLine); i >= 0 && strings.HasSuffix(s, ")") {
		if n, err := strconv.Atoi(s[i+len(fromLine) : len(s)-1]); err == nil {
			return s[:i], n
		}
	}
	return s, 0
}
