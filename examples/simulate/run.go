package simulate

import (
	"fmt"
	"math"
	"time"
	_ "time/tzdata" // a Windows laptop has no zone files
)

// Minutes simulated before the first one kept, so that basin, controls and
// probes have settled, and after the last one, for a clock that runs behind.
const (
	spinUp = 3 * 1440
	tail   = 60
)

// withDefaults fills what the caller left open.
func (c Config) withDefaults() Config {
	if c.Start.IsZero() {
		c.Start = time.Date(2026, time.March, 1, 0, 0, 0, 0, time.UTC)
	}
	if c.Days == 0 {
		c.Days = 31
	}
	if c.Zone == "" {
		c.Zone = "America/Denver"
	}
	if c.Plant == (Plant{}) {
		c.Plant = DefaultPlant(Nitrified)
	}
	return c
}

// Clock gives the local midnights that the month begins and ends at.
func (c Config) Clock() (start, end time.Time, err error) {
	c = c.withDefaults()
	loc, err := time.LoadLocation(c.Zone)
	if err != nil {
		return start, end, fmt.Errorf("zone %q: %w", c.Zone, err)
	}
	y, m, d := c.Start.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, loc), time.Date(y, m, d+c.Days, 0, 0, 0, 0, loc), nil
}

// Run simulates a month. It fails on a plant it cannot run, an unknown zone or
// kind of event, or an event that ends before it starts; it does not fail on
// an event outside the month, which then has no effect.
func Run(c Config) (*Month, error) {
	c = c.withDefaults()
	if err := c.Plant.check(); err != nil {
		return nil, err
	}
	if c.Days < 1 || c.Days > 1100 {
		return nil, fmt.Errorf("%d days; 1 to 1100", c.Days)
	}
	start, end, err := c.Clock()
	if err != nil {
		return nil, err
	}
	m := &Month{Config: c, Loc: start.Location(), Start: start.Unix(), N: int(end.Unix()-start.Unix()) / 60}
	begin := m.Start - 60*spinUp
	for n, e := range c.Events {
		e, err := e.resolve(c.Plant, c.Seed, n, begin)
		if err != nil {
			return nil, err
		}
		m.Events = append(m.Events, e)
	}
	s := newSimulation(m, begin)
	for i := 0; i < s.n; i++ {
		s.minute(i)
	}
	s.keep(m)
	m.exportFaults(s)
	m.cut(s)
	m.Lab = m.laboratory(s)
	return m, nil
}

// simulation is the plant while it runs.
type simulation struct {
	n      int
	plant  Plant
	events []Event
	water  *water
	basin  *basin
	hypo   *hypo
	sulf   *sulfite

	inflow, outflow, ph, temp, nh3 *meter
	total, free, final             *analyser
	orpMid, orpOut, orpFinal       *probe

	truth Truth
	store []float64 // chlorine in the basin after each minute, lb
	used  []float64 // chlorine used up in the basin since the start, lb

	outflowRead, residualRead, totalRead float64 // the readings the controls use
	cols                                 [13]*column
}

// column is a tag while it is recorded.
type column struct {
	v []float64
	q []Quality
}

func (c *column) add(v float64, q Quality) {
	c.v = append(c.v, v)
	c.q = append(c.q, q)
}

func newSimulation(m *Month, begin int64) *simulation {
	c := m.Config
	p, seed := c.Plant, c.Seed
	n := spinUp + m.N + tail
	s := &simulation{n: n, plant: p, events: m.Events,
		water: makeWater(c, m.Events, begin, n, m.Loc),
		basin: newBasin(p), hypo: newHypo(p, seed), sulf: newSulfite(p, seed),
		inflow:   newMeter(TagInfluentFlow, seed, 0.02, 0, 0.012, 0, 1.5, 1000),
		outflow:  newMeter(TagEffluentFlow, seed, 0.01, 0, 0.006, 0, 1, 1000),
		ph:       newMeter(TagPH, seed, 0.004, 0.02, 0, 0.008, 2, 100),
		temp:     newMeter(TagTemperature, seed, 0.004, 0.05, 0, 0.02, 4, 10),
		nh3:      newMeter(TagAmmonia, seed, 0.05, 0.015, 0.02, 0.012, 6, 100),
		total:    newAnalyser(TagTotal, seed, 3, false),
		free:     newAnalyser(TagFree, seed, 4, false),
		final:    newAnalyser(TagFinal, seed, 3, true),
		orpMid:   newProbe(TagORPMiddle, seed, 2, c.Clean),
		orpOut:   newProbe(TagORPOutlet, seed, 2, c.Clean),
		orpFinal: newProbe(TagORPFinal, seed, 4, c.Clean),
	}
	for k := range s.cols {
		s.cols[k] = &column{v: make([]float64, 0, n), q: make([]Quality, 0, n)}
	}
	s.outflowRead, s.residualRead, s.totalRead = p.DesignFlowMGD, p.SetpointMgL, p.SetpointMgL
	return s
}

