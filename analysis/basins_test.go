package analysis_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/contact"
)

// onebasin: 1.5 MGD through 50,000 gal at baffling factor 0.6, 2 mg/L.
// By hand: 50,000 ÷ (1.5 × 694.44) = 48 min; T10 = 0.6 × 48 = 28.8 min;
// CT = 2 × 28.8 = 57.6 mg·min/L.
var oneBasin = small{
	toml: `
[[basin]]
name = "basin"
outlet = "out"
flow_at = "out"
volume = "50,000 gal"
baffling_factor = 0.6
[basin.require]
ct = "55 mg·min/L"
`,
	tags: `Q,flow,out,MGD,continuous,,,,
C,chlorine_total,out,mg/L,continuous,,,,
`,
	value: map[string]func(int) float64{"Q": always(1.5), "C": always(2)},
}

func TestOneBasinByHand(t *testing.T) {
	r := oneBasin.run(t)
	for _, name := range []string{"contact_time_min", "contact_time_mean", "contact_time_steady"} {
		near(t, 28.8, hourly(t, r, "basin."+name, 12), 0.005, name)
	}
	for _, name := range []string{"ct_min", "ct_mean", "ct_steady"} {
		near(t, 57.6, hourly(t, r, "basin."+name, 12), 0.01, name)
	}
	require.Equal(t, "met", words(t, r, "basin.verdict", 12))
	// The first hour's look-back reaches before the data for 28.8 of 60 minutes.
	require.Equal(t, "not determined", words(t, r, "basin.verdict", 0))
	require.Equal(t, "the water leaving came in before the data", words(t, r, "basin.why", 0))
	near(t, 1.5, daily(t, r, "treated.volume", 0), 1e-6)
}

// The four verdicts, by flow ±2 % and residual ±3 %, which make
// ±√(0.02² + 0.03²) = ±3.606 % on CT: 57.6 ± 2.077 is 55.52 to 59.68.
func TestFourVerdictsByHand(t *testing.T) {
	s := oneBasin
	s.tags = strings.NewReplacer("MGD,continuous,,,,", "MGD,continuous,,,,2 %", "mg/L,continuous,,,,", "mg/L,continuous,,,,3 %").Replace(s.tags)
	for _, c := range []struct {
		asked   string
		verdict contact.Verdict
	}{{"55", contact.Met}, {"56", contact.MetWithin}, {"59", contact.ShortWithin}, {"60", contact.Short}} {
		r := s.with(`"55 mg·min/L"`, `"`+c.asked+` mg·min/L"`).run(t)
		near(t, 57.6-2.077, hourly(t, r, "basin.ct_low", 12), 0.01)
		near(t, 57.6+2.077, hourly(t, r, "basin.ct_high", 12), 0.01)
		require.Equal(t, string(c.verdict), words(t, r, "basin.verdict", 12), c.asked)
	}
	// A volume known to ±4 % and a factor known to ±10 % widen it to
	// √(0.02² + 0.03² + 0.04² + 0.10²) = 11.358 %: ±6.542.
	r := s.with(`baffling_factor = 0.6`, "baffling_factor = 0.6\nvolume_accuracy = \"4 %\"\ncontact_time_accuracy = \"10 %\"").run(t)
	near(t, 57.6-6.542, hourly(t, r, "basin.ct_low", 12), 0.01)
	// The load too: 1.5 × 2 × 8.34 = 25.02 lb/d ± 3.606 %.
	near(t, 25.02, hourly(t, r, "out.chlorine_total_load", 12), 1e-4)
	near(t, 25.02*(1-0.03606), hourly(t, r, "out.chlorine_total_load_low", 12), 1e-3)
	near(t, 25.02*(1+0.03606), daily(t, r, "out.chlorine_total_load_high", 0), 1e-3)
}

