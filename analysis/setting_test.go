package analysis

import (
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/orp"
	"weirbook/analysis/plant"
)

// [orp] of plant.toml overrides thresholds by the names that the report prints, and a
// word that is none of them is refused.
func TestThresholdsOfTheJudgementAreOverridden(t *testing.T) {
	set, err := orpSettings(&plant.Plant{ORP: map[string]float64{"enter_fast": 20, "frozen_min": 40, "prior_slope": 55}})
	require.NoError(t, err)
	require.Equal(t, 20.0, set.EnterFast)
	require.Equal(t, 40, set.FrozenMin)
	require.Equal(t, 55.0, set.Law.PriorSlope)
	require.Equal(t, orp.DefaultSettings().EnterSlow, set.EnterSlow)
	for name, by := range map[string]map[string]float64{
		`there is no setting "nonsense"`: {"nonsense": 1}, "a whole number": {"frozen_min": 1.5}, "a positive number": {"enter_fast": -1},
	} {
		_, err := orpSettings(&plant.Plant{ORP: by})
		require.ErrorContains(t, err, name)
		require.ErrorContains(t, err, "[orp]")
	}
}
