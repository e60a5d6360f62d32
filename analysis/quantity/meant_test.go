package quantity

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestUnknownUnitsSuggestOne(t *testing.T) {
	for word, want := range map[string]string{"trade %": "%", "MGDD": "MGD", "gal per hour": "gal/h", "mg per L": "mg/L", "gallonz": "gal", "NTUs": "NTU"} {
		_, err := ParseUnit(word)
		require.ErrorContains(t, err, "did you mean "+want+"?", word)
	}
	_, err := ParseUnit("furlong")
	require.ErrorContains(t, err, "unknown unit")
	require.NotContains(t, err.Error(), "did you mean")
}
