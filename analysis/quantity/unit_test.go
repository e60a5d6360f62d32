package quantity

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/testdata/published"
)

// Trade constants of a public municipal operator formula sheet and a Florida
// DEP formula table of February 2014 (verified), printed to the digits shown;
// the exact ones follow from the definitions of gallon, inch, foot and pound.
func TestPublishedUnitConstants(t *testing.T) {
	cases := []struct {
		from, to     string
		printed      string // as printed; half a unit of its last digit is allowed
		source, mark string
	}{
		{"1 MGD", "gpm", "694.4", "municipal operator formula sheet", "verified"},
		{"1 MGD", "cfs", "1.547", "municipal operator formula sheet", "verified"},
		{"1 cfs", "MGD", "0.646", "municipal operator formula sheet", "verified"},
		{"1 cfs", "gpm", "448.8", "municipal operator formula sheet", "verified"},
		{"1 ft³", "gal", "7.48", "municipal operator formula sheet", "verified"},
		{"1 gal", "L", "3.785", "municipal operator formula sheet", "verified"},
		{"1 MGD", "m³/d", "3785.411784", "municipal operator formula sheet", "verified"},
		{"1 MGD", "L/s", "43.8126364", "exact definitions of gallon and pound", "derived"}, // derived
		{"1 mg/L", "µg/L", "1000", "definition", "common practice, no source"},
		{"1 lb", "kg", "0.45359237", "exact definitions of gallon and pound", "derived"},
		{"212 °F", "°C", "100", "definition of the Celsius and Fahrenheit scales", "common practice, no source"},
		{"32 °F", "°C", "0", "definition of the Celsius and Fahrenheit scales", "common practice, no source"},
		{"1 h", "min", "60", "definition", "common practice, no source"},
	}
	sheet := published.NewSheet(t)
	for _, c := range cases {
		v, u, err := ParseQuantity(c.from)
		require.NoError(t, err)
		got, err := Convert(v, u, MustUnit(c.to))
		require.NoError(t, err)
		sheet.Check(c.from+" in "+c.to, c.source, c.mark, c.printed, published.HalfUnit(c.printed), got)
	}
}

func TestParseUnitAsWritten(t *testing.T) {
	for written, want := range map[string]string{
		"mgd": "MGD", " [MGD] ": "MGD", "(mg/l)": "mg/L", "PPM": "mg/L", "ppb": "µg/L", "ug/L": "µg/L", "μg/L": "µg/L",
		"mg/L as Cl2": "mg/L", "mg/L as N": "mg/L", "Deg C": "°C", "GPM": "gpm", "gph": "gal/h", "S.U.": "pH",
		"MPN/100 mL": "per 100 mL", "MG": "MG", "ML": "ML", "mL/min": "mL/min", "lbs/day": "lb/d", "m^3/h": "m³/h", "MLD": "ML/d",
	} {
		u, err := ParseUnit(written)
		require.NoError(t, err, written)
		require.Equal(t, want, u.Symbol, written)
	}
	// UTF-8 opened as Windows-1252: the two bytes of each sign become two letters.
	for written, want := range map[string]string{
		"Â°C": "°C", "Â°F": "°F", "Âµg/L": "µg/L", "Î¼g/L": "µg/L", "mÂ³/d": "m³/d", "[mÂ³/h]": "m³/h", "ftÂ²": "ft²", "mgÂ·min/L": "mg·min/L", "ÂµS/cm": "µS/cm",
	} {
		u, err := ParseUnit(written)
		require.NoError(t, err, written)
		require.Equal(t, want, u.Symbol, written)
	}
	_, err := ParseUnit("furlong")
	require.ErrorContains(t, err, `unknown unit "furlong"`)
	_, err = ParseUnit("mg/d")
	require.Error(t, err, "milligrams a day are not million gallons a day")
}

func TestAliasesAreToldApart(t *testing.T) {
	seen := map[string]string{}
	for _, u := range units {
		for _, a := range strings.Fields(u.aliases) {
			require.Equal(t, strings.ToLower(a), a, "aliases are looked up in lower case")
			other, twice := seen[a]
			require.False(t, twice, "%q is both %s and %s", a, other, u.Symbol)
			seen[a] = u.Symbol
		}
		require.NotZero(t, u.Scale)
	}
}

func TestConvertThereAndBack(t *testing.T) {
	for _, a := range units {
		for _, b := range units {
			v, err := Convert(7.25, a.Unit, b.Unit)
			if a.Dimension != b.Dimension {
				require.Error(t, err)
				continue
			}
			require.NoError(t, err)
			back, err := Convert(v, b.Unit, a.Unit)
			require.NoError(t, err)
			require.InEpsilon(t, 7.25, back, 1e-12, "%s, %s", a.Symbol, b.Symbol)
		}
	}
}

func TestParseQuantity(t *testing.T) {
	v, u, err := ParseQuantity("185,000 gal")
	require.NoError(t, err)
	require.Equal(t, 185000.0, v)
	require.Equal(t, "gal", u.Symbol)
	for _, bad := range []string{"", "gal", "5", "five gal", "1e999 gal", "5 furlongs"} {
		_, _, err := ParseQuantity(bad)
		require.Error(t, err, bad)
	}
}

func TestKindsHoldTogether(t *testing.T) {
	for _, k := range Kinds() {
		i, ok := Of(k)
		require.True(t, ok)
		require.Less(t, i.Low, i.High, k)
		if k == Other {
			continue
		}
		require.Equal(t, i.Working.Dimension, i.Metric.Dimension, k)
		w, err := Accept(k, i.Working)
		require.NoError(t, err)
		require.Equal(t, i.Working, w)
	}
	// The most common confusion in the trade.
	_, err := Accept(ORP, MustUnit("mg/L"))
	require.Error(t, err)
}

func FuzzParseQuantity(f *testing.F) {
	f.Add("5 MGD")
	f.Add("-1,2.e+3°C")
	f.Fuzz(func(t *testing.T, s string) {
		v, u, err := ParseQuantity(s)
		if err == nil {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0))
			require.NotZero(t, u.Scale)
		}
	})
}
