package export

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/rule"
	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// A logger's clock was reset for one row of three hundred; the samples of a laboratory
// are years old and belong there.
func TestFarOffIsSetAside(t *testing.T) {
	var b strings.Builder
	b.WriteString("Time,FLOW,LAB\n2010-01-01 00:00,7,3\n")
	at := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for i := range 300 {
		fmt.Fprintf(&b, "%s,%d,\n", at.Add(time.Duration(i)*time.Minute).Format("2006-01-02 15:04"), 100+i)
	}
	rules := map[string]rule.TagRule{
		"FLOW": {Kind: quantity.Other, Low: math.NaN(), High: math.NaN()},
		"LAB":  {Kind: quantity.Other, Low: math.NaN(), High: math.NaN(), Reading: series.Grab},
	}
	for _, block := range []int{0, 64} {
		r := readAll(t, Options{Rules: rules, BlockSize: block}, memFile("a.csv", []byte(b.String())))
		require.Len(t, r.Series["FLOW"].T, 300)
		require.Equal(t, 100.0, r.Series["FLOW"].V[0])
		require.Equal(t, []float64{3}, r.Series["LAB"].V)
		require.Equal(t, 1, r.Ledger[0].Aside[ledger.FarOff])
		require.Equal(t, 300, r.Ledger[0].Used)
		require.Equal(t, 301, r.Ledger[0].Rows)
		require.Contains(t, allTexts(r), "1 reading of 2010-01-01 00:00 lies further from the others (2026-03-01 00:00 to 2026-03-01 04:59) than these are long, and is set aside")
		var texts []string
		for _, a := range r.SetAside {
			if a.Reason == ledger.FarOff {
				texts = append(texts, fmt.Sprintf("%s:%d %s %s", a.File, a.Line, a.Tag, a.Text))
			}
		}
		require.Equal(t, []string{"a.csv:2 FLOW 2010-01-01 00:00, 7"}, texts)
		r = readAll(t, Options{Rules: rules, KeepFarOff: true}, memFile("a.csv", []byte(b.String())))
		require.Len(t, r.Series["FLOW"].T, 301)
	}
}

// tags.csv says MGD; one file's heading says so too, the other's says gpm. By hand:
// 1389 gpm / 694.444 = 2.000 MGD.
func TestFilesStateUnitsThatDiffer(t *testing.T) {
	mgd, err := quantity.ParseUnit("MGD")
	require.NoError(t, err)
	rules := map[string]rule.TagRule{"FLOW": {Kind: quantity.Flow, Unit: mgd, HasUnit: true, Low: math.NaN(), High: math.NaN()}}
	gpm := memFile("april.csv", []byte("Time,FLOW (gpm)\n2026-04-01 00:00,1388.889\n2026-04-01 00:01,1388.889\n"))
	same := memFile("march.csv", []byte("Time,FLOW (MGD)\n2026-03-31 23:58,2.1\n2026-03-31 23:59,2.2\n"))
	r := readAll(t, Options{Rules: rules}, gpm, same)
	require.InDeltaSlice(t, []float64{2.1, 2.2, 2, 2}, r.Series["FLOW"].V, 1e-4)
	require.Contains(t, allTexts(r), "the exports state units that differ; this one is converted from its own, gpm")
	// Where all state another unit than tags.csv, tags.csv counts, and it is said.
	r = readAll(t, Options{Rules: rules}, gpm)
	require.InDelta(t, 1388.889, r.Series["FLOW"].V[0], 1e-9)
	require.Contains(t, allTexts(r), "the export says gpm, tags.csv says MGD")
}

// A laboratory's revised sheet beside the first one: which is meant is not known.
func TestFilesThatDisagreeAreNamed(t *testing.T) {
	r := readAll(t, Options{}, memFile("lab-april.csv", []byte("Time,TSS\n2026-04-03 08:00,12.4\n2026-04-10 08:00,9\n")), memFile("revised.csv", []byte("Time,TSS\n2026-04-03 08:00,21.4\n")))
	require.Contains(t, allTexts(r), "tag TSS: at 1 time this file holds another reading than lab-april.csv (first 2026-04-03 08:00 of TSS: 12.4 in line 2 there, 21.4 here); that of lab-april.csv is used")
	r = readAll(t, Options{}, memFile("a.csv", []byte("Time,TSS\n2026-04-03 08:00,12.4\n2026-04-10 08:00,9\n2026-04-03 08:00,21.4\n")))
	require.Contains(t, allTexts(r), "tag TSS: at 1 time a further row holds another reading than a.csv (first 2026-04-03 08:00 of TSS: 12.4 in line 2 there, 21.4 here)")
}

// A unit that neither tags.csv nor a heading states is the usual one, and that is told;
// one that a heading states is not.
func TestUnitsThatNothingStates(t *testing.T) {
	mgd, err := quantity.ParseUnit("MGD")
	require.NoError(t, err)
	unstated := rule.TagRule{Kind: quantity.Flow, Unit: mgd, Low: math.NaN(), High: math.NaN()}
	rules := map[string]rule.TagRule{"FLOW": unstated, "Q2": unstated}
	r := readAll(t, Options{Rules: rules}, memFile("a.csv", []byte("Time,FLOW,Q2 (MGD)\n2026-04-01 00:00,250,2\n2026-04-01 00:01,251,2.1\n")))
	require.Contains(t, allTexts(r), "read in the usual one: FLOW as MGD.")
}
