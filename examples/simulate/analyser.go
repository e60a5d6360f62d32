package simulate

import (
	"math"
	"math/rand/v2"
	"time"
)

// service is when an instrument is out for cleaning or calibration: daily
// (weekday below 0) or once a week.
type service struct {
	minute, length int  // of the day; minutes
	weekday        int  // time.Weekday, or -1 for daily
	marked         bool // the system marks its readings uncertain meanwhile; most do not
}

func (s service) on(w *water, i int) bool {
	if s.weekday >= 0 && w.weekday[i] != time.Weekday(s.weekday) {
		return false
	}
	m := int(math.Round(w.hour[i] * 60))
	return m >= s.minute && m < s.minute+s.length
}

func (s service) quality() Quality {
	if s.marked {
		return Uncertain
	}
	return Good
}

// analyser measures a chlorine residual.
type analyser struct {
	tag        string
	r          *rand.Rand
	gain, zero float64
	line       [8]float64 // sample line: minutes of delay
	at         int
	cell       lag
	wander     *wander
	noise      float64 // relative
	floor      float64 // mg/L
	every      int     // minutes between results: batch analysers hold in between
	perUnit    float64 // 1 / resolution
	rinse, cal service
	wasCal     bool
	held       float64
	lastGood   float64
	slow       lag
}

func newAnalyser(tag string, seed uint64, weekday int, final bool) *analyser {
	r := stream(seed, "analyser "+tag)
	a := &analyser{tag: tag, r: r, gain: 1 + 0.02*r.NormFloat64(), zero: 0.01 * r.NormFloat64(),
		wander: newWander(r, 0.018, 30*60), noise: 0.008, floor: 0.012, every: 1, perUnit: 100,
		rinse: service{minute: 120 + r.IntN(60), length: 6, weekday: -1},
		cal:   service{minute: 540 + r.IntN(300), length: 22 + r.IntN(16), weekday: weekday, marked: r.Float64() < 0.4},
	}
	if tag == TagTotal {
		a.every = 2 // reagent analyser: a result every two minutes
	}
	if final {
		a.noise, a.floor, a.zero = 0.01, 0.005, 0.005*r.NormFloat64()
		a.perUnit = 1000
	}
	return a
}

// read gives the reading of minute i of a true concentration, mg/L.
func (a *analyser) read(i int, w *water, trueMgL float64, events []Event) (float64, Quality) {
	a.line[a.at] = trueMgL
	a.at = (a.at + 1) % len(a.line)
	sample := a.line[(a.at+len(a.line)-4)%len(a.line)] // 3 min ago
	v := a.cell.step(sample, 1.8) * a.gain * (1 + a.wander.step(a.r))
	v += a.zero + (a.noise*v+a.floor)*a.r.NormFloat64()

	q := Good
	if a.rinse.on(w, i) {
		v *= 0.15
	}
	in := a.cal.on(w, i)
	if in {
		v = math.Abs(0.08 * a.r.NormFloat64())
		if i%7 < 2 {
			v = 1 + 0.02*a.r.NormFloat64() // the standard
		}
		q = a.cal.quality()
	} else if a.wasCal {
		// Set to a DPD grab, itself a few per cent off.
		a.gain = 1 + 0.02*a.r.NormFloat64()
		a.wander.now *= 0.3
	}
	a.wasCal = in
	if a.every > 1 && i%a.every != 0 && !math.IsNaN(a.lastGood) {
		v = a.lastGood
	}
	a.lastGood = v
	v = a.faults(i, v, events)
	v = math.Max(round(v, a.perUnit), 0)
	a.held = v
	return v, q
}

func (a *analyser) faults(i int, v float64, events []Event) float64 {
	for k := range events {
		e := &events[k]
		if !e.concerns(a.tag) || !e.on(i) {
			continue
		}
		if !e.held {
			e.hold, e.held = a.held, true
			a.slow = lag{}
		}
		switch e.Kind {
		case SampleLost:
			gone := e.Size * (1 - math.Exp(-float64(i-e.from)/35))
			v = v*(1-gone) + 0.01*gone*a.r.NormFloat64()
		case SampleHeld:
			v = e.hold*math.Exp(-float64(i-e.from)/(40*60)) + 0.008*a.r.NormFloat64()
		case ReagentDrift:
			v *= 1 - e.Size*e.part(i)
		case AnalyserOffset:
			v += e.Size
		case AnalyserFrozen:
			v = e.hold
		case AnalyserFouled:
			v = a.slow.step(v*(1-e.Size*clamp(float64(i-e.from)/720, 0, 1)), 40)
		}
	}
	return v
}

// meter measures flow, and the small fry: pH, temperature, ammonia.
type meter struct {
	tag        string
	r          *rand.Rand
	gain, zero float64
	noise      float64 // relative
	floor      float64 // absolute
	tau        float64 // min
	drift      *wander // relative
	perUnit    float64
	lag        lag
	held       float64
}

func newMeter(tag string, seed uint64, bias, zero, noise, floor, tau, perUnit float64) *meter {
	r := stream(seed, "meter "+tag)
	return &meter{tag: tag, r: r, gain: 1 + bias*r.NormFloat64(), zero: zero * r.NormFloat64(), noise: noise,
		floor: floor, tau: tau, drift: newWander(r, bias/2, 5*1440), perUnit: perUnit}
}

func (m *meter) read(i int, x float64, events []Event) float64 {
	v := m.lag.step(x, m.tau)*m.gain*(1+m.drift.step(m.r)) + m.zero
	v += (m.noise*v + m.floor) * m.r.NormFloat64()
	for k := range events {
		e := &events[k]
		if !e.concerns(m.tag) || !e.on(i) {
			continue
		}
		if !e.held {
			e.hold, e.held = m.held, true
		}
		switch e.Kind {
		case FlowDrift:
			v *= 1 + e.Size*e.part(i)
		case FlowStep:
			v *= 1 + e.Size
		case FlowFrozen:
			v = e.hold
		case FlowLow:
			v *= 1 - e.Size
		}
	}
	v = round(math.Max(v, 0), m.perUnit)
	m.held = v
	return v
}