// parallel: 3 MGD shared 2:1 by two basins; the second is out of service from
// 06:00 to 12:00 by its state tag, and the first by a date from 18:00.
var parallel = small{
	toml: `
[[basin]]
name = "north"
outlet = "north_out"
flow_at = "both"
flow_share = 0.6667
volume = "100,000 gal"
baffling_factor = 0.5
closed = [{ from = "2026-03-02 18:00", to = "2026-03-03" }]
[basin.require]
ct = "20 mg·min/L"
[[basin]]
name = "south"
outlet = "south_out"
flow_at = "both"
flow_share = 0.3333
run_tag = "RUN"
volume = "60,000 gal"
baffling_factor = 0.5
[basin.require]
ct = "20 mg·min/L"
`,
	tags: `Q,flow,both,MGD,continuous,,,,
N,chlorine_total,north_out,mg/L,continuous,,,,
S,chlorine_total,south_out,mg/L,continuous,,,,
RUN,run_status,south_out,,state,,,,
`,
	value: map[string]func(int) float64{"Q": always(3), "N": always(2), "S": always(2.5), "RUN": func(m int) float64 {
		if m >= 360 && m < 720 {
			return 0
		}
		return 1
	}},
}

func TestParallelBasins(t *testing.T) {
	r := parallel.run(t)
	// Both: 2.0001 MGD takes 100,000 ÷ 1388.96 × 0.5 = 36.0 min; 0.9999 MGD
	// takes 60,000 ÷ 694.375 × 0.5 = 43.2 min.
	near(t, 36.0, hourly(t, r, "north.contact_time_steady", 4), 0.01)
	near(t, 43.2, hourly(t, r, "south.contact_time_steady", 4), 0.01)
	near(t, 72.0, hourly(t, r, "north.ct_min", 4), 0.02)
	near(t, 108.0, hourly(t, r, "south.ct_min", 4), 0.03)
	// South out: north carries 3 MGD, 100,000 ÷ 2083.33 × 0.5 = 24 min.
	near(t, 24, hourly(t, r, "north.contact_time_steady", 9), 0.01)
	near(t, 0, hourly(t, r, "south.flow", 9), 1e-9)
	require.Equal(t, "not determined", words(t, r, "south.verdict", 9))
	require.Equal(t, "basin out of service", words(t, r, "south.why", 9))
	// North out by date: south carries 3 MGD, 60,000 ÷ 2083.33 × 0.5 = 14.4 min.
	near(t, 14.4, hourly(t, r, "south.contact_time_steady", 21), 0.01)
	require.Equal(t, "basin out of service", words(t, r, "north.why", 21))
	// The parts sum to the whole in every hour.
	for h := range 24 {
		near(t, 3, hourly(t, r, "north.flow", h)+hourly(t, r, "south.flow", h), 1e-9, "hour %d: %v + %v", h, hourly(t, r, "north.flow", h), hourly(t, r, "south.flow", h))
		near(t, 3.0/24, hourly(t, r, "treated.volume", h), 1e-9)
	}
	near(t, 3, daily(t, r, "treated.volume", 0), 1e-9)
}

func TestBasinsWithFlowsOfTheirOwn(t *testing.T) {
	s := parallel
	s.toml = strings.NewReplacer(`flow_at = "both"`+"\nflow_share = 0.6667", `flow_at = "north_out"`,
		`flow_at = "both"`+"\nflow_share = 0.3333", `flow_at = "south_out"`).Replace(s.toml)
	s.tags += "QN,flow,north_out,MGD,continuous,,,,\nQS,flow,south_out,gpm,continuous,,,,\n"
	s.value = map[string]func(int) float64{"N": always(2), "S": always(2.5), "RUN": always(1), "QN": always(2), "QS": always(625)} // 0.9 MGD
	r := s.run(t)
	near(t, 36, hourly(t, r, "north.contact_time_steady", 9), 0.01)
	near(t, 48, hourly(t, r, "south.contact_time_steady", 9), 0.01) // 60,000 ÷ 625 × 0.5
	near(t, 2.9/24, hourly(t, r, "treated.volume", 9), 1e-9)
	near(t, 2*2*8.34, hourly(t, r, "north_out.chlorine_total_load", 9), 1e-4)
	near(t, 0.9*2.5*8.34, hourly(t, r, "south_out.chlorine_total_load", 9), 1e-4)
}

