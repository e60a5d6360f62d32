package upset_test

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/upset"
	"weirbook/testdata/published"
)

func is(t *testing.T, want, got, tol float64) {
	t.Helper()
	require.False(t, math.IsNaN(got), "NaN, want %v", want)
	require.InDelta(t, want, got, tol)
}

func TestPublishedShapleyValues(t *testing.T) {
	sheet := published.NewSheet(t)
	for _, r := range published.Load(t, "upset_shapley").Rows {
		worth := map[uint]float64{}
		for _, kv := range strings.Split(r.Text(t, "worth"), ";") {
			k, v, _ := strings.Cut(kv, "=")
			set, err := strconv.Atoi(k)
			require.NoError(t, err)
			worth[uint(set)], err = strconv.ParseFloat(v, 64)
			require.NoError(t, err)
		}
		parts := upset.Shapley(int(r.Num(t, "players")), func(s uint) float64 { return worth[s] })
		sheet.Row(r, "expected", parts[int(r.Num(t, "player"))-1])
	}
}

// state is a plant in normal operation: 4 MGD, 150,000 gal at 0.6, hypochlorite
// of 1.0432 lb/gal, demand 3 mg/L.
func state() upset.State {
	return upset.State{Time: 0.6 * 150_000 / (4e6 / 1440), Volume: math.NaN(), Feed: 7, Strength: 1.0432, DoseFlow: 4,
		Dose: math.NaN(), Demand: 3, Residual: math.NaN(), Temp: math.NaN(), PH: math.NaN()}
}

func ct(s upset.State) float64 {
	return s.Time * math.Max(0, 24*s.Feed*s.Strength/(8.34*s.DoseFlow)-s.Demand)
}

func part(t *testing.T, ps []upset.Part, c upset.Cause) upset.Part {
	t.Helper()
	for _, p := range ps {
		if p.Cause == c {
			return p
		}
	}
	t.Fatalf("no part %q", c)
	return upset.Part{}
}

// Flow doubles and the feed follows it: ln 2 of the log CT goes to the shorter
// time, and feed and dilution cancel.
func TestFlowDoubles(t *testing.T) {
	a, b := state(), state()
	b.Time /= 2
	b.DoseFlow, b.Feed = 8, 14
	ps := upset.SplitStates(a, b, nil)
	is(t, -math.Ln2, part(t, ps, upset.ByTime).Log, 1e-12)
	is(t, -ct(a)/2, part(t, ps, upset.ByTime).CT, 1e-9)
	is(t, 0, part(t, ps, upset.ByStrength).CT, 1e-12)
	is(t, 0, part(t, ps, upset.ByDemand).CT, 1e-12)
	is(t, -ct(a)/2, sum(ps), 1e-9)
	// The dose did not change, yet thinning and feeding are told apart, and cancel in the logarithm.
	is(t, 0, part(t, ps, upset.ByFeed).Log+part(t, ps, upset.ByDilution).Log, 1e-9)
	is(t, 0, part(t, ps, upset.ByFeed).CT+part(t, ps, upset.ByDilution).CT, 1e-9)
	require.Positive(t, part(t, ps, upset.ByFeed).CT)
	require.Negative(t, part(t, ps, upset.ByDilution).CT)
}

func TestOneThingAlone(t *testing.T) {
	for cause, change := range map[upset.Cause]func(*upset.State){
		upset.ByFeed:     func(s *upset.State) { s.Feed = 0 },
		upset.ByStrength: func(s *upset.State) { s.Strength *= 0.7 },
		upset.ByDilution: func(s *upset.State) { s.DoseFlow *= 1.3 },
		upset.ByDemand:   func(s *upset.State) { s.Demand += 2 },
		upset.ByTime:     func(s *upset.State) { s.Time *= 0.4 },
	} {
		a, b := state(), state()
		change(&b)
		for _, p := range upset.SplitStates(a, b, nil) {
			want := 0.0
			if p.Cause == cause {
				want = ct(b) - ct(a)
			}
			is(t, want, p.CT, 1e-9)
		}
	}
}

func sum(ps []upset.Part) float64 {
	var x float64
	for _, p := range ps {
		x += p.CT
	}
	return x
}

