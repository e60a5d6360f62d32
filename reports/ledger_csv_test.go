package reports

import (
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export"
)

// What set-aside.csv does not list it accounts for, reason by reason. Expected
// text by hand: a wide row cut short stands as one line for its three tags, blank
// cells have no text.
func TestSetAsideSaysWhatItDoesNotList(t *testing.T) {
	var ledger []export.LedgerRow
	for _, tag := range []string{"A", "B", "C"} {
		l := export.LedgerRow{File: "a.csv", Tag: tag, Rows: 10, Used: 7}
		l.Aside[export.CutShort], l.Aside[export.BlankValue] = 1, 2
		ledger = append(ledger, l)
	}
	b := export.LedgerRow{File: "b.csv", Tag: "A", Rows: 301, Used: 1}
	b.Aside[export.TextValue] = 300
	ledger = append(ledger, b)
	rows := []export.SetAside{{File: "a.csv", Line: 4, Reason: export.CutShort, Text: "2026-03-25 06:00,1"}}
	for i := range export.SetAsideCap {
		rows = append(rows, export.SetAside{File: "b.csv", Line: 2 + i, Tag: "A", Reason: export.TextValue, Text: "broken"})
	}
	out, err := asideCSV(rows, ledger)
	require.NoError(t, err)
	s := string(out)
	require.Contains(t, s, "a.csv,,,not listed,\"blank: 6 readings, none of them listed; readings.csv counts them by tag\"")
	require.Contains(t, s, "a.csv,,,not listed,\"row cut short: lines listed: 1; they hold 3 readings, one of each tag's column; readings.csv counts them by tag\"")
	require.Contains(t, s, "b.csv,,,not listed,\"text in place of a value: the first 200 lines are listed, 300 readings are counted; readings.csv counts them by tag\"")
}