// Two basins in series: 24 min at 3 mg/L then 14.4 min at 2 mg/L.
func TestSeriesAdds(t *testing.T) {
	s := small{
		toml: `
[[basin]]
name = "first"
outlet = "middle"
flow_at = "end"
volume = "100,000 gal"
baffling_factor = 0.5
[[basin]]
name = "second"
outlet = "end"
flow_at = "end"
after = "first"
volume = "60,000 gal"
baffling_factor = 0.5
[basin.require]
ct = "100 mg·min/L"
giardia_log = 1
virus_log = 4
residual = "chlorine_free"
`,
		tags: `Q,flow,end,MGD,continuous,,,,
M,chlorine_free,middle,mg/L,continuous,,,,
E,chlorine_free,end,mg/L,continuous,,,,
PH,ph,end,pH,continuous,,,,
T,temperature,end,degC,continuous,,,,
`,
		value: map[string]func(int) float64{"Q": always(3), "M": always(3), "E": always(2), "PH": always(7.5), "T": always(15)},
	}
	s.toml = strings.Replace(s.toml, "baffling_factor = 0.5\n[[basin]]", "baffling_factor = 0.5\n[basin.require]\nresidual = \"chlorine_free\"\n[[basin]]", 1)
	r := s.run(t)
	near(t, 38.4, hourly(t, r, "second.contact_time_min", 9), 0.01)
	near(t, 24*3+14.4*2, hourly(t, r, "second.ct_min", 9), 0.05)
	near(t, 100.8, hourly(t, r, "second.ct_steady", 9), 0.05)
	near(t, 72, hourly(t, r, "first.ct_steady", 9), 0.05)
	near(t, 3.0/24, hourly(t, r, "treated.volume", 9), 1e-9)
	// Giardia by free chlorine at 15 °C and pH 7.5 (40 CFR 141.74(b)(3)(v), table
	// 1.4, from memory): 3-log CT 100 at 2.0 mg/L and 111 at 3.0 mg/L.
	near(t, 3*(72/111.0+28.8/100.0), hourly(t, r, "second.giardia_log", 9), 0.005)
	// Virus, pH 6 to 9, 15 °C: 4-log CT 4 (EPA SWTR manual, table E-7, from memory).
	// 100.8 is far beyond the table's 4 log, and the figure ends where the table does.
	near(t, 4, hourly(t, r, "second.virus_log", 9), 1e-9)
	require.Equal(t, "> 4", words(t, r, "second.virus_log_beyond_table", 9))
	require.Greater(t, hourly(t, r, "second.giardia_log", 9), hourly(t, r, "second.giardia_log_regression", 9), "the regression asks for more CT")
	require.Equal(t, "met", words(t, r, "second.verdict", 9))
}

func TestChloramineTables(t *testing.T) {
	s := oneBasin.with(`ct = "55 mg·min/L"`, "giardia_log = 0.1\ndisinfectant = \"chloramine\"")
	s.tags += "PH,ph,out,pH,continuous,,,,\nT,temperature,out,degC,continuous,,,,\n"
	s.value = map[string]func(int) float64{"Q": always(1.5), "C": always(2), "PH": always(7.5), "T": always(15)}
	r := s.run(t)
	// 3-log Giardia by chloramine at 15 °C: 1500 (EPA SWTR manual, table E-12, from memory).
	near(t, 3*57.6/1500, hourly(t, r, "basin.giardia_log", 9), 1e-4)
	require.Equal(t, "met", words(t, r, "basin.verdict", 9))
}

func TestVolumeByLevel(t *testing.T) {
	s := oneBasin.with(`volume = "50,000 gal"`, "level_at = \"out\"\narea = \"668.40278 ft²\"")
	s.tags += "L,level,out,ft,continuous,,,,0.1\n"
	s.value = map[string]func(int) float64{"Q": always(1.5), "C": always(2), "L": always(10)}
	r := s.run(t)
	near(t, 28.8, hourly(t, r, "basin.contact_time_steady", 9), 0.001) // 668.40278 × 10 × 7.48052 = 50,000 gal
	// ±0.1 ft of 10 ft is ±1 % of the volume.
	near(t, 57.6*0.99, hourly(t, r, "basin.ct_low", 9), 0.005)
	s = s.with(`area = "668.40278 ft²"`, `volume_curve = [[0, 0], [8, 45000], [12, 55000]]`)
	near(t, 28.8, hourly(t, s.run(t), "basin.contact_time_steady", 9), 0.001) // halfway: 50,000 gal
}

