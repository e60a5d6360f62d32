package analysis_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/series"
)

// loadPlant: flow 2 MGD until noon and 4 after, TSS on line 10 and 40 mg/L, with
// influent and effluent composites.
var loadPlant = small{
	toml: `
[[point]]
name = "raw"
influent = true
flow_at = "out"
[[point]]
name = "out"
outfall = true
`,
	tags: `Q,flow,out,MGD,continuous,,,,
TSS,tss,out,mg/L,continuous,,,,
BOD-IN,bod5,raw,mg/L,composite,,,,
BOD-OUT,bod5,out,mg/L,composite,,,,10 %
NH3,ammonia_n,out,mg/L,grab,,,,
`,
	value: map[string]func(int) float64{"Q": step(720, 2, 4), "TSS": step(720, 10, 40)},
	lab: `2026-03-03T00:00:00Z,BOD-IN,200
2026-03-03T00:00:00Z,BOD-OUT,10
2026-03-02T18:00:00Z,NH3,1.5
`,
}

// step is one value before a minute of the period and another from it on; from
// the minute before it the line between readings rises.
func step(at int, before, after float64) func(int) float64 {
	return func(m int) float64 {
		if m < at {
			return before
		}
		return after
	}
}

// By hand: 2 × 10 × 8.34 = 166.8 lb/d and 4 × 40 × 8.34 = 1334.4 lb/d; over the day
// 750.6 lb, flow-weighted (2 × 10 + 4 × 40) ÷ 6 = 30 mg/L, not the plain mean of 25.
func TestHourlyAndDailyMass(t *testing.T) {
	r := loadPlant.run(t)
	near(t, 166.8, hourly(t, r, "out.tss_load", 3), 1e-3)
	near(t, 166.8/24, hourly(t, r, "out.tss_mass", 3), 1e-4)
	near(t, 1334.4, hourly(t, r, "out.tss_load", 18), 1e-3)
	near(t, 750.6, daily(t, r, "out.tss_load", 0), 1)
	near(t, 750.6, daily(t, r, "out.tss_mass", 0), 1)
	near(t, 30, daily(t, r, "out.tss_flow_weighted", 0), 0.05)
	near(t, 25, daily(t, r, "out.tss", 0), 0.05)
	sum := 0.0
	for h := range 24 {
		sum += hourly(t, r, "out.tss_mass", h)
	}
	near(t, daily(t, r, "out.tss_mass", 0), sum, 1, "hours sum to the day")
}

// A composite stands for its own 24 hours: mean flow 3 MGD, 200 mg/L: 5004 lb; a
// grab for its moment: 4 MGD × 1.5 mg/L × 8.34 = 50.04 lb/d, and no mass.
func TestCompositesAndGrabs(t *testing.T) {
	r := loadPlant.run(t)
	near(t, 5004, daily(t, r, "raw.bod5_composite_load", 0), 5)
	near(t, 250.2, daily(t, r, "out.bod5_composite_load", 0), 0.3)
	near(t, 225.2, daily(t, r, "out.bod5_composite_load_low", 0), 0.3) // ±10 %
	near(t, 95, daily(t, r, "out.bod5_removal", 0), 0.001)
	require.Len(t, r.Removals, 1)
	m := r.Removals[0]
	require.Equal(t, "BOD-IN", m.From.Name)
	near(t, 95, m.ByLoad, 0.001)
	near(t, 95, m.ByMgL, 0.001)
	require.Len(t, r.Sampled, 3)
	grab := r.Sampled[2].Samples[0]
	require.Equal(t, "grab", grab.Label)
	near(t, 50.04, float64(grab.Load)*8.34, 0.01)
	require.Equal(t, grab.Start, grab.End, "a moment")
	require.Equal(t, "24-h composite", r.Sampled[0].Samples[0].Label)
	_, ok := r.Daily.Column("out.ammonia_n_load")
	require.False(t, ok)
}

// A totaliser in thousand gallons that turns over at a million of them: 2 MGD is
// 1.3889 kgal a minute. There is no flow tag, so it serves as the flow; it is set
// back at 15:00.
func TestTotaliserServesAsFlow(t *testing.T) {
	s := oneBasin
	s.tags = "FQ,flow_total,out,kgal,counter,,999999,,\nC,chlorine_total,out,mg/L,continuous,,,,\n"
	s.value = map[string]func(int) float64{"C": always(2), "FQ": func(m int) float64 {
		total := 999_400 + 1.5e3*float64(m)/1440
		if m >= 900 {
			total = 1.5e3 * float64(m-900) / 1440
		}
		return math.Floor(math.Mod(total, 999_999))
	}}
	r := s.run(t)
	near(t, 1.5, hourly(t, r, "out.flow", 5), 0.05)
	near(t, 1.5, hourly(t, r, "out.flow", 10), 0.05) // it turned at 09:35
	near(t, 57.6, hourly(t, r, "basin.ct_mean", 5), 1)
	near(t, 25.02, hourly(t, r, "out.chlorine_total_load", 5), 0.8)
	near(t, 1.5, daily(t, r, "treated.volume", 0), 0.02)
	require.Contains(t, strings.Join(r.Notes, "\n"), "FQ: no tag measures the flow at out")
	require.Contains(t, strings.Join(r.Notes, "\n"), "what passed is not known: once")
	require.Contains(t, strings.Join(r.Notes, "\n"), "rolled over at 999999000 gal: once")
	near(t, 1.5, hourly(t, r, "out.flow", 9), 0.1)
	require.Equal(t, series.Counter, r.Plant.Tags[0].Reading, "the totaliser itself stays what it is")
}

