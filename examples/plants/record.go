package plants

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"
	_ "time/tzdata" // a Windows laptop has no zone files
)

// Roles of tags; those of the second train end in 2.
const (
	inflow   = "inflow"
	flow     = "flow"
	ammonia  = "ammonia"
	feed     = "feed"
	total    = "total"
	free     = "free"
	middle   = "middle"
	orp      = "orp"
	acid     = "ph"
	heat     = "temperature"
	sulfite  = "sulfite"
	final    = "final"
	finalORP = "final-orp"
	outflow  = "outflow" // of both trains together
)

// spinUp are the minutes that basin, controls and films have to settle.
const spinUp = 3 * 1440

// Config is a record to be made.
type Config struct {
	Name   string
	Site   Site
	Seed   uint64
	Start  time.Time // its calendar date is the first local day
	Days   int
	Events []Event
}

// Tag is one instrument's readings: V each minute, NaN where it gave none, and
// the rows that were stored.
type Tag struct {
	Name, Role string
	Train      int // 0 or 1
	Link       int // its controller
	V          []float64
	Low, High  float64
	Decimals   int
	Rows       []Row
}

// Row is a stored reading.
type Row struct {
	Second int64 // Unix
	V      float64
	Bad    bool // marked so
}

// Grab is a sample read on the bench, as written down.
type Grab struct {
	Second  int64
	Role    string // total, free or final; "2" for the second train
	V       float64
	Blunder bool // mistyped, swapped or written late
}

// Record is what a plant handed over, and what was true.
type Record struct {
	Config
	Loc     *time.Location
	First   int64 // Unix second of the first minute
	N       int   // minutes
	Tags    []Tag
	Grabs   []Grab
	Truth   []Event   // the events, with what can be told of them
	Rains   []Span    // more than a third above the usual flow: no fault, yet rightly told
	Lapses  []Span    // some minutes in which an analyser's cell had a bubble or ran dry: to name the analyser is right
	Resting []bool    // minutes without water or out of season
	lows    []float64 // by minute, CT of the water leaving over what is asked, the lower of two trains
	final   []float64 // true, mg/L at the outfall
}

// Span is a stretch of minutes of the record.
type Span struct{ From, To int }

// Make runs a plant, with and without its events, and says which events can be
// told.
func Make(c Config) (*Record, error) {
	r, err := simulate(c)
	if err != nil {
		return nil, err
	}
	if len(c.Events) == 0 {
		return r, nil
	}
	bare := c
	bare.Events = nil
	b, err := simulate(bare)
	if err != nil {
		return nil, err
	}
	r.judgeable(b)
	return r, nil
}

// train is a basin with its feed and its instruments.
type train struct {
	n         int
	feeder    *feeder
	basin     *basin
	out, mid  *probe
	tot, fre  *analyser
	read      readings
	serving   bool
	known     float64 // the residual that the dechlorination goes by
	weak      *rand.Rand
	flowNoise *walk
}

func simulate(c Config) (*Record, error) {
	s := &c.Site
	loc, err := time.LoadLocation(s.Zone)
	if err != nil {
		return nil, fmt.Errorf("%s: zone %q: %w", c.Name, s.Zone, err)
	}
	y, m, d := c.Start.Date()
	first, end := time.Date(y, m, d, 0, 0, 0, 0, loc), time.Date(y, m, d+c.Days, 0, 0, 0, 0, loc)
	r := &Record{Config: c, Loc: loc, First: first.Unix(), N: int(end.Unix()-first.Unix()) / 60}
	ev := &events{}
	for _, e := range c.Events {
		e.offset, e.AtFault, e.Also, e.Slow = spinUp, infoOf(e.Kind).party, infoOf(e.Kind).also, infoOf(e.Kind).slow
		ev.list = append(ev.list, &e)
	}
	site := *s // minutes of the calendar counted with the spin-up
	s = &site
	if s.AimStepAt > 0 {
		s.AimStepAt += spinUp
	}
	if s.SeasonFrom > 0 {
		s.SeasonFrom += spinUp
	}
	if s.ClosedTo > 0 {
		s.ClosedFrom, s.ClosedTo = s.ClosedFrom+spinUp, s.ClosedTo+spinUp
	}
	n := spinUp + r.N
	p := newPlant(s, c.Seed)
	if s.Control == ByORP {
		p.aimORP()
	}
	w := makeWater(s, c.Seed, r.First-60*spinUp, n, loc, ev)
	for i := range w {
		p.minute(i, &w[i], ev)
	}
	r.collect(p, ev)
	r.Grabs = p.grabs(r, w)
	for _, a := range p.analysers() {
		for _, l := range a.lapses {
			r.Lapses = append(r.Lapses, Span{l.From - spinUp, l.To - spinUp})
		}
	}
	r.calendar(s, w)
	for _, e := range ev.list {
		r.Truth = append(r.Truth, *e)
	}
	r.store(ev)
	return r, nil
}