// minute lets minute i pass: feeds by the readings before it, then the water,
// then the instruments.
func (s *simulation) minute(i int) {
	w, t := s.water, &s.truth
	q := w.effluent[i]

	gph, percent, hypoShown := s.hypo.step(i, s.outflowRead, s.residualRead, w.temp[i], s.events)
	dose := doseMgL(gph, percent, q)
	in, used := dosed(dose, w.fast[i], w.slow[i], w.organic[i], w.ammonia[i])
	s.basin.consumed += used * q / 1440 * lbPerMGDmgL
	s.basin.flow(&in, q, math.Pow(1.07, w.temp[i]-20))
	out, mid := s.basin.outlet(), s.basin.mid()
	sulfiteGPH, sulfiteShown := s.sulf.step(i, s.outflowRead, s.totalRead, q, out, s.events)
	end := &s.sulf.channel

	put := func(col *[]float64, v float64) { *col = append(*col, v) }
	put(&t.InfluentMGD, w.influent[i])
	put(&t.FlowMGD, q)
	put(&t.TemperatureC, w.temp[i])
	put(&t.PH, w.pH[i])
	put(&t.AmmoniaMgL, w.ammonia[i])
	put(&t.DoseMgL, dose)
	put(&t.DemandMgL, w.fast[i])
	put(&t.FreeMgL, out.free)
	put(&t.TotalMgL, out.total())
	put(&t.MiddleTotalMgL, mid.total())
	put(&t.MiddleFreeMgL, mid.free)
	put(&t.FinalMgL, end.total())
	put(&t.SulfiteMgL, s.sulf.excess)
	put(&t.HypoGPH, gph)
	put(&t.HypoPercent, percent)
	put(&t.ChlorineLbD, gph*24*percent*hypoLbPerGalPerPc)
	put(&t.SulfiteGPH, sulfiteGPH)
	put(&t.ORPStaticMV, s.orpOut.potential(out, 0, w.pH[i], w.temp[i]))
	put(&s.store, s.basin.stored())
	put(&s.used, s.basin.consumed)

	s.instruments(i, out, mid, end, hypoShown, sulfiteShown)
}

// instruments reads minute i, in the order of tagList.
func (s *simulation) instruments(i int, out, mid, end *cell, hypoShown, sulfiteShown float64) {
	w := s.water
	add := func(k int, v float64, q Quality) { s.cols[k].add(v, q) }
	add(0, s.inflow.read(i, w.influent[i], s.events), Good)
	add(1, s.nh3.read(i, w.ammonia[i], s.events), Good)
	add(2, hypoShown, Good)
	total, qTotal := s.total.read(i, w, out.total(), s.events)
	add(3, total, qTotal)
	// A membrane probe for free chlorine also sees a little monochloramine.
	free, qFree := s.free.read(i, w, out.free+0.03*out.mono, s.events)
	add(4, free, qFree)
	v, q := s.orpMid.read(i, w, mid, 0, s.events)
	add(5, v, q)
	v, q = s.orpOut.read(i, w, out, 0, s.events)
	add(6, v, q)
	add(7, s.ph.read(i, w.pH[i], s.events), Good)
	add(8, s.temp.read(i, w.temp[i], s.events), Good)
	flow := s.outflow.read(i, w.effluent[i], s.events)
	add(9, flow, Good)
	add(10, sulfiteShown, Good)
	v, q = s.final.read(i, w, end.total(), s.events)
	add(11, v, q)
	v, q = s.orpFinal.read(i, w, end, s.sulf.excess, s.events)
	add(12, v, q)

	// The controls hold their last value while an analyser is in service.
	s.outflowRead = flow
	steer, serving := total, s.total.wasCal || s.total.rinse.on(w, i)
	if !s.plant.HasTotal {
		steer, serving = free, s.free.wasCal || s.free.rinse.on(w, i)
	}
	if !serving {
		s.residualRead = steer
		s.totalRead = steer
		if !s.plant.HasTotal {
			s.totalRead = steer + 0.5 // what the operators know to be combined
		}
	}
}
