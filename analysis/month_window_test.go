package analysis_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/ledger"
)

// A month keeps no signal's readings of other years, and all of a laboratory's results.
func TestMonthReadsItsYear(t *testing.T) {
	const tags = "tag,measures,at,unit,reading\nQ,flow,out,MGD,continuous\nTRC,chlorine_total,out,mg/L,grab\n"
	const toml = `name = "Window"
time_zone = "UTC"
[[limit]]
parameter = "chlorine_total"
at = "out"
statistic = "maximum daily"
value = 4
sample = "grab"
`
	var b strings.Builder
	b.WriteString("Time,Q,TRC\n")
	for _, year := range []int{2024, 2026} {
		for d := 1; d <= 30; d++ {
			fmt.Fprintf(&b, "%d-04-%02d 08:00,2,0.5\n", year, d)
		}
	}
	r := sheetMonth(t, toml, tags, b.String())
	require.Equal(t, 30, r.Read.Series["Q"].Len())
	require.Equal(t, 60, r.Read.Series["TRC"].Len())
	for _, l := range r.Read.Ledger {
		require.True(t, l.AddsUp())
		require.Equal(t, map[string]int{"Q": 30, "TRC": 0}[l.Tag], l.Aside[ledger.OutsidePeriod])
	}
}
