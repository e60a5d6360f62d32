package formula_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/formula"
)

func TestFind(t *testing.T) {
	es := []formula.Entry{
		{Quantity: "dose", Title: "Chlorine dose from feed"},
		{Quantity: "demand", Title: "Chlorine demand"},
		{Quantity: "contact time", Title: "T10"},
	}
	require.Len(t, formula.Find(es, "Dose"), 1)
	require.Len(t, formula.Find(es, "chlorine"), 2)
	require.Len(t, formula.Find(es, "contact-time"), 1)
	require.Empty(t, formula.Find(es, "phosphorus"))
	require.Equal(t, []string{"contact time", "demand", "dose"}, formula.Quantities(es))
}
