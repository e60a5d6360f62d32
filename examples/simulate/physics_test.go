package simulate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Residence time of N equal tanks: t10/HRT as tabulated from the gamma
// distribution (derived; N = 1 is -ln 0.9 exactly). Held to the printed digits.
func TestT10OfTanksInSeries(t *testing.T) {
	for _, c := range []struct {
		n    int
		want float64
	}{{1, 0.10536}, {2, 0.26591}, {3, 0.36736}, {4, 0.43619}, {5, 0.48652}, {6, 0.52532}, {8, 0.58201},
		{10, 0.62213}, {15, 0.68664}, {20, 0.72626}, {30, 0.77431}, {50, 0.82358}} {
		require.InDelta(t, c.want, t10Share(c.n), 0.5e-5, "%d tanks", c.n)
	}
}

// step10 runs a step of an inert tracer through a basin and gives the minutes
// and the gallons until 10 % of it leaves.
func step10(p Plant, flow func(min int) float64) (minutes, gal float64) {
	b := newBasin(p)
	in := cell{free: 1}
	before := 0.0
	for i := 0; ; i++ {
		q := flow(i)
		b.flow(&in, q, 0) // at speed 0 nothing reacts
		now := b.outlet().free
		if now >= 0.1 {
			part := (0.1 - before) / (now - before)
			return float64(i) + part, gal + part*q*galPerMinPerMGD
		}
		before = now
		gal += q * galPerMinPerMGD
	}
}

// At constant flow T10 is baffling factor × volume / flow, the definition of
// the factor (0.5 average, 0.7 superior: EPA table, verified). Stirring in
// finite steps costs up to 2 %.
func TestBasinHasItsBafflingFactor(t *testing.T) {
	for _, baffling := range []float64{0.3, 0.5, 0.6, 0.7} {
		p := DefaultPlant(Nitrified)
		p.Baffling = baffling
		for _, q := range []float64{1, 4, 9} {
			minutes, _ := step10(p, func(int) float64 { return q })
			want := baffling * p.BasinGal / (q * 1e6 / 1440)
			require.InEpsilon(t, want, minutes, 0.02, "baffling %g at %g MGD", baffling, q)
		}
	}
}

// When the flow changes, the water that has to pass until 10 % leaves stays
// baffling factor × volume. This is why the truth counts parcels by volume.
func TestBasinUnderChangingFlow(t *testing.T) {
	p := DefaultPlant(Nitrified)
	_, gal := step10(p, func(min int) float64 { return 2 + 0.2*float64(min) })
	require.InEpsilon(t, 0.6*p.BasinGal, gal, 0.02)
}

// Age of the leaving parcel against the analytic answer (derived): constant
// flow V/Q; a ramp q = a + b·t, where a·T + b·(2t-T)·T/2 = V; a sine by its
// integral.
func TestParcelAge(t *testing.T) {
	const gal = 90_000
	need := gal / galPerMinPerMGD
	run := func(q func(t float64) float64) []float64 {
		flow := make([]float64, 600)
		for i := range flow {
			flow[i] = q(float64(i) + 0.5) // the minute's mean, exact for a ramp
		}
		return parcelAge(flow, gal)
	}
	age := run(func(float64) float64 { return 4 })
	require.True(t, math.IsNaN(age[10]), "the basin has not been filled yet")
	require.InDelta(t, need/4, age[599], 1e-9)

	age = run(func(t float64) float64 { return 2 + 0.01*t })
	end := 600.0
	T := age[599]
	require.InDelta(t, need, 2*T+0.01*(2*end-T)*T/2, 0.01, "minutes are steps: within 0.01 %")

	w := 2 * math.Pi / 240
	age = run(func(t float64) float64 { return 4 + 2*math.Sin(w*t) })
	T = age[599]
	passed := 4*T - 2/w*(math.Cos(w*end)-math.Cos(w*(end-T)))
	require.InDelta(t, need, passed, 0.02, "minute means of a sine, within 0.1 %")
}

// batch reacts chlorine with water that has 1 mg/L of ammonia nitrogen and no
// demand, for the minutes given.
func batch(dose, minutes float64) cell {
	c, _ := dosed(dose, 0, 0, 0, 1)
	for i := 0; i < int(minutes*4); i++ {
		c.react(0.25, 1)
	}
	return c
}

// Breakpoint: monochloramine up to 5:1 Cl2 to N by mass, least residual near
// 7.6:1 in theory (verified: Weiner, Applications of Environmental Aquatic
// Chemistry, chapter 4; exact 3 Cl2 : 2 N = 7.593, derived), a free residual
// beyond.
func TestBreakpoint(t *testing.T) {
	least, at := math.Inf(1), 0.0
	for dose := 1.0; dose <= 14; dose += 0.1 {
		if c := batch(dose, 60); c.total() < least && dose > 5 {
			least, at = c.total(), dose
		}
	}
	require.InDelta(t, 7.6, at, 0.8, "dose of the least residual after an hour")
	require.Less(t, least, 1.2)

	c := batch(4.5, 60)
	require.Greater(t, c.mono/4.5, 0.9, "below 5:1 it stays monochloramine")
	require.Less(t, c.free, 0.01)

	c = batch(12, 240)
	require.Greater(t, c.free/c.total(), 0.9, "past the breakpoint the residual is free")
	require.InDelta(t, 12-7.593, c.total(), 0.35, "what oxidising 1 mg/L of N to N2 leaves")
}

