package simulate

import (
	"math"
	"math/rand/v2"
)

// probe is an ORP electrode and its transmitter.
//
// Its potential is a mixed one: oxidants cover a share of the surface that
// saturates (at both ends), hypochlorous acid counting several hundred times
// as much as monochloramine; below a tenth of a mg/L the water's own couples
// take over; bisulfite pulls it down. Around 1 to 3 mg/L of free
// chlorine that gives some 60 to 80 mV a decade, 400 to 520 mV in chloraminated
// water, 200 to 300 mV after dechlorination, as usual against Ag/AgCl
// (magnitudes: common practice, no source).
type probe struct {
	tag                  string
	r                    *rand.Rand
	base, span, power, k float64 // mV, mV, -, mg/L
	mono                 float64 // weight of monochloramine against HOCl
	fast, layer, wire    lag
	age                  float64 // mV lost to ageing
	ageRate              float64 // mV a day
	drift                pink
	noise                float64 // mV
	crackle              *burst
	service              service
	wasService           bool
	step                 float64 // what the last cleaning changed, mV
	usual                float64 // running mean of the reading, mV
	held                 float64
	sluggish             lag
	air                  *wander
	clean                bool
}

func newProbe(tag string, seed uint64, weekday int, clean bool) *probe {
	r := stream(seed, "probe "+tag)
	p := &probe{tag: tag, r: r, clean: clean,
		base: 300 + 15*r.NormFloat64(), span: 540 + 18*r.NormFloat64(),
		power: 0.3 * math.Exp(0.06*r.NormFloat64()), k: 0.04 * math.Exp(0.2*r.NormFloat64()),
		mono: 0.003 * math.Exp(0.2*r.NormFloat64()), ageRate: 0.3 + 0.7*r.Float64(),
		drift: newPink(r, 6.5, 45, 240, 1300), noise: 1.2 + 0.6*r.Float64(),
		crackle: newBurst(1.6, 5, 40), air: newWander(r, 25, 20),
		service: service{minute: 600 + r.IntN(240), length: 14 + r.IntN(10), weekday: weekday, marked: r.Float64() < 0.4},
	}
	p.age = p.ageRate * 3
	return p
}

// potential is what a clean, new electrode would settle at, mV.
func (p *probe) potential(c *cell, sulfiteMgL, ph, tempC float64) float64 {
	// Acid constant of HOCl by van 't Hoff: pKa 7.54 at 25 °C and 13.8 kJ/mol,
	// rounded from text books (from memory).
	pka := 7.54 + 13.8e3/(math.Ln10*8.314)*(1/(tempC+273.15)-1/298.15)
	acid := c.free / (1 + math.Pow(10, ph-pka))
	oxidant := acid + 0.12*(c.free-acid) + p.mono*c.mono/(1+c.mono/6) + 0.5*p.mono*c.di + 0.2*p.mono*c.organic
	cover := math.Pow(math.Max(oxidant, 0)/p.k, p.power)
	cover /= 1 + cover
	t2 := c.total() * c.total()
	gate := t2 / (t2 + 0.07*0.07)
	return p.base + p.span*cover*gate - 110*sulfiteMgL/(sulfiteMgL+0.6) -
		16*(ph-7.2) - 0.7*(tempC-18)
}

// read gives the transmitter's reading of minute i, mV, and its quality.
func (p *probe) read(i int, w *water, c *cell, sulfiteMgL float64, events []Event) (float64, Quality) {
	static := p.potential(c, sulfiteMgL, w.pH[i], w.temp[i])
	foul, slow := 0.0, 1.0
	for k := range events {
		if e := &events[k]; e.Kind == ORPFouling && e.concerns(p.tag) && e.on(i) {
			part := e.part(i)
			foul = e.Size * math.Pow(part, 1.15)
			slow = 1 + 5*part
		}
	}
	// The bulk follows within minutes; an adsorbed layer builds in minutes and
	// is lost in three quarters of an hour.
	tau := 40.0
	if static > p.layer.y {
		tau = 9
	}
	v := 0.72*p.fast.step(static, 2.2*slow) + 0.28*p.layer.step(static, tau*slow)

	p.age += p.ageRate / 1440
	v += p.step - p.age - foul + p.drift.step(p.r)
	v += p.noise * p.r.NormFloat64()
	air := 205 + p.air.step(p.r)
	if crackle := p.crackle.step(p.r); crackle > 0 && !p.clean {
		// Heavy tails: a normal over a uniform.
		v += clamp(2.5*crackle*p.r.NormFloat64()/(0.25+p.r.Float64()), -60, 60)
	}
	q := Good
	in := p.service.on(w, i)
	if in {
		v = air + 4*p.r.NormFloat64()
		q = p.service.quality()
	} else if p.wasService {
		// Cleaning takes most of the ageing away and moves the level a little.
		p.age *= 0.1 + 0.2*p.r.Float64()
		p.step = 2.2 * p.r.NormFloat64()
	}
	p.wasService = in

	v = p.wire.step(v, 0.6)
	if in {
		p.wire.y = v
	}
	v, q = p.faults(i, v, air, q, events)
	v = math.Round(v*10) / 10
	p.held = v
	return v, q
}

// faults puts the probe's own events on top of a reading.
func (p *probe) faults(i int, v, air float64, q Quality, events []Event) (float64, Quality) {
	any := false
	for k := range events {
		e := &events[k]
		if !e.concerns(p.tag) || !e.on(i) {
			continue
		}
		any = true
		if !e.held {
			e.hold, e.held = p.held, true
			p.sluggish = lag{}
		}
		switch e.Kind {
		case ORPFouling:
			if i >= e.to-16 { // the cleaning that ends it
				v = air + 4*p.r.NormFloat64()
			}
		case ORPOffset:
			v += e.Size
		case ORPCalibration:
			if i < e.from+22 {
				v = air + 4*p.r.NormFloat64()
			} else {
				v += e.Size
			}
		case ORPFrozen:
			v = e.hold
		case ORPDither:
			v = e.hold + e.Size*p.r.NormFloat64()
		case ORPNoise:
			v += clamp(0.8*e.Size*p.r.NormFloat64()/(0.4+p.r.Float64()), -250, 250)
		case ORPClip:
			v = math.Min(v, math.Round(p.usual-e.Size))
		case ORPDry:
			v += e.Size * e.ramp(i, 4) * (air - v + 12*p.r.NormFloat64())
		case ORPSluggish:
			if !p.sluggish.begun {
				p.sluggish = lag{y: e.hold, begun: true}
			}
			v = p.sluggish.step(v, 60*e.Size) + 0.5*p.noise*p.r.NormFloat64()
		}
	}
	if !any && !p.wasService {
		if p.usual == 0 {
			p.usual = v
		}
		p.usual += (v - p.usual) / 2880
	}
	return v, q
}
