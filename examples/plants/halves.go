package plants

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"
)

// Halves.
const (
	Tune    = "tune"     // thresholds may be set on it
	HeldOut = "held-out" // drawn once
)

// FirstSeed is the half's own.
func FirstSeed(half string) uint64 {
	return map[string]uint64{Tune: 51_001, HeldOut: 770_002}[half]
}

// draw draws from ranges: one half from the lower 65 % of a range, the other
// from the upper 65 %. A coin falls for each parameter of each plant, the same
// one for both halves, so that neither is the harder one throughout.
type draw struct {
	*rand.Rand
	coin *rand.Rand
	held bool
}

func newDraw(half string, seed uint64, name string) *draw {
	return &draw{Rand: stream(seed, "site "+name), coin: stream(0, "coin "+name), held: half == HeldOut}
}

func (d *draw) in(lo, hi float64) float64 {
	x := 0.65 * d.Float64()
	if d.held == (d.coin.Float64() < 0.5) {
		x += 0.35
	}
	return lo + (hi-lo)*x
}

// class is a type of plant.
type class struct {
	name string
	make func(d *draw, s *Site)
}

// classes are the types of plants; each takes what every plant has and changes
// it.
var classes = []class{
	{"two probes", func(d *draw, s *Site) { s.Middle, s.Free, s.Ammonia = true, true, true }},
	{"one probe", func(d *draw, s *Site) { s.Free = true }},
	{"bare", func(d *draw, s *Site) {
		s.PH, s.Temp, s.Inflow, s.GrabsPerDay, s.Blunders = false, false, false, 1, 0.05
	}},
	{"one grab with blunders", func(d *draw, s *Site) { s.Middle, s.GrabsPerDay, s.Blunders = true, 1, d.in(0.04, 0.1) }},
	{"fed by ORP", func(_ *draw, s *Site) { s.Control = ByORP }},
	{"fed by ORP, two probes", func(_ *draw, s *Site) { s.Control, s.Middle, s.Free = ByORP, true, true }},
	{"fed by residual alone", func(d *draw, s *Site) { s.Control, s.Middle, s.Ammonia = ByResidual, true, true }},
	{"fed by flow alone", func(d *draw, s *Site) { s.Control, s.Free = ByFlow, true }},
	{"fed by hand", func(d *draw, s *Site) {
		s.Control, s.FlowMGD, s.GrabsPerDay = ByHand, s.FlowMGD*0.5, 3
		s.BasinGal *= 0.5
	}},
	{"gas", func(d *draw, s *Site) { s.Gas, s.Middle, s.Ammonia = true, true, d.Float64() < 0.5 }},
	{"two trains", func(d *draw, s *Site) { s.Trains, s.Free, s.Links = 2, false, 5; s.BasinGal /= 2 }},
	{"stops at night", func(d *draw, s *Site) { s.NightStop, s.Swing = true, 0.25 }},
	{"chloraminating", func(d *draw, s *Site) {
		s.NH3, s.NH3Swing, s.Dose, s.Aim, s.Middle = d.in(9, 26), 0.15, d.in(3.5, 6), 0, true
		s.Fast, s.Slow = d.in(0.4, 1), d.in(1, 3)
		s.Aim = 0.55 * s.Dose
	}},
	{"chloraminating, bare", func(d *draw, s *Site) {
		s.NH3, s.NH3Swing, s.Dose, s.PH, s.Inflow, s.GrabsPerDay = d.in(9, 26), 0.15, d.in(3.5, 6), false, false, 1
		s.Fast, s.Slow = d.in(0.4, 1), d.in(1, 3)
		s.Aim = 0.55 * s.Dose
	}},
	{"partly nitrifying", func(d *draw, s *Site) {
		s.NH3, s.NH3Swing, s.NO2, s.Dose, s.Ammonia, s.Free, s.Middle = d.in(0.4, 0.9), 0.6, d.in(0.05, 0.2), d.in(8, 11), true, true, true
		s.Aim = 2.2
	}},
	{"nitrite about", func(d *draw, s *Site) { s.NO2, s.Free, s.Dose = d.in(0.05, 0.25), true, s.Dose+1 }},
	{"low residual", func(d *draw, s *Site) {
		s.Dose -= s.Aim
		s.Aim, s.SpanTotal = d.in(0.15, 0.8), 2
		s.Dose += s.Aim
		s.Dechlor, s.FinalAnalyser, s.FinalORP = d.Float64() < 0.5, false, false
	}},
	{"free only", func(_ *draw, s *Site) { s.Total, s.Free, s.Middle = false, true, true }},
	{"reads standards", func(d *draw, s *Site) { s.StandardsEveryDays, s.Middle = 7, true }},
	{"season begins", func(d *draw, s *Site) { s.SeasonFrom, s.Ammonia = int(1440*d.in(8, 14)), true }},
	{"basin closed", func(d *draw, s *Site) {
		s.ClosedFrom = int(1440 * d.in(9, 13))
		s.ClosedTo = s.ClosedFrom + int(1440*d.in(5, 9))
	}},
}

