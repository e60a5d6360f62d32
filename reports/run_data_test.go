package reports

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export"
)

// A month of daily files says once what each of them says.
func TestReaderWordsOfManyFiles(t *testing.T) {
	var r export.Result
	for d := 1; d <= 31; d++ {
		r.Messages = append(r.Messages, export.Message{File: fmt.Sprintf("day-%02d.csv", d), Line: 1, Text: "x"})
	}
	r.Messages = append(r.Messages, export.Message{File: "day-09.csv", Line: 7, Text: "y"})
	require.Equal(t, []string{"day-01.csv and 30 other files alike: x", "day-09.csv:7: y"}, readerWords(&r, export.Note))
}
