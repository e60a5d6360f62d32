package analysis_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis"
)

// feedPlant: 2 MGD through 75,000 gal (54 min), 2 mg/L leaving, ammonia 0.5 mg/L.
func feedPlant(feed, tags string, value map[string]func(int) float64) small {
	s := small{
		toml: `
[[basin]]
name = "basin"
outlet = "out"
flow_at = "out"
volume = "75,000 gal"
baffling_factor = 0.5
[[feed]]
name = "hypo"
chemical = "hypochlorite"
basin = "basin"
` + feed,
		tags: `Q,flow,out,MGD,continuous,,,,
C,chlorine_total,out,mg/L,continuous,,,,
NH,ammonia_n,secondary,mg/L,continuous,,,,
` + tags,
		value: map[string]func(int) float64{"Q": always(2), "C": always(2), "NH": always(0.5)},
	}
	for k, v := range value {
		s.value[k] = v
	}
	return s
}

// One tank of hypochlorite under each of its labels: 120 g/L available chlorine
// is 12 trade percent, and at specific gravity 1.168 it is 10.27 weight percent
// available chlorine, 10.8 weight percent NaOCl, 12.6 weight/volume percent
// NaOCl (1.05 g NaOCl per g Cl2: White's Handbook of Chlorination, 1972,
// verified). 5 gal/h of it: 120 gal/d × 1.0008 lb/gal = 120.1 lb/d, and in 2 MGD
// 120.096 ÷ (2 × 8.34) = 7.2 mg/L.
func TestHypochloriteByEveryLabel(t *testing.T) {
	for _, c := range []struct{ value, as, more string }{
		{"12.0", "trade percent", ""},
		{"10.274", "weight percent available chlorine", "specific_gravity = 1.168\n"},
		{"10.79", "weight percent NaOCl", "specific_gravity = 1.168\n"},
		{"12.6", "weight/volume percent NaOCl", ""},
		{"120.0", "g/L", ""},
	} {
		s := feedPlant("tag = \"F\"\nstrength = "+c.value+"\nstrength_as = \""+c.as+"\"\n"+c.more, "F,hypochlorite_feed,in,gal/h,on-change,,,,\n",
			map[string]func(int) float64{"F": always(5)})
		r := s.run(t)
		near(t, 7.2, hourly(t, r, "hypo.dose", 12), 0.01, c.as)
		near(t, 120.1, hourly(t, r, "hypo.feed", 12), 0.15, c.as)
		near(t, 120.1/24, hourly(t, r, "hypo.chlorine_used", 12), 0.01, c.as)
		near(t, 5, hourly(t, r, "hypo.solution_used", 12), 1e-9, c.as)
		near(t, 120, daily(t, r, "hypo.solution_used", 0), 1e-9, c.as)
		near(t, 5.2, hourly(t, r, "hypo.demand", 12), 0.01, c.as) // 7.2 − 2.0
		near(t, 10.4, hourly(t, r, "hypo.demand_per_ammonia", 12), 0.02, c.as)
		near(t, 14.4, hourly(t, r, "hypo.cl2_to_n", 12), 0.02, c.as)
		require.Equal(t, "cannot be told: above 5:1 by the dose, of which other demand (nitrite, organics) took an unknown part", words(t, r, "hypo.breakpoint_position", 12)) // 10:1 to 15:1
	}
}

// The dose met by the water leaving is that of one detention time ago: with the
// feed doubled at 12:00 the demand of the water leaving rises at 12:54.
func TestDemandFollowsTheWater(t *testing.T) {
	s := feedPlant("tag = \"F\"\nstrength = 12.0\nstrength_as = \"trade percent\"\n", "F,hypochlorite_feed,in,gal/h,on-change,,,,\n",
		map[string]func(int) float64{"F": func(m int) float64 {
			if m >= 720 {
				return 10
			}
			return 5
		}})
	r := s.run(t)
	near(t, 14.4, hourly(t, r, "hypo.dose", 12), 0.01)
	near(t, 5.2*0.9+12.4*0.1, hourly(t, r, "hypo.demand", 12), 0.15) // 54 of 60 min at the old dose
	near(t, 12.4, hourly(t, r, "hypo.demand", 13), 0.01)
}

