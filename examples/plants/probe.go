package plants

import (
	"math"
	"math/rand/v2"
)

// probe is an ORP electrode and what is done to it.
//
// Where a cathodic reaction (chlorine) and an anodic one (what the water and
// the metal give) share an electrode and both follow Tafel lines of slope b,
// the currents are equal at E = E0 + b/2 · log10(oxidised / reduced): the mixed
// potential (Wagner and Traud, 1938). With b = 120 mV a decade that is 60 mV a
// decade while the surface is far from full.
type probe struct {
	role                  string
	r                     *rand.Rand
	s                     *Site
	base, half            float64 // mV, mV a decade
	full, bound, film0    float64 // mg/L
	oxide                 float64
	tempLate, body        float64
	film, cal             float64 // mV: film, its calibration
	noise                 float64
	short, long           *walk
	stir, perPH, perC     float64
	until, cleaned, phase int
	lastFlow              float64
	bubbles, bubble       int // minutes left, mV
}

func newProbe(role string, s *Site, seed uint64) *probe {
	r := stream(seed, "probe "+role)
	return &probe{role: role, r: r, s: s,
		base: 655 + 22*r.NormFloat64(), half: between(r, 54, 66),
		full: between(r, 1.5, 6), bound: math.Pow(10, between(r, -3.7, -3.1)), film0: between(r, 0.02, 0.06),
		oxide: math.NaN(), tempLate: math.NaN(), body: math.NaN(),
		film: s.FilmPerDay * float64(s.CleanDays) * 0.5 * r.Float64(), noise: between(r, 0.4, 1.6),
		short: newWalk(r, 0.55*s.Wander, between(r, 20, 70)), long: newWalk(r, 0.85*s.Wander, between(r, 500, 2600)),
		stir: between(r, 0, 6), perPH: between(r, -28, -8), perC: between(r, -1.1, -0.4),
		phase: r.IntN(7),
	}
}

// potential is what a clean electrode in still equilibrium shows, mV.
func (p *probe) potential(c *cell, sulfite, ph, tempC float64) float64 {
	pka := 3000/(tempC+273.15) - 10.0686 + 0.0253*(tempC+273.15) // HOCl: Morris (1966)
	acid := c.free / (1 + math.Pow(10, ph-pka))
	ox := acid + 0.02*(c.free-acid) + p.bound*c.bound/(1+c.bound/8)
	// What reaches the metal: the film uses some up, the surface fills.
	d := ox - p.film0*clamp(ox/p.film0, 0, 1)*acid/(acid+0.05)
	seen := 0.5 * (d + math.Sqrt(d*d+1e-10))
	seen /= 1 + seen/p.full
	red := 1 + 400*sulfite + 2*c.no2
	return p.base + p.half*math.Log10((seen+2e-7)/red) + p.perPH*(ph-7.1)
}

// read gives minute i, mV.
func (p *probe) read(i int, w *minute, c *cell, sulfite, flow float64, ev *events) float64 {
	target := p.potential(c, sulfite, w.ph, w.temp)
	film := p.film
	foul := ev.size(Fouling, p.role, i)
	film += foul
	e := toward(&p.body, target, 1.5+0.12*film)
	// The oxide layer comes in an hour and goes in most of a day.
	cover := clamp((e-350)/400, 0, 1)
	tau := 900.0
	if math.IsNaN(p.oxide) || cover > p.oxide {
		tau = 50
	}
	v := e - p.s.OxideMV*(1-toward(&p.oxide, cover, tau))
	v += p.perC * (toward(&p.tempLate, w.temp, 240) - 18)
	if flow > 0 {
		p.lastFlow = math.Log10(flow / p.s.FlowMGD)
	}
	v += p.stir * p.lastFlow
	v += p.cal - film + p.short.step() + p.long.step() + p.noise*p.r.NormFloat64()

	// Bubbles and rags: a few times a month, some minutes each.
	if p.bubbles--; p.bubbles < 0 && p.r.Float64() < 5.0/43200 {
		p.bubbles, p.bubble = 5+p.r.IntN(35), 5+p.r.IntN(11)
	}
	if p.bubbles > 0 {
		v += float64(p.bubble) * p.r.NormFloat64()
	}
	p.film += p.s.FilmPerDay / 1440
	p.service(i, w)
	if i < p.until {
		v = 215 + 25*math.Sin(float64(i)/9) + 6*p.r.NormFloat64()
	}
	v = ev.probe(p, i, v)
	return v
}

// service cleans the probe on its day, between 9 and 11, and sometimes sets it
// against a standard.
func (p *probe) service(i int, w *minute) {
	due := p.s.CleanDays > 0 && w.day%p.s.CleanDays == p.phase%p.s.CleanDays && i-p.cleaned > 1440
	if !due || w.hour < 9+float64(p.phase%3)*0.6 || w.hour > 12 {
		return
	}
	p.cleaned = i
	p.until = i + 12 + p.r.IntN(22)
	p.film *= 0.05 + 0.35*p.r.Float64()
	if p.r.Float64() < 0.3 {
		p.cal += 3.5 * p.r.NormFloat64()
	}
}