// The parts add to the whole, whatever moved, and back again with the sign turned.
func TestPartsAddUp(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	draw := func() upset.State {
		s := upset.State{Time: 60 * r.Float64(), Volume: 1e5 * (1 + r.Float64()), Feed: 20 * r.Float64(), Strength: 0.5 + r.Float64(),
			DoseFlow: 0.2 + 10*r.Float64(), Dose: math.NaN(), Demand: 8 * r.Float64(), Residual: 5 * r.Float64(), Temp: 25 * r.Float64(), PH: 6 + 3*r.Float64()}
		if r.IntN(6) == 0 {
			s.Feed = 0
		}
		switch r.IntN(8) {
		case 0:
			s.Volume = math.NaN()
		case 1:
			s.Strength = math.NaN()
			s.Dose = 10 * r.Float64()
		case 2:
			s.Demand = math.NaN()
		case 3:
			s.Temp = math.NaN()
		}
		return s
	}
	need := func(temp, ph, c float64) float64 { return 20 + 3*ph*math.Exp(-0.07*temp) + 0.3*c }
	moved := 0
	for range 3000 {
		a, b := draw(), draw()
		var f func(t, p, c float64) float64
		if r.IntN(2) == 0 {
			f = need
		}
		there, back := upset.SplitStates(a, b, f), upset.SplitStates(b, a, f)
		names := map[upset.Cause]bool{}
		for k := range there {
			names[there[k].Cause] = true
			// Where the demand follows a dose that was cut, the way back is another question.
			if len(there) == len(back) && !math.IsNaN(there[k].CT) {
				is(t, -there[k].CT, back[k].CT, 1e-6)
			}
		}
		margin := func(s upset.State) float64 {
			c := s.Residual
			switch {
			case names[upset.ByFeed]:
				c = math.Max(0, 24*s.Feed*s.Strength/(8.34*s.DoseFlow)-s.Demand)
			case names[upset.ByDose]:
				c = math.Max(0, s.Dose-s.Demand)
			}
			x := s.Time * c
			if names[upset.ByTemperature] {
				x -= f(s.Temp, s.PH, c)
			}
			return x
		}
		want := margin(b) - margin(a)
		if math.IsNaN(want) {
			continue
		}
		moved++
		is(t, want, sum(there), 1e-6)
	}
	require.Greater(t, moved, 2000)
}

func TestPublishedCriteria(t *testing.T) {
	sheet := published.NewSheet(t)
	tab := published.Load(t, "upset_criteria")
	fresh, salt := upset.CriteriaFor(false), upset.CriteriaFor(true)
	sheet.Row(tab.Find(t, "fresh-acute"), "expected", 1000*fresh.Acute)
	sheet.Row(tab.Find(t, "fresh-chronic"), "expected", 1000*fresh.Chronic)
	sheet.Row(tab.Find(t, "salt-acute"), "expected", 1000*salt.Acute)
	sheet.Row(tab.Find(t, "salt-chronic"), "expected", 1000*salt.Chronic)
}

// A feed that stops leaves no chlorine to be used up: the demand that shows is
// nothing, and that is the feed's doing, not relief.
func TestDemandFollowsACutDose(t *testing.T) {
	a, b := state(), state()
	b.Feed, b.Demand = 0.5, 0.3
	ps := upset.SplitStates(a, b, nil)
	for _, p := range ps {
		require.NotEqual(t, upset.ByDemand, p.Cause)
	}
	is(t, ct(b)-ct(a), part(t, ps, upset.ByFeed).CT, 1e-9)
}

// Groups of one, and one group of all, are no grouping: Owen's theorem that the
// value is then Shapley's.
func TestGroupsThatAreNone(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 2))
	for range 50 {
		const n = 5
		worth := make([]float64, 1<<n)
		for k := range worth {
			worth[k] = r.NormFloat64()
		}
		f := func(s uint) float64 { return worth[s] }
		want := upset.Shapley(n, f)
		var ones, all upset.Group
		for k := range n {
			ones.Members = append(ones.Members, upset.Group{Members: []upset.Group{{Part: k}}})
			all.Members = append(all.Members, upset.Group{Part: k})
		}
		got, whole := upset.Nested(ones, n, f), upset.Nested(upset.Group{Members: []upset.Group{all}}, n, f)
		for k := range n {
			is(t, want[k], got[k], 1e-12)
			is(t, want[k], whole[k], 1e-12)
		}
	}
}