// A step test of ten equal steps to 50 minutes: C/C0 is 0.1 at 5 min and rises
// by straight lines, so T10 = 5 min, of a theoretical 48 min at 1.5 MGD.
func TestTracerStepInPlantFile(t *testing.T) {
	tracer := `[basin.tracer]
kind = "step"
flow = "1.5 MGD"
background = 0.2
applied = 2.0
minutes = [0, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50]
mg_per_l = [0.2, 0.4, 0.6, 0.8, 1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 2.2]
[basin.require]`
	s := oneBasin.with("baffling_factor = 0.6\n", "").with("[basin.require]", tracer)
	r := s.run(t)
	near(t, 5, hourly(t, r, "basin.contact_time_steady", 9), 0.01)
	s.value = map[string]func(int) float64{"Q": always(3), "C": always(2)}
	r = s.run(t)
	near(t, 2.5, hourly(t, r, "basin.contact_time_steady", 9), 0.01)
	require.Contains(t, strings.Join(r.Notes, "\n"), "the tracer test was run at 1.5 MGD", "a test at half the peak flow")
	// A test that never reaches a tenth says so.
	_, err := s.with("[0.2, 0.4, 0.6, 0.8, 1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 2.2]", "[0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.25]").try()
	require.ErrorContains(t, err, "basin basin")
}

// The reuse rule: 450 mg·min/L of total residual by modal time, and 90 min of it
// (California Title 22, section 60301.230). 1.5 MGD through 150,000 gal is
// 144 min; modal factor 0.65 makes 93.6 min; 5 mg/L makes CT 468.
func TestModalReuseRule(t *testing.T) {
	s := oneBasin.with(`volume = "50,000 gal"`, `volume = "150,000 gal"`).with("baffling_factor = 0.6", "baffling_factor = 0.4\nmodal_factor = 0.65").
		with(`ct = "55 mg·min/L"`, "ct = \"450 mg·min/L\"\ntime = \"modal\"\nmodal_min = \"90 min\"\ncontact_time = \"30 min\"")
	s.value = map[string]func(int) float64{"Q": always(1.5), "C": always(5)}
	r := s.run(t)
	near(t, 93.6, hourly(t, r, "basin.contact_time_steady", 9), 0.01)
	near(t, 468, hourly(t, r, "basin.ct_min", 9), 0.1)
	near(t, 57.6, hourly(t, r, "basin.t10_steady", 9), 0.01) // 0.4 × 144
	require.Equal(t, "met", words(t, r, "basin.verdict", 9))
	s.value = map[string]func(int) float64{"Q": always(1.6), "C": always(5.5)} // 87.75 min, CT 482.6
	r = s.run(t)
	require.Equal(t, "short", words(t, r, "basin.verdict", 9))
	require.Equal(t, "modal contact time 87.8 of 90 min", words(t, r, "basin.why", 9))
}

// Tanks in series and dispersion where only N or d is known. Three tanks: T10 is
// where P(3, 3t) = 0.1: chi-square with 6 degrees of freedom at 10 % is 2.204
// (printed tables), half of it over 3 is 0.3673.
func TestTanksAndDispersion(t *testing.T) {
	r := oneBasin.with("baffling_factor = 0.6", "tanks_in_series = 3").run(t)
	near(t, 48*2.204/6, hourly(t, r, "basin.contact_time_steady", 9), 0.01)
	// Closed vessel, d = 0.1: variance 2d − 2d²(1 − e^(−10)) = 0.18, 5.56 tanks,
	// between the T10 of 5 and 6 tanks (chi-square 10 and 12: 4.865, 6.304).
	at := hourly(t, oneBasin.with("baffling_factor = 0.6", "dispersion_number = 0.1").run(t), "basin.contact_time_steady", 9)
	require.Greater(t, at, 48*4.865/10)
	require.Less(t, at, 48*6.304/12)
}

