package contact_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/contact"
	"weirbook/testdata/published"
)

// TestPublishedContact puts every published number about contact time, CT and
// inactivation on the sheet of published checks, one row each. The other tests
// of this package say more about the tables; this one leaves no cell out.
func TestPublishedContact(t *testing.T) {
	sheet := published.NewSheet(t)
	water := func(r published.Row) contact.Conditions {
		return contact.Conditions{TempC: r.Num(t, "temp_c"), PH: r.Num(t, "ph"), ChlorineMgL: r.Num(t, "chlorine_mg_l")}
	}
	for _, r := range published.Load(t, "ct_giardia_ct_free_chlorine").Rows {
		sheet.Check(cell("Giardia, free chlorine", r), r.Source(), r.Mark(), r.Text(t, "ct_mg_min_l"), 0,
			contact.FullCT(contact.Giardia, contact.FreeChlorine, water(r), contact.Conservative).CTMgMinL)
	}
	for _, r := range published.Load(t, "ct_giardia_ct_fractional_log").Rows {
		sheet.Check(cell("Giardia, "+r.Text(t, "log_inactivation")+" log", r), r.Source(), r.Mark(), r.Text(t, "ct_mg_min_l"), 0,
			contact.PrintedCT(contact.Giardia, contact.FreeChlorine, r.Num(t, "log_inactivation"), water(r)))
	}
	for _, r := range published.Load(t, "ct_giardia_regression_check").Rows {
		sheet.Check(cell("Giardia regression", r), r.Source(), r.Mark(), r.Text(t, "regression_ct_3log"), published.HalfUnit(r.Text(t, "regression_ct_3log")), contact.GiardiaRegressionCT(3, water(r)))
	}
	for _, r := range published.Load(t, "ct_virus_ct_free_chlorine").Rows {
		for _, edge := range []string{"ph_low", "ph_high"} {
			c := contact.Conditions{TempC: r.Num(t, "temp_c"), PH: r.Num(t, edge), ChlorineMgL: 1}
			sheet.Check("virus, free chlorine, "+r.Text(t, "temp_c")+" °C, pH "+r.Text(t, edge)+", "+r.Text(t, "log_inactivation")+" log", r.Source(), r.Mark(), r.Text(t, "ct_mg_min_l"), 0,
				contact.PrintedCT(contact.Virus, contact.FreeChlorine, r.Num(t, "log_inactivation"), c))
		}
	}
	for _, r := range published.Load(t, "ct_giardia_virus_ct_chloramine").Rows {
		p := contact.Virus
		if r.Text(t, "organism") == "giardia" {
			p = contact.Giardia
		}
		c := contact.Conditions{TempC: r.Num(t, "temp_c"), PH: 7.5, ChlorineMgL: math.NaN()}
		sheet.Check(r.Text(t, "organism")+", chloramine, "+r.Text(t, "temp_c")+" °C, "+r.Text(t, "log_inactivation")+" log", r.Source(), r.Mark(), r.Text(t, "ct_mg_min_l"), 0,
			contact.PrintedCT(p, contact.Chloramine, r.Num(t, "log_inactivation"), c))
	}
	for _, r := range published.Load(t, "ct_tanks_in_series").Rows {
		n := r.Num(t, "n")
		sheet.Row(r, "t10_over_hrt", contact.TanksTime(n, 0.10))
		sheet.Row(r, "t50_over_hrt", contact.TanksTime(n, 0.50))
		sheet.Row(r, "t90_over_hrt", contact.TanksTime(n, 0.90))
		sheet.Row(r, "morrill_t90_t10", contact.TanksTime(n, 0.90)/contact.TanksTime(n, 0.10))
		sheet.Row(r, "mode_over_hrt", contact.TanksMode(n))
	}
	for _, r := range published.Load(t, "ct_dispersion_variance").Rows {
		d := r.Num(t, "dispersion_number")
		sheet.Row(r, "variance_closed", contact.DispersionVarianceClosed(d))
		sheet.Row(r, "variance_open", contact.DispersionVarianceOpen(d))
		sheet.Row(r, "equivalent_tanks_closed", contact.EquivalentTanks(d))
	}
	var factors []float64
	for _, b := range contact.BafflingTable() {
		factors = append(factors, b.Factor)
	}
	for _, r := range published.Load(t, "ct_baffling_factors").Rows {
		if r.Text(t, "extent_of_baffling") == "state table" {
			continue // another state's additions; a plant may write any factor
		}
		// Both lists run from unbaffled to perfect.
		require.NotEmpty(t, factors, r.Text(t, "condition"))
		sheet.Check("baffling factor, "+r.Text(t, "condition"), r.Source(), r.Mark(), r.Text(t, "t10_over_t"), 0, factors[0])
		factors = factors[1:]
	}
	require.Empty(t, factors, "factors that the published table does not have")
	workedOnSheet(t, sheet)
}

