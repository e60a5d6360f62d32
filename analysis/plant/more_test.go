package plant_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/loading"
	"weirbook/analysis/plant"
)

const moreTags = `tag,measures,at,unit,reading,low,high,note,accuracy
FQ-1,flow_total,out,kgal,counter,,,
C-1,chlorine_free,out,mg/L,continuous,,,,2 % + 0.05
HYPO,hypochlorite_feed,in,%,continuous,,,
STROKE,hypochlorite_feed,in,%,continuous,,,
LT-1,level,tank,ft,continuous,,,
NH,ammonia_n,b_secondary,mg/L,continuous,,,
`

const moreToml = `name = "A"
time_zone = "UTC"

[[point]]
name = "b_secondary"
train = "B"

[[basin]]
name = "a"
train = "A"
outlet = "out"
flow_at = "out"
level_at = "tank"
area = "100 ft²"
volume_accuracy = "2 %"
contact_time_accuracy = "10 %"

[basin.tracer]
kind = "step"
flow = "1 MGD"
volume = "10,000 gal"
applied = 2
minutes = [0, 5, 10]
mg_per_l = [0, 1, 2]

[basin.require]
giardia_log = 1

[[basin]]
name = "b"
train = "B"
outlet = "b_out"
flow_at = "out"
volume = "1000 gal"
baffling_factor = 0.5

[[feed]]
name = "hypo"
chemical = "hypochlorite"
tag = "HYPO"
stroke_tag = "STROKE"
pump_calibration = [[50, 100], [100, 200]]
pump_calibration_unit = "mL/min"
level_tag = "LT-1"
tank_area = "20 ft²"
delivered = ["2026-03-09", "2026-03-02"]
half_life_days = 60
strength = 12.5
strength_as = "weight/volume percent NaOCl"
strength_accuracy = "5 %"
basin = "a"

[[process]]
name = "clarifier"
flow_at = "out"
area = "1000 ft²"
design_average = { surface_overflow_rate = 800 }
`

func loadMore(change func(string) string) (*plant.Plant, error) {
	return plant.Load("plant.toml", strings.NewReader(change(moreToml)), "tags.csv", strings.NewReader(strings.Replace(moreTags, "out,mg/L", "out,mg/L", 1)+"B-1,chlorine_total,b_out,mg/L,continuous,,,\n"))
}

func TestFeedBasinAndProcessKeys(t *testing.T) {
	p, err := loadMore(func(s string) string { return s })
	require.NoError(t, err)
	a := p.Basins[0]
	require.Equal(t, 10_000.0, a.Tracer.Volume)
	require.Equal(t, 2.0, a.VolumeAccuracy)
	require.Equal(t, 10.0, a.FactorAccuracy)
	require.True(t, math.IsNaN(p.Basins[1].VolumeAccuracy))
	require.EqualValues(t, "chlorine_free", a.Require.Residual, "the tables for free chlorine want the free residual")
	require.EqualValues(t, "chlorine_total", p.Basins[1].Require.Residual)
	f := p.Feeds[0]
	// 200 mL/min = 0.2 × 60 / 3.785411784 gal/h (exact litres per gallon).
	require.InDelta(t, 0.2*60/3.785411784, f.Calibration[1][1], 1e-9)
	require.True(t, f.OwnFlow)
	require.Len(t, f.Delivered, 2)
	require.True(t, f.Delivered[0].Before(f.Delivered[1]), "in order")
	require.Equal(t, "clarifier", p.Processes[0].Title)
	require.Equal(t, "B", p.TrainOf("b_secondary"), "as stated")
	require.Equal(t, "B", p.TrainOf("b_out"), "its basin's")
	require.Equal(t, "", p.TrainOf("tank"))
	require.False(t, p.SharesWater("b_secondary", a))
}

// The words are kept in two packages that may not import each other.
func TestProcessRatesAreThoseOfLoading(t *testing.T) {
	require.Equal(t, loading.RateWords(), plant.ProcessRates())
	require.True(t, slices.IsSorted(plant.ProcessRates()))
}

func TestMistakesInFeedsBasinsAndProcesses(t *testing.T) {
	for _, c := range []struct{ old, new, says string }{
		{`volume = "10,000 gal"`, ``, "state the volume during the test"},
		{`giardia_log = 1`, "giardia_log = 1\nresidual = \"chlorine_total\"", "are read with the free residual"},
		{`[100, 200]`, `[40, 200]`, "pump_calibration needs settings above 0 that rise"},
		{`"mL/min"`, `"mg/L"`, "is no unit of a feed"},
		{`half_life_days = 60`, ``, "delivered without half_life_days"},
		{`tank_area = "20 ft²"`, ``, "write tank_area"},
		{`name = "b"`, "name = \"b\"\nafter = [\"a\", \"c\"]", `after = "c" names no other basin`},
		{`name = "b"`, "name = \"b\"\nafter = 3", "after = 3 is no text; write it between quotation marks"},
		{`name = "b"`, "name = \"b\"\nafter = \"b\"", "names no other basin"},
		{`surface_overflow_rate`, `overflow`, "is no loading rate"},
		{`strength_accuracy = "5 %"`, `strength_accuracy = "5"`, "is no accuracy in percent"},
		{`stroke_tag = "STROKE"`, `stroke_tag = "LT-1"`, "must be a tag in tags.csv in percent"},
	} {
		_, err := loadMore(func(s string) string { return strings.Replace(s, c.old, c.new, 1) })
		require.ErrorContains(t, err, c.says)
		require.ErrorContains(t, err, "plant.toml:", "with its line")
	}
}

func TestBasinsInACircle(t *testing.T) {
	_, err := loadMore(func(s string) string {
		s = strings.Replace(s, `name = "b"`, "name = \"b\"\nafter = [\"a\"]", 1)
		return strings.Replace(s, `name = "a"`, "name = \"a\"\nafter = \"b\"", 1)
	})
	require.ErrorContains(t, err, "lead in a circle")
}