// Bisulfite per chlorine by mass, stoichiometric 1.468 (derived from atomic
// weights), and hypochlorite of 12.5 trade percent: 125 g/L, 1.0432 lb/gal.
func TestChemicals(t *testing.T) {
	require.InDelta(t, 1.468, sulfitePerCl2, 0.0005)
	require.InDelta(t, 1.0432, hypoTradePercent*hypoLbPerGalPerPc, 0.00005)
	// 10 gal/h in 4 MGD: 240 gal/d × 1.0432 lb/gal = 250.4 lb/d; / (4 × 8.345) = 7.50 mg/L.
	require.InDelta(t, 7.50, doseMgL(10, 12.5, 4), 0.005)
}

// Levels of ORP against Ag/AgCl: chloraminated secondary effluent typically
// 350 to 550 mV, dechlorinated effluent roughly 150 to 300 mV (from memory,
// wide site variation); free chlorine above both. The law is none in the log of
// the residual: its slope must fall off towards both ends.
func TestProbePotential(t *testing.T) {
	for seed := uint64(1); seed <= 20; seed++ {
		p := newProbe(TagORPOutlet, seed, 2, true)
		e := func(c cell, sulfite float64) float64 { return p.potential(&c, sulfite, 7.2, 18) }
		free := e(cell{free: 2, organic: 0.2}, 0)
		mono := e(cell{mono: 3}, 0)
		gone := e(cell{organic: 0.01}, 0.8)
		require.True(t, free > 600 && free < 760, "free: %g", free)
		require.True(t, mono > 380 && mono < 550, "mono: %g", mono)
		require.True(t, gone > 150 && gone < 310, "dechlorinated: %g", gone)

		decade := func(x float64) float64 { return e(cell{free: x}, 0) - e(cell{free: x / 10}, 0) }
		require.True(t, decade(3) > 45 && decade(3) < 150, "0.3 to 3 mg/L: %g mV", decade(3))
		require.Less(t, decade(100), 0.75*decade(3), "saturates above")
		require.Less(t, decade(0.003), 0.5*decade(0.3), "and below")
	}
}

// The layer on the electrode makes falling slower than rising.
func TestProbeHysteresis(t *testing.T) {
	const n = 3000
	w := &water{}
	for i := 0; i < n; i++ {
		w.pH, w.temp = append(w.pH, 7.2), append(w.temp, 18)
		w.hour, w.weekday = append(w.hour, 1), append(w.weekday, 5)
	}
	p := newProbe(TagORPOutlet, 3, 2, true)
	p.drift, p.noise, p.ageRate, p.age = nil, 0, 0, 0
	low, high := cell{free: 0.2}, cell{free: 2}
	at := func(i int, c *cell) float64 { v, _ := p.read(i, w, c, 0, nil); return v }
	for i := 0; i < 1000; i++ {
		at(i, &low)
	}
	bottom := at(1000, &low)
	var up, down float64
	for i := 1001; i <= 1030; i++ {
		up = at(i, &high)
	}
	for i := 1031; i < 2000; i++ {
		at(i, &high)
	}
	top := at(2000, &high)
	for i := 2001; i <= 2030; i++ {
		down = at(i, &low)
	}
	require.Greater(t, top-bottom, 40.0)
	require.Less(t, (top-up)/(top-bottom), 0.03, "risen within half an hour")
	require.Greater(t, (down-bottom)/(top-bottom), 0.08, "not yet fallen after half an hour")
}

// Chlorine in = chlorine out + used up + change of what the basin holds.
func TestMassBalance(t *testing.T) {
	for _, r := range []Regime{Nitrified, Partly, Chloraminated} {
		m, err := Run(Config{Seed: 5, Plant: DefaultPlant(r), Days: 6})
		require.NoError(t, err)
		tr := m.Truth
		require.Greater(t, tr.EnteredLb, 500.0)
		sum := tr.LeftLb + tr.ConsumedLb + tr.StoredLb[1] - tr.StoredLb[0]
		require.InEpsilon(t, tr.EnteredLb, sum, 2e-4, "%s: finite steps cost less than 0.02 %%", r)
	}
}

// What the regimes are about, in medians: free chlorine where ammonia is gone,
// none where it abounds, both within a month in between.
func TestRegimes(t *testing.T) {
	share := func(r Regime, seed uint64) float64 {
		m, err := Run(Config{Seed: seed, Plant: DefaultPlant(r), Days: 12})
		require.NoError(t, err)
		free, total := 0.0, 0.0
		for i := range m.Truth.FreeMgL {
			free += m.Truth.FreeMgL[i]
			total += m.Truth.TotalMgL[i]
		}
		return free / total
	}
	require.Greater(t, share(Nitrified, 3), 0.75)
	require.Less(t, share(Chloraminated, 3), 0.01)
	p := share(Partly, 3)
	require.True(t, p > 0.05 && p < 0.7, "partly nitrified: %g", p)
}