// Gas: 120 lb/d in 2 MGD is 120 ÷ (2 × 8.34) = 7.194 mg/L (pounds formula).
func TestGasFeed(t *testing.T) {
	s := feedPlant("tag = \"G\"\nprice = 0.5\nprice_unit = \"lb\"\n", "G,chlorine_feed,in,lb/d,on-change,,,,\n", map[string]func(int) float64{"G": always(120)})
	s.toml = strings.Replace(s.toml, `"hypochlorite"`, `"chlorine"`, 1)
	r := s.run(t)
	near(t, 7.194, hourly(t, r, "hypo.dose", 12), 0.001)
	near(t, 120, daily(t, r, "hypo.chlorine_used", 0), 1e-6)
	u := r.Chemicals[0]
	near(t, 120, u.Pounds, 1e-6)
	require.True(t, math.IsNaN(u.Gallons))
	near(t, 60, u.Cost, 1e-6)
	near(t, 60, u.LbPerMG, 1e-6) // 120 lb in 2 MG
}

// A pump run by speed and stroke: 80 % × 50 % is a setting of 40 %. By full
// stroke 10 gal/h that is 4 gal/h; by a draw-down test of 50 % 6 gal/h, 4.8.
func TestPumpByPercent(t *testing.T) {
	const tags = "SPEED,hypochlorite_feed,in,%,continuous,,,,\nSTROKE,hypochlorite_feed,in,%,continuous,,,,\n"
	value := map[string]func(int) float64{"SPEED": always(80), "STROKE": always(50)}
	const strength = "strength = 120.0\nstrength_as = \"g/L\"\ntag = \"SPEED\"\n"
	r := feedPlant(strength+"full_stroke = \"10 gal/h\"\n", tags, value).run(t)
	near(t, 8, hourly(t, r, "hypo.solution_used", 12), 1e-6) // speed alone
	r = feedPlant(strength+"full_stroke = \"10 gal/h\"\nstroke_tag = \"STROKE\"\n", tags, value).run(t)
	near(t, 4, hourly(t, r, "hypo.solution_used", 12), 1e-6)
	r = feedPlant(strength+"stroke_tag = \"STROKE\"\npump_calibration = [[50, 6], [100, 10]]\n", tags, value).run(t)
	near(t, 4.8, hourly(t, r, "hypo.solution_used", 12), 1e-6)
	r = feedPlant(strength+"pump_calibration = [[50, 6], [100, 10]]\n", tags, value).run(t)
	near(t, 8.4, hourly(t, r, "hypo.solution_used", 12), 1e-6) // 6 + 4 × 30/50
}

// A liquid feed whose tag is in pounds of chlorine a day: 120.096 lb/d at
// 1.0008 lb/gal is 5 gal/h.
func TestLiquidByMass(t *testing.T) {
	r := feedPlant("tag = \"F\"\nstrength = 120.0\nstrength_as = \"g/L\"\n", "F,hypochlorite_feed,in,lb/d,on-change,,,,\n",
		map[string]func(int) float64{"F": always(120.096)}).run(t)
	near(t, 5, hourly(t, r, "hypo.solution_used", 12), 1e-6)
	near(t, 7.2, hourly(t, r, "hypo.dose", 12), 1e-6)
}