// workedOnSheet adds the worked examples.
func workedOnSheet(t *testing.T, sheet *published.Sheet) {
	tab := published.Load(t, "ct_worked_examples")
	const gpm = 1440.0 / 1e6 // MGD
	row := func(id string, ours func(r published.Row) float64) {
		r := tab.Find(t, id)
		sheet.Row(r, "expected", ours(r))
	}
	at := func(r published.Row) contact.Conditions {
		return contact.Conditions{TempC: r.In(t, "temp_c"), PH: r.In(t, "ph"), ChlorineMgL: r.In(t, "chlorine_mg_l")}
	}
	row("epa-ct-1", func(r published.Row) float64 {
		ct := r.In(t, "chlorine_mg_l") * contact.ContactTimeMin(r.In(t, "volume_gal"), r.In(t, "peak_flow_gpm")*gpm, r.In(t, "baffling"))
		return contact.LogInactivation(contact.Giardia, contact.FreeChlorine, []contact.SegmentCT{{CTMgMinL: ct, Conditions: at(r)}}, contact.Conservative).Log
	})
	row("epa-ct-2", func(r published.Row) float64 {
		c := contact.Conditions{TempC: 0.5, PH: 6, ChlorineMgL: 0.8}
		return contact.LogInactivation(contact.Virus, contact.FreeChlorine, []contact.SegmentCT{{CTMgMinL: r.In(t, "ct_calc"), Conditions: c}}, contact.Conservative).Log
	})
	row("ct-141.534", func(r published.Row) float64 { // the cell of 100: 5 °C, pH 6, 0.6 mg/L
		c := contact.Conditions{TempC: 5, PH: 6, ChlorineMgL: 0.6}
		return contact.LogInactivation(contact.Giardia, contact.FreeChlorine, []contact.SegmentCT{{CTMgMinL: r.In(t, "ct_calc"), Conditions: c}}, contact.Linear).Log
	})
	row("ct-interp-ph", func(r published.Row) float64 {
		return contact.FullCT(contact.Giardia, contact.FreeChlorine, at(r), contact.Linear).CTMgMinL
	})
	row("ct-nointerp", func(r published.Row) float64 {
		return contact.FullCT(contact.Giardia, contact.FreeChlorine, at(r), contact.Conservative).CTMgMinL
	})
	row("clark-hom-1", func(r published.Row) float64 { return contact.GiardiaPowerCT(r.In(t, "log"), at(r)) })
	row("t22-1", func(r published.Row) float64 { return contact.ReuseRequirement().CTMgMinL / r.In(t, "modal_min") })
	row("contact-15", func(r published.Row) float64 {
		return r.In(t, "minutes") / contact.ContactTimeMin(1, r.In(t, "peak_flow_mgd"), 1)
	})
	row("disp-var-closed", func(r published.Row) float64 { return contact.DispersionVarianceClosed(r.In(t, "d")) })
	for _, n := range []string{"1", "2", "3", "4", "5", "6"} {
		row("tis-t10-"+n, func(r published.Row) float64 { return contact.TanksTime(r.In(t, "n"), 0.10) })
	}
	// The step-dose tracer test, read as samples.
	test := contact.TracerTest{Kind: contact.Step, FlowMGD: 3.6, VolumeGal: 75_000, Background: 0.2, Applied: 2.0}
	for _, r := range published.Load(t, "ct_tracer_step_dose").Rows {
		test.Min, test.MgL = append(test.Min, r.Num(t, "t_min")), append(test.MgL, r.Num(t, "measured_mg_l"))
	}
	got, err := contact.AnalyseTracer(test)
	require.NoError(t, err)
	r := tab.Find(t, "tracer-t10")
	// The note interpolates between rounded shares (0.24 for 0.2425).
	sheet.Check("tracer-t10, from the samples", r.Source(), r.Mark(), r.Text(t, "expected"), 0.05, got.T10)
}

func cell(what string, r published.Row) string {
	return what + ", " + r.Cells["temp_c"] + " °C, pH " + r.Cells["ph"] + ", " + r.Cells["chlorine_mg_l"] + " mg/L"
}
