package speciation

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Morris (1966) pKa to half a unit of the fourth decimal, the fraction to half
// of 0.01 percent (derived from the formula, which is from memory).
func TestHOClFractionGrid(t *testing.T) {
	rows := published(t, "ct_hocl_fraction.csv")
	require.Len(t, rows, 49)
	for _, r := range rows {
		temp, ph := num(t, r["temp_c"]), num(t, r["ph"])
		near(t, num(t, r["pka_morris"]), PKaHOCl(temp), 0.00005, r)
		near(t, num(t, r["hocl_percent"]), 100*HOClFraction(ph, temp), 0.005, r)
	}
}

// Independent published points of the acid constant; the spread of the texts
// is 0.05 pH.
func TestPKaAgainstIndependentPoints(t *testing.T) {
	near(t, 7.54, PKaHOCl(25), 0.05)                // Davis, Example 13-1 (verified)
	near(t, 7.49, PKaHOCl(25), 0.05)                // chemical data sheet (verified)
	near(t, -math.Log10(2.9e-8), PKaHOCl(25), 0.05) // university teaching simulation (verified)
	near(t, -math.Log10(2.7e-8), PKaHOCl(20), 0.05) // published exam problem (verified)
}

// Davis, Water and Wastewater Engineering, Example 13-1 (verified): pH 7.0 at
// 25 °C holds 77.63 % HOCl and 22.37 % OCl-. The book's Ka is 2.88e-8.
func ExampleHOClFractionAt() {
	pKa := -math.Log10(2.88e-8)
	f := HOClFractionAt(7.0, pKa)
	fmt.Printf("HOCl %.2f %%, OCl- %.2f %%\n", 100*f, 100*(1-f))
	// Output: HOCl 77.64 %, OCl- 22.36 %
}

// The book's own figures lie within the rounding of its Ka (2.88 ± 0.005e-8
// moves the fraction by 0.03 points).
func TestDavisExample(t *testing.T) {
	near(t, 22.37, 100*(1-HOClFractionAt(7.0, -math.Log10(2.88e-8))), 0.03)
	near(t, 22.37, 100*(1-HOClFractionAt(7.0, 7.54)), 0.03)
}

// Ka 2.7e-8 from a published exam problem; the answer is derived.
func TestPHForNinetyPercent(t *testing.T) {
	near(t, 90, 100*HOClFractionAt(6.614, -math.Log10(2.7e-8)), 0.02)
}

func TestNernstSlope(t *testing.T) {
	rows := published(t, "ct_nernst_slope.csv")
	require.Len(t, rows, 8)
	for _, r := range rows {
		temp := num(t, r["temp_c"])
		near(t, num(t, r["mv_per_decade_one_electron"]), NernstSlope(temp, 1), 0.0006, r)
		near(t, num(t, r["mv_per_decade_two_electron"]), NernstSlope(temp, 2), 0.0006, r)
	}
}

// Every row of the reference electrode table. Texts disagree on 3 M KCl; the
// rows that are not the one we use are held to the disagreement.
func TestReferenceElectrodes(t *testing.T) {
	for _, r := range published(t, "ct_reference_electrodes.csv") {
		ref, err := ParseReference(r["reference_electrode"])
		require.NoError(t, err)
		got, err := Offset(ref, num(t, r["temp_c"]))
		require.NoError(t, err)
		tol := 0.5
		if r["mv_vs_she"] == "213" && ref == AgCl3M || r["mv_vs_she"] == "201" {
			tol = 6 // 3 M KCl: 201, 207, 210 and 213 mV stand in different texts
		}
		near(t, num(t, r["mv_vs_she"]), got.MV, tol, r)
		require.NotEmpty(t, got.Mark)
		require.NotEmpty(t, got.Source)
	}
}

var standardNames = map[string]Solution{
	"quinhydrone in phthalate buffer (pH 4)":         QuinhydronePH4,
	"quinhydrone in neutral phosphate buffer (pH 7)": QuinhydronePH7,
	"ZoBell": ZoBell,
	"Light":  Light,
}