// Delivered at 12:00 with 120 g/L and a half-life of two days (much shorter than
// any real one): after six hours 120 ÷ 2^(0.25/2) = 110.04 g/L. Before the
// delivery the age is not known.
func TestStrengthFallsSinceDelivery(t *testing.T) {
	r := feedPlant("tag = \"F\"\nstrength = 120.0\nstrength_as = \"g/L\"\nhalf_life_days = 2\ndelivered = [\"2026-03-02 12:00\"]\n", "F,hypochlorite_feed,in,gal/h,on-change,,,,\n",
		map[string]func(int) float64{"F": always(5)}).run(t)
	near(t, 7.2, hourly(t, r, "hypo.dose", 6), 0.001)
	near(t, 110.04, r.Feeds[0].Strengths[18*60], 0.01)
	near(t, 6.556, hourly(t, r, "hypo.dose", 18), 0.002) // at 18:30: 7.2 ÷ 2^(6.5/48)
	// A measured strength counts before the reckoned one.
	s := feedPlant("tag = \"F\"\nstrength = 120.0\nstrength_as = \"g/L\"\nstrength_tag = \"S\"\nhalf_life_days = 2\ndelivered = [\"2026-03-02\"]\n",
		"F,hypochlorite_feed,in,gal/h,on-change,,,,\nS,hypochlorite_strength,in,g/L,continuous,,,,\n", map[string]func(int) float64{"F": always(5), "S": always(100)})
	near(t, 6, hourly(t, s.run(t), "hypo.dose", 18), 0.001)
}

// A feed known by its tank only: 1000 gal falling by 5 gal/h, filled up by 300
// gal in half an hour at 13:00. Drawn over the day: 120 gal, at 120 g/L 120.1 lb,
// 7.2 mg/L in 2 MGD. At the end 1180 gal are left, 9.8 days.
func TestFeedByTank(t *testing.T) {
	content := func(m int) float64 {
		gal := 1000 - 5*float64(m)/60
		switch {
		case m >= 810:
			gal += 300
		case m >= 780:
			gal += 10 * float64(m-780)
		}
		return gal
	}
	const feed = "level_tag = \"LT\"\nstrength = 120.0\nstrength_as = \"g/L\"\nprice = 2.0\nprice_unit = \"gal\"\nstorage = \"2000 gal\"\n"
	s := feedPlant(feed, "LT,tank_volume,tank,gal,continuous,,,,\n", map[string]func(int) float64{"LT": content})
	check := func(r *analysis.Result) {
		near(t, 120, daily(t, r, "hypo.solution_used", 0), 0.2)
		near(t, 120.1, daily(t, r, "hypo.chlorine_used", 0), 0.2)
		near(t, 7.2, daily(t, r, "hypo.dose", 0), 0.02)
		_, ok := r.Hourly.Column("hypo.dose")
		require.False(t, ok, "by the hour a tank's drop says nothing")
		require.Contains(t, strings.Join(r.Notes, "\n"), "known by its tank only")
		u := r.Chemicals[0]
		require.True(t, u.ByTank)
		near(t, 240, u.Cost, 0.5)
		near(t, 1180, u.InStore, 0.2)
		near(t, 9.83, u.DaysLeft, 0.02)
		require.Contains(t, u.StoredBy, "by LT at the end")
		near(t, 60, u.LbPerMG, 0.2)
	}
	check(s.run(t))
	// The same by the level of an upright tank: 100 gal/ft is 13.36806 ft².
	s = feedPlant(feed+"tank_area = \"13.368056 ft²\"\n", "LT,level,tank,ft,continuous,,,,\n", map[string]func(int) float64{"LT": func(m int) float64 { return content(m) / 100 }})
	check(s.run(t))
	// An upset of such a plant is explained without a feed by the minute.
	short := s
	short.toml = strings.Replace(s.toml, "baffling_factor = 0.5\n", "baffling_factor = 0.5\n[basin.require]\nct = \"100 mg·min/L\"\n", 1)
	require.NotEmpty(t, short.run(t).Upsets)
	// With a pump tag the tank stands beside it.
	s = feedPlant(feed+"tag = \"F\"\n", "LT,tank_volume,tank,gal,continuous,,,,\nF,hypochlorite_feed,in,gal/h,on-change,,,,\n", map[string]func(int) float64{"LT": content, "F": always(6)})
	r := s.run(t)
	near(t, 144, daily(t, r, "hypo.solution_used", 0), 0.01)
	near(t, 120, daily(t, r, "hypo.tank_drawn", 0), 0.2)
}