// A gap in the flow makes the hours after it undetermined for the length of the
// look-back, and names the reason.
func TestGapInFlowInsideTheLookBack(t *testing.T) {
	s := oneBasin
	s.value = map[string]func(int) float64{"C": always(2), "Q": func(m int) float64 {
		if m >= 600 && m < 658 { // 10:00 to 10:58
			return math.NaN()
		}
		return 1.5
	}}
	r := s.run(t)
	require.Equal(t, "met", words(t, r, "basin.verdict", 9))
	require.Equal(t, "flow unknown", words(t, r, "basin.why", 10))
	require.Equal(t, "not determined", words(t, r, "basin.verdict", 11))
	require.Equal(t, "gap of flow inside the look-back", words(t, r, "basin.why", 11))
	require.Equal(t, "met", words(t, r, "basin.verdict", 12))
	require.True(t, math.IsNaN(hourly(t, r, "basin.ct_min", 11)))
	// The regulator's figure does not look back: that hour has one.
	near(t, 57.6, hourly(t, r, "basin.ct_steady", 11), 0.01)
}

// Exposure along the path with both residuals: 28.8 min from 4 to 2 mg/L at first
// order is (4 − 2) ÷ ln 2 × 28.8 = 83.10 mg·min/L.
func TestPathExposure(t *testing.T) {
	s := oneBasin.with(`outlet = "out"`, "outlet = \"out\"\ninlet = \"in\"")
	s.tags += "I,chlorine_total,in,mg/L,continuous,,,,\n"
	s.value = map[string]func(int) float64{"Q": always(1.5), "C": always(2), "I": always(4)}
	near(t, 83.10, hourly(t, s.run(t), "basin.ct_path", 9), 0.02)

	// A basin without an inlet has no such way, whatever residuals the plant measures.
	s = oneBasin
	s.tags += "I,chlorine_total,in,mg/L,continuous,,,,\n"
	s.value = map[string]func(int) float64{"Q": always(1.5), "C": always(2), "I": always(4)}
	r := s.run(t)
	_, ok := r.Hourly.Column("basin.ct_path")
	require.False(t, ok)
}

// Predictions, called so: Collins (0.23, 3) at CT 57.6 is
// 3 × log10(1 + 0.23 × 57.6) = 3.461 logs.
func TestPredictedColiform(t *testing.T) {
	s := oneBasin.with("ct = \"55 mg·min/L\"", "ct = \"55 mg·min/L\"\ncollins = [0.23, 3]\nselleck = [4.0, 2.8]")
	r := s.run(t)
	near(t, 3.461, hourly(t, r, "basin.predicted_log_reduction_collins", 9), 0.001)
	near(t, 2.8*math.Log10(57.6/4), hourly(t, r, "basin.predicted_log_reduction_selleck", 9), 0.001)
	c, _ := r.Hourly.Column("basin.predicted_log_reduction_collins")
	require.Contains(t, c.Title, "predicted")
}

// Two parallel basins and the pipe both go into, 15,000 gal at factor 1: 7.2 min
// at 3 MGD. The water with the least before it counts: north's 72 mg·min/L and
// then 7.2 × 1.5, and, while north is out, south's 14.4 × 2.5.
func TestPipeAfterParallelBasins(t *testing.T) {
	s := parallel
	s.toml = strings.NewReplacer("0.6667", "0.66666667", "0.3333\n", "0.33333333\n").Replace(s.toml) + `
[[basin]]
name = "pipe"
outlet = "both"
flow_at = "both"
after = ["north", "south"]
volume = "15,000 gal"
baffling_factor = 1.0
[basin.require]
ct = "70 mg·min/L"
`
	s.tags += "E,chlorine_total,both,mg/L,continuous,,,,\n"
	s.value = map[string]func(int) float64{"Q": always(3), "N": always(2), "S": always(2.5), "E": always(1.5), "RUN": always(1)}
	r := s.run(t)
	near(t, 72+10.8, hourly(t, r, "pipe.ct_min", 9), 0.05)
	near(t, 72+10.8, hourly(t, r, "pipe.ct_steady", 9), 0.05)
	near(t, 36+7.2, hourly(t, r, "pipe.contact_time_min", 9), 0.05)
	near(t, 36+10.8, hourly(t, r, "pipe.ct_min", 21), 0.05)
	near(t, 36+10.8, hourly(t, r, "pipe.ct_steady", 21), 0.05)
	require.Equal(t, "met", words(t, r, "pipe.verdict", 9))
	require.Equal(t, "short", words(t, r, "pipe.verdict", 21))
	near(t, 3.0/24, hourly(t, r, "treated.volume", 9), 1e-9, "the pipe is the last, and carries all")
}