// newSite draws a plant of a class; n turns through the ways of storing.
func newSite(c class, d *draw, n int) Site {
	s := Site{
		Name: fmt.Sprintf("Plant %d", n+1), Class: c.name,
		Zone:    []string{"America/Denver", "America/New_York", "America/Chicago", "America/Phoenix", "America/Los_Angeles"}[d.IntN(5)],
		Trains:  1,
		FlowMGD: math.Exp(d.in(math.Log(0.8), math.Log(14))), Swing: d.in(0.15, 0.4), Tanks: []int{3, 5, 5, 8, 12, 20}[d.IntN(6)],
		Dechlor: true, Control: Compound, Total: true, Outlet: true, FinalAnalyser: true, FinalORP: d.Float64() < 0.4,
		PH: true, Temp: true, Inflow: true, GrabsPerDay: []int{1, 2, 3, 4}[d.IntN(4)], Blunders: d.in(0, 0.02),
		SpanTotal: []float64{5, 10}[d.IntN(2)], SpanFinal: []float64{0.5, 1, 2, 5}[d.IntN(4)],
		NH3: d.in(0.03, 0.12), NH3Swing: 0.35, NO2: d.in(0.002, 0.02), Fast: d.in(0.8, 2), Slow: d.in(1, 3), Organic: d.in(0.1, 0.4),
		TempC: d.in(9, 24), AcidPH: d.in(6.7, 7.6), Sun: d.in(0, 0.006) * float64(d.IntN(2)), Rain: d.in(0.5, 4),
		Wander: d.in(2.5, 8), FilmPerDay: d.in(0.2, 1.5), CleanDays: []int{7, 7, 14, 21, 28}[d.IntN(5)], OxideMV: d.in(5, 35),
		AnalyserSD: d.in(0.015, 0.04), Heartbeat: []int{10, 20, 30, 60, 120}[d.IntN(5)], Deadband: d.in(0.1, 0.6), Quality: d.Float64() < 0.35, Links: []int{1, 2, 3, 3}[d.IntN(4)],
		HoldDuringService: d.Float64() < 0.85, FinalLagMin: 5, SampleLag: d.in(0, 4), Style: d.IntN(3),
	}
	s.Aim = d.in(1.2, 3)
	s.Dose = s.Aim + s.Fast + 0.55*s.Slow + clPerN*(s.NO2+0.5*s.NH3)
	s.BasinGal = math.Round(s.FlowMGD*1e6/1440*d.in(25, 75)/100) * 100
	switch n % 5 {
	case 0, 2:
		s.Storage, s.Every = Exception, 1
	case 1:
		s.Storage, s.Every = Scan, 1
	case 3:
		s.Storage, s.Every, s.Heartbeat = SwingingDoor, 1, max(s.Heartbeat, 30)
	case 4:
		s.Storage, s.Every = Scan, []int{2, 5, 10, 20}[d.IntN(4)]
	}
	if d.Float64() < 0.4 { // the operators change what they aim at
		s.AimStepAt, s.AimStep = int(1440*d.in(12, 30)), d.in(0.12, 0.25)*float64(1-2*d.IntN(2))
	}
	c.make(d, &s)
	if !s.Dechlor {
		s.FinalAnalyser, s.FinalORP = false, false
	}
	return s
}

// Months lists the records of a half: clean ones of 45 days and ones with
// events of 31 to 38, from every class.
func Months(half string, first uint64) ([]Config, error) {
	if half != Tune && half != HeldOut {
		return nil, fmt.Errorf("half %q: write %s or %s", half, Tune, HeldOut)
	}
	if first == 0 {
		first = FirstSeed(half)
	}
	var out []Config
	n := 0
	p := &placer{count: map[Kind]int{}}
	add := func(c class, kind string, days int, events func(*draw, Config) []Event) {
		n++
		seed := first + uint64(n)
		d := newDraw(half, seed, c.name+kind)
		cfg := Config{Name: fmt.Sprintf("%02d %s, %s", n, c.name, kind), Seed: seed, Days: days, Site: newSite(c, d, n),
			Start: time.Date(2027, time.Month(1+d.IntN(12)), 1+d.IntN(20), 0, 0, 0, 0, time.UTC)}
		if c.name == "season begins" {
			cfg.Start = time.Date(2027, 4, 15+d.IntN(8), 0, 0, 0, 0, time.UTC)
		}
		if events != nil {
			cfg.Events = events(d, cfg)
		}
		out = append(out, cfg)
	}
	for _, c := range classes {
		add(c, "clean", 46, nil)
	}
	for _, c := range classes[:6] {
		add(c, "clean again", 46, nil)
	}
	for _, name := range []string{"events", "more events"} {
		for _, c := range classes {
			add(c, name, 38, p.events)
		}
	}
	return out, nil
}