// Every row of the ORP standards table for which solution and reference are
// stated. Rows of another source than the one used are held to the texts'
// disagreement, named beside the tolerance.
func TestORPStandards(t *testing.T) {
	seen := 0
	for _, r := range published(t, "ct_orp_standards.csv") {
		s, ok := standardNames[r["solution"]]
		if !ok {
			continue // another maker's quinhydrone: below
		}
		var refs []Reference
		tol := 0.05
		switch r["reference_electrode"] {
		case "SHE scale": // 428 - 2.2 (T - 25) against the other text's polynomial
			refs, tol = []Reference{SHE}, 6.5
		case "Ag/AgCl saturated or 4M KCl":
			refs = []Reference{AgClSat, AgCl4M}
		default:
			ref, err := ParseReference(r["reference_electrode"])
			require.NoError(t, err)
			refs = []Reference{ref}
		}
		for _, ref := range refs {
			got, err := StandardReading(s, ref, num(t, r["temp_c"]))
			require.NoError(t, err)
			near(t, num(t, r["mv"]), got.MV, tol, r)
			seen++
		}
	}
	require.Equal(t, 16+8+5+5+4, seen)

	// 1 molal KCl, another maker: 228 and 51 mV, stated accuracy about 10 mV
	// (verified). Ours goes through SHE with an offset from memory.
	for sol, want := range map[Solution]float64{QuinhydronePH4: 228, QuinhydronePH7: 51} {
		got, err := StandardReading(sol, AgCl1M, 25)
		require.NoError(t, err)
		near(t, want, got.MV, 10)
	}
}

// Quinhydrone follows the Nernst slope: (257.6 - 89.0) mV over the 2.857 pH
// between phthalate (4.008) and phosphate (6.865) is 59.0 mV/pH (derived).
func TestQuinhydroneSlope(t *testing.T) {
	a, err := StandardReading(QuinhydronePH4, AgCl333M, 25)
	require.NoError(t, err)
	b, err := StandardReading(QuinhydronePH7, AgCl333M, 25)
	require.NoError(t, err)
	near(t, NernstSlope(25, 1), (a.MV-b.MV)/(6.865-4.008), 0.2)
}

// ZoBell against SHE less ZoBell against 4 M Ag/AgCl is the electrode's own
// potential, 199 mV at 25 °C; the two published columns (from memory) give its
// change with temperature to 3 mV.
func TestZoBellGivesTheElectrode(t *testing.T) {
	for temp, pair := range map[float64][2]float64{10: {467.2, 250.5}, 15: {455.1, 244}, 20: {442.8, 237.5}, 25: {430.3, 231}, 30: {417.6, 224.5}} {
		e, err := Offset(AgCl4M, temp)
		require.NoError(t, err)
		near(t, pair[0]-pair[1], e.MV, 3, temp)
	}
}

// A probe builder's worked line (verified): 60 mV against Ag/AgCl 3 M KCl at
// 20 °C is 273 mV against SHE, with their offset of 213; the manual's is 210.
func TestToReference(t *testing.T) {
	v, err := ToReference(60, AgCl3M, SHE, 20)
	require.NoError(t, err)
	near(t, 273, v, 3)
	back, err := ToReference(v, SHE, AgCl3M, 20)
	require.NoError(t, err)
	near(t, 60, back, 1e-9)
}

func TestNothingIsMadeUp(t *testing.T) {
	require.True(t, math.IsNaN(HOClFraction(math.NaN(), 20)))
	require.True(t, math.IsNaN(HOClFraction(7, math.NaN())))
	require.True(t, math.IsNaN(HOClFraction(-1, 20)))
	require.True(t, math.IsNaN(PKaHOCl(99)))
	require.True(t, math.IsNaN(NernstSlope(25, 0)))
	_, err := Offset(AgCl3M, math.NaN())
	require.Error(t, err)
	_, err = Offset("tin foil", 25)
	require.ErrorContains(t, err, "tin foil")
	_, err = ParseReference("tin foil")
	require.ErrorContains(t, err, "Ag/AgCl 3.33M KCl")
	_, err = StandardReading(ZoBell, SHE, 60)
	require.ErrorContains(t, err, "5 to 40")
	_, err = StandardReading("tea", SHE, 25)
	require.ErrorContains(t, err, "tea")
	st, err := StandardReading(Light, AgCl3M, 25)
	require.NoError(t, err)
	require.Equal(t, "derived", st.Mark)
	require.Contains(t, st.Note, "SHE")
}

// Every name that the package writes is read back.
func TestReferenceNamesRoundTrip(t *testing.T) {
	for _, r := range References() {
		got, err := ParseReference(string(r))
		require.NoError(t, err)
		require.Equal(t, r, got)
	}
}
