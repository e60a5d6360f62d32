package speciation_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/speciation"
	"weirbook/testdata/published"
)

// TestPublishedSpeciation puts the published numbers about HOCl, the Nernst
// slope, reference electrodes and ORP standards on the sheet of published
// checks. Where texts disagree the tolerance is their disagreement.
func TestPublishedSpeciation(t *testing.T) {
	sheet := published.NewSheet(t)
	for _, r := range published.Load(t, "ct_hocl_fraction").Rows {
		temp, ph := r.Num(t, "temp_c"), r.Num(t, "ph")
		sheet.Row(r, "pka_morris", speciation.PKaHOCl(temp))
		sheet.Row(r, "hocl_percent", 100*speciation.HOClFraction(ph, temp))
	}
	for _, r := range published.Load(t, "ct_nernst_slope").Rows {
		sheet.Row(r, "mv_per_decade_one_electron", speciation.NernstSlope(r.Num(t, "temp_c"), 1))
		sheet.Row(r, "mv_per_decade_two_electron", speciation.NernstSlope(r.Num(t, "temp_c"), 2))
	}
	for _, r := range published.Load(t, "ct_reference_electrodes").Rows {
		ref, err := speciation.ParseReference(r.Text(t, "reference_electrode"))
		require.NoError(t, err)
		got, err := speciation.Offset(ref, r.Num(t, "temp_c"))
		require.NoError(t, err)
		tol := published.HalfUnit(r.Text(t, "mv_vs_she"))
		if mv := r.Text(t, "mv_vs_she"); mv == "213" && ref == speciation.AgCl3M || mv == "201" {
			tol = 6 // 3 M KCl: 201, 207, 210 and 213 mV stand in different texts
		}
		sheet.Check(string(ref)+" at "+r.Text(t, "temp_c")+" °C", r.Source(), r.Mark(), r.Text(t, "mv_vs_she"), tol, got.MV)
	}
	tab := published.Load(t, "ct_worked_examples")
	r := tab.Find(t, "hocl-davis")
	sheet.Row(r, "expected", 100*(1-speciation.HOClFractionAt(r.In(t, "ph"), r.In(t, "pka"))))
	r = tab.Find(t, "hocl-90")
	sheet.Check("hocl-90", r.Source(), r.Mark(), "90", 0.02, 100*speciation.HOClFractionAt(r.Num(t, "expected"), -math.Log10(r.In(t, "ka"))))
	r = tab.Find(t, "eh-convert-1")
	v, err := speciation.ToReference(r.In(t, "orp_mv"), speciation.AgCl3M, speciation.SHE, r.In(t, "temp_c"))
	require.NoError(t, err)
	sheet.Check("eh-convert-1", r.Source(), r.Mark(), r.Text(t, "expected"), 3, v) // their offset is 213 mV, the manual's 210
}