// Without a tank tag the storage stated is taken as full, and says so.
func TestDaysLeftAssumesAFullTank(t *testing.T) {
	r := feedPlant("tag = \"F\"\nstrength = 120.0\nstrength_as = \"g/L\"\nstorage = \"2400 gal\"\n", "F,hypochlorite_feed,in,gal/h,on-change,,,,\n", map[string]func(int) float64{"F": always(5)}).run(t)
	u := r.Chemicals[0]
	near(t, 20, u.DaysLeft, 1e-6)
	require.Contains(t, u.StoredBy, "taken as full")
	require.True(t, math.IsNaN(u.Cost), "no price, no cost")
}

// Feed ±4 %, strength ±3 %, flow ±2 %: √(16 + 9 + 4) = 5.385 % of 7.2 mg/L.
func TestDoseBand(t *testing.T) {
	s := feedPlant("tag = \"F\"\nstrength = 120.0\nstrength_as = \"g/L\"\nstrength_accuracy = \"3 %\"\n", "F,hypochlorite_feed,in,gal/h,on-change,,,,4 %\n", map[string]func(int) float64{"F": always(5)})
	s.tags = strings.Replace(s.tags, "MGD,continuous,,,,", "MGD,continuous,,,,2 %", 1)
	r := s.run(t)
	near(t, 7.2*(1-0.05385), hourly(t, r, "hypo.dose_low", 12), 0.0005)
	near(t, 7.2*(1+0.05385), daily(t, r, "hypo.dose_high", 0), 0.0005)
}

// Dechlorination of 2 mg/L: stoichiometric 1.468, 1.341, 1.778, 0.903 mg agent
// per mg chlorine (molar masses, derived); field 1.61, 1.47, 1.96 (AWWA field
// guide, table 7-2, verified) and 1.0 (wastewater text citing Metcalf and Eddy).
func TestDechlorinationAgents(t *testing.T) {
	for _, c := range []struct {
		chemical, unit, measures, strength string
		stoichiometric, field              float64
	}{
		{"bisulfite", "gal/h", "bisulfite_feed", "strength = 400.0\nstrength_as = \"g/L\"\n", 1.468, 1.61},
		{"metabisulfite", "gal/h", "bisulfite_feed", "strength = 400.0\nstrength_as = \"g/L\"\n", 1.341, 1.47},
		{"sulfite", "gal/h", "bisulfite_feed", "strength = 400.0\nstrength_as = \"g/L\"\n", 1.778, 1.96},
		{"sulfur_dioxide", "lb/d", "sulfur_dioxide_feed", "", 0.903, 1.0},
	} {
		rate := 1.0 // gal/h of 400 g/L: 24 × 400 × 1000 ÷ 2,000,000 = 4.8 mg/L in 2 MGD
		applied := 4.8
		if c.unit == "lb/d" {
			rate, applied = 33.36, 2 // 33.36 ÷ (2 × 8.34)
		}
		s := feedPlant("tag = \"S\"\nflow_at = \"out\"\n"+c.strength, "S,"+c.measures+",final,"+c.unit+",on-change,,,,\n", map[string]func(int) float64{"S": always(rate)})
		s.toml = strings.NewReplacer(`name = "hypo"`, `name = "dechlor"`, `chemical = "hypochlorite"`, `chemical = "`+c.chemical+`"`, "basin = \"basin\"\n", "").Replace(s.toml)
		r := s.run(t)
		near(t, applied, hourly(t, r, "dechlor.dose", 12), 0.005, c.chemical)
		near(t, 2*c.stoichiometric, hourly(t, r, "dechlor.needed_stoichiometric", 12), 0.001, c.chemical)
		near(t, 2*c.field, hourly(t, r, "dechlor.needed", 12), 0.001, c.chemical)
		near(t, applied/2, hourly(t, r, "dechlor.per_chlorine", 12), 0.005, c.chemical)
		near(t, 100*(applied/(2*c.field)-1), hourly(t, r, "dechlor.excess", 12), 0.2, c.chemical)
	}
}

