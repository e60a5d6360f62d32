package analysis_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// workedHour is the hour that the developers' guide works through on a
// calculator: 60,000 gal with baffling factor 0.6; at 10:45 the flow rises from
// 1.44 MGD (1000 gal/min) to 2.16 MGD (1500 gal/min) and the residual leaving
// falls from 2.0 to 1.8 mg/L; 4.0 mg/L at the inlet throughout; 4 gal/h of 12.5
// trade percent hypochlorite; ammonia 0.8 mg/L.
var workedHour = small{
	toml: `
[[basin]]
name = "basin"
inlet = "in"
outlet = "out"
flow_at = "out"
volume = "60,000 gal"
volume_accuracy = "2 %"
baffling_factor = 0.6
contact_time_accuracy = "5 %"
[basin.require]
ct = "50 mg·min/L"
[[feed]]
name = "hypo"
chemical = "hypochlorite"
tag = "F"
basin = "basin"
strength = 12.5
strength_as = "trade percent"
`,
	tags: `Q,flow,out,MGD,on-change,,,,2 %
C0,chlorine_total,in,mg/L,on-change,,,,
C,chlorine_total,out,mg/L,on-change,,,,3 %
F,hypochlorite_feed,in,gal/h,on-change,,,,
NH3,ammonia_n,in,mg/L,on-change,,,,
`,
	value: map[string]func(int) float64{"Q": step(645, 1.44, 2.16), "C": step(645, 2, 1.8), "C0": always(4), "F": always(4), "NH3": always(0.8)},
}

// TestWorkedHour holds the program against the hand calculation of that hour,
// 10:00 to 11:00. Every expected figure was worked on paper.
func TestWorkedHour(t *testing.T) {
	r := workedHour.run(t)
	const hour = 10
	for _, c := range []struct {
		column string
		want   float64
		tol    float64
	}{
		// 36,000 gal count. Until 10:45 36,000 ÷ 1000 = 36 min. s minutes after it
		// 1500 s gal have left at the higher flow and the rest came in at the lower:
		// s + (36,000 − 1500 s) ÷ 1000 = 36 − 0.5 s. The last minute's middle is
		// s = 14.5: 28.75 min.
		{"basin.contact_time_min", 28.75, 0.005},
		{"basin.contact_time_mean", 35.0625, 0.0005}, // (45 × 36 + 15 × 36 − 0.5 × 112.5) ÷ 60
		{"basin.ct_min", 51.75, 0.005},               // 1.8 × 28.75
		{"basin.ct_mean", 68.5125, 0.0005},           // (45 × 72 + 1.8 × 483.75) ÷ 60
		// The regulator's: 36,000 ÷ 1500 = 24 min, × 1.8.
		{"basin.contact_time_steady", 24, 0.005},
		{"basin.residual_lowest", 1.8, 0.0005},
		{"basin.ct_steady", 43.2, 0.005},
		// Along the path: 45 min of (4 − 2) ÷ ln 2 × 36 = 103.874, 15 min of
		// (4 − 1.8) ÷ ln(4 ÷ 1.8) × 32.25 on average = 88.853.
		{"basin.ct_path", 100.119, 0.005},
		// √(2² + 3² + 2² + 5²) = 6.481 % of 51.75 is 3.354.
		{"basin.ct_low", 48.40, 0.005},
		{"basin.ct_high", 55.10, 0.005},
		// 45 min of 1.44 × 2.0 × 8.34 = 24.0192 lb/d, 15 min of 2.16 × 1.8 × 8.34 =
		// 32.4259; not 1.62 × 1.95 × 8.34 = 26.346, the product of the means.
		{"out.chlorine_total_load", 26.1209, 0.0005},
		{"out.chlorine_total_mass", 1.08837, 0.00005},
		{"out.chlorine_total_flow_weighted", 1.93333, 0.00005}, // (45 × 2.88 + 15 × 3.888) ÷ (45 × 1.44 + 15 × 2.16)
		// 4 × 24 × 125 × 8.34 ÷ 1000 = 100.08 lb/d; ÷ (1.44 × 8.34) = 8.3333 mg/L,
		// ÷ (2.16 × 8.34) = 5.5556.
		{"hypo.feed", 100.08, 0.005},
		{"hypo.chlorine_used", 4.17, 0.005},
		{"hypo.solution_used", 4, 0.0005},
		{"hypo.dose", 7.6389, 0.0005},
		// All water leaving came in at 8.3333 mg/L: 6.3333 until 10:45, then 6.5333.
		{"hypo.demand", 6.3833, 0.0005},
		{"hypo.demand_per_ammonia", 7.979, 0.0005},
		{"hypo.cl2_to_n", 10.417, 0.0005}, // 8.3333 ÷ 0.8
	} {
		near(t, c.want, hourly(t, r, c.column, hour), c.tol, c.column)
	}
	require.Equal(t, "met within the instruments' accuracy", words(t, r, "basin.verdict", hour))
	require.Equal(t, "cannot be told: above 5:1 by the dose, of which other demand (nitrite, organics) took an unknown part", words(t, r, "hypo.breakpoint_position", hour))
	require.Equal(t, "short", words(t, workedHour.with(`ct = "50 mg·min/L"`, "ct = \"50 mg·min/L\"\njudged_by = \"steady\"").run(t), "basin.verdict", hour),
		"the two ways differ, and the plant description says which one counts")
}