// plant is a site while it runs.
type plant struct {
	s                               *Site
	seed                            uint64
	trains                          []*train
	fin                             *analyser
	finProbe                        *probe
	split                           *walk
	cols                            map[string][]float64
	inNoise                         *walk
	phNoise, tNoise, nNoise, sNoise *walk
	excess, finalTotal              float64
	sulfSet                         float64
	truth                           map[string][]float64
}

func newPlant(s *Site, seed uint64) *plant {
	r := stream(seed, "meters")
	p := &plant{s: s, seed: seed, cols: map[string][]float64{}, truth: map[string][]float64{},
		split:   newWalk(stream(seed, "split"), 0.04, 2000),
		inNoise: newWalk(r, 0.02, 1500), phNoise: newWalk(r, 0.05, 4000), tNoise: newWalk(r, 0.1, 3000),
		nNoise: newWalk(r, 0.06, 1000), sNoise: newWalk(r, 0.05, 1400),
		fin: newAnalyser(final, s, seed, s.SpanFinal), finProbe: newProbe(finalORP, s, seed), sulfSet: between(r, 1.15, 1.5)}
	for k := range s.Trains {
		name := func(role string) string { return ofTrain(role, k) }
		t := &train{n: k, feeder: newFeeder(s, seed, name("feed")), basin: newBasin(s.BasinGal, s.Tanks),
			out: newProbe(name(orp), s, seed), mid: newProbe(name(middle), s, seed),
			tot: newAnalyser(name(total), s, seed, s.SpanTotal), fre: newAnalyser(name(free), s, seed, s.SpanTotal),
			weak: stream(seed, name("strength")), flowNoise: newWalk(r, 0.015, 1200)}
		t.known = s.Aim
		t.read = readings{flow: s.FlowMGD / float64(s.Trains), residual: s.Aim, orp: s.ORPAim}
		p.trains = append(p.trains, t)
	}
	return p
}

// aimORP sets the controller to what the first probe shows at the residual that
// the plant wants, as whoever set it up did.
func (p *plant) aimORP() {
	s, t := p.s, p.trains[0]
	s.ORPAim = math.Round(t.out.potential(&cell{free: 0.85 * s.Aim, bound: 0.15 * s.Aim}, 0, s.AcidPH, s.TempC)/5)*5 - 10
	for _, t := range p.trains {
		t.read.orp = s.ORPAim
	}
}

// Breached says that what is asked was truly not met, within 5 %, somewhere
// from minute from to minute to.
func (r *Record) Breached(from, to int) bool {
	for i := max(from, 0); i < min(to, r.N); i++ {
		if r.lows[i] < 1.05 || r.Site.Dechlor && r.final[i] > 0.95*outfallLimit {
			return true
		}
	}
	return false
}

func (p *plant) analysers() []*analyser {
	out := []*analyser{p.fin}
	for _, t := range p.trains {
		out = append(out, t.tot, t.fre)
	}
	return out
}

func ofTrain(role string, k int) string {
	if k == 0 {
		return role
	}
	return role + "2"
}

func (p *plant) put(role string, v float64) { p.cols[role] = append(p.cols[role], v) }

// minute lets minute i pass.
func (p *plant) minute(i int, w *minute, ev *events) {
	s := p.s
	season := i >= s.SeasonFrom
	shareA := 1.0
	if s.Trains == 2 {
		shareA = 0.5 + p.split.step()
	}
	sumTotal, read := 0.0, 0.0
	var mixed cell
	for k, t := range p.trains {
		q := w.flow * shareA
		if k == 1 {
			q = w.flow * (1 - shareA)
		}
		t.minute(i, p, w, q, season, ev)
		out := t.basin.outlet()
		if w.flow > 0 {
			f := q / w.flow
			mixed.free += f * out.free
			mixed.bound += f * out.bound
			mixed.n += f * out.n
			mixed.no2 += f * out.no2
			sumTotal += f * out.total()
			read += f * t.known
		}
	}
	p.outfall(i, w, mixed, sumTotal, read, season, ev)
	p.put(inflow, ev.flow(inflow, i, w.inflow*(1+p.inNoise.step())))
	p.put(outflow, w.flow*(1+p.tNoise.now/10))
	p.put(ammonia, math.Max(0, w.nh3*(1+p.nNoise.step())+0.01*p.inNoise.r.NormFloat64()))
	p.put(acid, w.ph+p.phNoise.step()+0.008*p.inNoise.r.NormFloat64())
	p.put(heat, w.temp+p.tNoise.step())
}