// One feed at the common inlet of two basins: one dose, and the demand of both
// waters by their flows. 3 MGD 2:1, 6 mg/L in, 2 and 2.6 mg/L out: demand 4 and
// 3.4, together (2 × 4 + 3.4) ÷ 3 = 3.8 mg/L.
func TestOneFeedForParallelBasins(t *testing.T) {
	s := parallel
	s.toml = strings.NewReplacer("0.6667", "0.66666667", "0.3333\n", "0.33333333\n", "closed = ", "# ").Replace(s.toml) + `
[[feed]]
name = "gas"
chemical = "chlorine"
tag = "G"
flow_at = "both"
[[feed]]
name = "north_gas"
chemical = "chlorine"
tag = "G2"
basin = "north"
`
	s.tags += "G,chlorine_feed,both,lb/d,on-change,,,,\nG2,chlorine_feed,north_in,lb/d,on-change,,,,\n"
	s.value = map[string]func(int) float64{"Q": always(3), "N": always(2), "S": always(2.6), "RUN": always(1), "G": always(3 * 8.34 * 6), "G2": always(2 * 8.34 * 5)}
	r := s.run(t)
	near(t, 6, hourly(t, r, "gas.dose", 12), 1e-4)
	near(t, 3.8, hourly(t, r, "gas.demand", 12), 1e-4)
	near(t, 5, hourly(t, r, "north_gas.dose", 12), 1e-4, "a basin's own feed doses the basin's own share")
	near(t, 3, hourly(t, r, "north_gas.demand", 12), 1e-4)
}

// The same where each basin has its own meter and the feed doses the flow before
// them.
func TestOneFeedAheadOfBasinsWithMeters(t *testing.T) {
	s := small{
		toml: `
[[basin]]
name = "north"
outlet = "north_out"
flow_at = "north_out"
volume = "100,000 gal"
baffling_factor = 0.5
[[basin]]
name = "south"
outlet = "south_out"
flow_at = "south_out"
volume = "60,000 gal"
baffling_factor = 0.5
[[feed]]
name = "gas"
chemical = "chlorine"
tag = "G"
flow_at = "raw"
[[feed]]
name = "so2"
chemical = "sulfur_dioxide"
tag = "S2"
flow_at = "raw"
`,
		tags: `Q,flow,raw,MGD,continuous,,,,
QN,flow,north_out,MGD,continuous,,,,
QS,flow,south_out,MGD,continuous,,,,
N,chlorine_total,north_out,mg/L,continuous,,,,
S,chlorine_total,south_out,mg/L,continuous,,,,
G,chlorine_feed,raw,lb/d,on-change,,,,
S2,sulfur_dioxide_feed,end,lb/d,on-change,,,,
`,
		value: map[string]func(int) float64{"Q": always(3), "QN": always(2), "QS": always(1), "N": always(2), "S": always(2.6), "G": always(3 * 8.34 * 6), "S2": always(3 * 8.34 * 3)},
	}
	r := s.run(t)
	near(t, 6, hourly(t, r, "gas.dose", 12), 1e-4)
	near(t, 3.8, hourly(t, r, "gas.demand", 12), 1e-4)
	// What meets the sulfur dioxide is the mixture: (2 × 2 + 2.6) ÷ 3 = 2.2 mg/L.
	near(t, 2.2, hourly(t, r, "so2.needed", 12), 1e-4)
	near(t, 3/2.2, hourly(t, r, "so2.per_chlorine", 12), 1e-4)
}