// A counter near 812,000 kgal at 2.88 MGD, which is 30 kgal in a quarter hour: a
// zero, a reading with a digit too many, and one set up by hand are no flow.
func TestStrayReadingsOfATotaliserAreNoFlow(t *testing.T) {
	s := oneBasin
	s.tags = "FQ,flow_total,out,kgal,counter,,,,\nC,chlorine_total,out,mg/L,continuous,,,,\n"
	s.value = map[string]func(int) float64{"C": always(2), "FQ": func(m int) float64 {
		total := 812_000 + 2*float64(m)
		switch {
		case m%15 != 0:
			return math.NaN()
		case m == 6*60+15:
			return 0
		case m == 10*60+30:
			return 10 * total
		case m > 15*60:
			return total + 50_000
		}
		return total
	}}
	r := s.run(t)
	for _, h := range []int{5, 6, 7, 10, 14, 16, 23} {
		near(t, 2.88, hourly(t, r, "out.flow", h), 1e-6)
	}
	flow, ok := r.Hourly.Column("out.flow")
	require.True(t, ok)
	for h, v := range flow.Values {
		require.False(t, v > 2.881, "hour %d: %v", h, v)
	}
	var said []string
	for _, m := range r.Screen.Messages {
		said = append(said, m.Text)
	}
	require.Contains(t, strings.Join(said, "\n"), "FQ: readings that leave the running total and come back to it: 2 readings")
	require.Contains(t, strings.Join(said, "\n"), "FQ: the running total rises by far more than the flow can: 1 reading")
	require.Contains(t, strings.Join(r.Notes, "\n"), "rises by far more than the flow can, where what passed is not known: once")
}

// A clarifier of 5000 ft² with 200 ft of weir and 450,000 gal, at 2 MGD until
// noon and 4 after: by hand 3e6 ÷ 5000 = 600 gpd/ft² at average and 800 at the
// peak hour; 15,000 and 20,000 gpd/ft; 216 and 162 min; TSS by the hour with the
// highest load 1334.4 lb/d ÷ 5000 = 0.26688 lb/(d·ft²), average 750.6 ÷ 5000.
// A trickling filter of 10,000 ft³ of media at 10 mg/L effluent BOD composite:
// 250.2 lb/d ÷ 10 = 25.02 lb/d per 1000 ft³ at average, 33.36 at the peak.
const processes = `
[[process]]
name = "clarifier"
flow_at = "out"
area = "5000 ft²"
weir_length = "200 ft"
volume = "450,000 gal"
design_average = { surface_overflow_rate = 1000, detention_time = 120 }
design_peak = { surface_overflow_rate = 1600 }
[[process]]
name = "filter"
flow_at = "out"
media_volume = "10,000 ft³"
design_average = { organic_loading = 50 }
`

func TestProcessLoadings(t *testing.T) {
	s := loadPlant
	s.toml += processes
	r := s.run(t)
	require.Len(t, r.Processes, 2)
	got := map[string][2]float64{}
	for _, p := range r.Processes {
		for _, row := range p.Rows {
			got[p.Name+" "+string(row.Rate)] = [2]float64{row.Average, row.Peak}
		}
	}
	for name, want := range map[string][2]float64{
		"clarifier surface_overflow_rate": {600, 800}, "clarifier weir_rate": {15000, 20000}, "clarifier detention_time": {216, 162},
		"clarifier solids_loading": {0.15012, 0.26688}, "filter organic_loading": {25.02, 33.36},
	} {
		require.Contains(t, got, name)
		require.InEpsilon(t, want[0], got[name][0], 2e-3, name)
		require.InEpsilon(t, want[1], got[name][1], 2e-3, name)
	}
	row := r.Processes[0].Rows[0]
	near(t, 60, row.OfDesignAverage, 0.1)
	near(t, 50, row.OfDesignPeak, 0.1)
	near(t, 100*120/216.0, r.Processes[0].Rows[2].OfDesignAverage, 0.2)
	// A metric plant states its design in metric: 1000 gpd/ft² is 40.7458 m³/(m²·d).
	s.toml = strings.Replace(s.toml, "surface_overflow_rate = 1000", "surface_overflow_rate = 40.7458", 1)
	s.toml = "units = \"metric\"\n" + s.toml
	near(t, 60, s.run(t).Processes[0].Rows[0].OfDesignAverage, 0.1)
}