// minute of one train that q MGD come to.
func (t *train) minute(i int, p *plant, w *minute, q float64, season bool, ev *events) {
	s := p.s
	name := func(role string) string { return ofTrain(role, t.n) }
	lb := t.feeder.step(i, w, t.read, t.serving)
	if !season || q <= 0 {
		lb = 0
	}
	shown := lb
	if ev.has(FeedLost, name(feed), i) {
		lb, shown = 0, 0
	}
	real := lb * t.feeder.weaken(t.weak) * (1 - ev.size(FeedShort, name(feed), i) + ev.size(FeedHigh, name(feed), i)) * (1 - ev.size(Weak, name(feed), i))
	dose := 0.0
	if q > 0 {
		dose = real / (q * lbPerMGD)
	}
	if i > s.ClosedFrom+90 && i < s.ClosedTo {
		for k := range t.basin.cells {
			t.basin.cells[k] = cell{} // drained
		}
	}
	t.basin.step(dosed(dose, w.nh3, w.no2, w.fast, w.slow, w.organic), q, w.temp, w.sun)
	out, mid := t.basin.outlet(), t.basin.middle()
	p.truth[name(total)] = append(p.truth[name(total)], out.total())
	p.truth[name(free)] = append(p.truth[name(free)], out.free)
	p.truth[name(flow)] = append(p.truth[name(flow)], q)

	flowRead := ev.flow(name(flow), i, q*(1+t.flowNoise.step()+0.004*t.flowNoise.r.NormFloat64()))
	p.put(name(flow), flowRead)
	p.put(name(feed), shown)
	tv, ts := t.tot.read(i, w, out.total(), ev)
	fv, fs := t.fre.read(i, w, out.free+0.02*out.bound, ev)
	ov := t.out.read(i, w, out, 0, q, ev)
	p.put(name(total), tv)
	p.put(name(free), fv)
	p.put(name(orp), ov)
	p.put(name(middle), t.mid.read(i, w, mid, 0, q, ev))
	t.read = readings{flow: flowRead, residual: tv, orp: ov}
	t.serving = ts
	if !s.Total {
		t.read.residual, t.serving = fv, fs
	}
	if !t.serving || !s.HoldDuringService {
		t.known = t.read.residual
	}
	if i < t.out.until && s.Control == ByORP {
		t.serving = true
	}
}

// outfall dechlorinates the mixed water: 1.47 mg of sodium bisulfite, 0.90 of
// sulfur dioxide, for one of chlorine, by molar masses; p.excess is in chlorine.
func (p *plant) outfall(i int, w *minute, mixed cell, tot, read float64, season bool, ev *events) {
	s := p.s
	fed := 0.0 // what it can take, mg/L as Cl2
	if s.Dechlor && season && w.flow > 0 {
		known := read
		if !s.Total {
			known += 0.5
		}
		fed = p.sulfSet*known*(1+0.2*p.sNoise.step()) + 0.25
	}
	if ev.has(NoDechlor, sulfite, i) {
		fed = 0
	}
	if w.flow > 0 {
		left := math.Max(0, tot-fed)
		p.finalTotal += (left - p.finalTotal) / 3
		p.excess += (math.Max(0, fed-tot) - p.excess) / 3
	} else {
		p.finalTotal *= 0.99
		p.excess *= 0.98
	}
	c := mixed
	if tot > 0 {
		k := p.finalTotal / tot
		c.free, c.bound = c.free*k, c.bound*k
	}
	v, _ := p.fin.read(i, w, p.finalTotal, ev)
	p.put(final, v)
	p.put(finalORP, p.finProbe.read(i, w, &c, 1.5*p.excess, w.flow, ev))
	p.put(sulfite, fed*w.flow*lbPerMGD)
	p.truth[final] = append(p.truth[final], p.finalTotal)
}
