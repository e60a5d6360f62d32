package simulate

import "math"

// cell is the water of one tank. Chlorine species in mg/L as Cl2.
type cell struct {
	free    float64 // HOCl and OCl-
	mono    float64 // NH2Cl
	di      float64 // NHCl2
	organic float64 // organic chloramine: counts as total, hardly disinfects
	ammonia float64 // mg/L N, free of chlorine
	slow    float64 // demand still to be met, mg/L as Cl2
}

func (c *cell) total() float64 { return c.free + c.mono + c.di + c.organic }

// Mass of chlorine that one mass of ammonia nitrogen binds as monochloramine:
// 70.906 / 14.007.
const cl2PerN = 70.906 / 14.007

// Rate constants at 20 °C, L/(mg·min) unless said otherwise. Their size is that
// of published second-order constants near pH 7 (monochloramine to
// dichloramine about 150 to 250 L/(mol·s), from memory); only the stoichiometry
// is exact.
const (
	rateMono    = 3.0    // ammonia and free chlorine: seconds to a minute
	rateDi      = 0.16   // NH2Cl + HOCl -> NHCl2
	rateMixed   = 0.05   // NHCl2 + NH2Cl -> N2 + 3 Cl-
	rateBreak   = 0.10   // 2 NHCl2 -> N2 + HOCl + 3 Cl-, carried by free chlorine
	rateSlow    = 0.006  // slow demand and free chlorine
	monoSlow    = 0.06   // of rateSlow, for monochloramine
	monoDecay   = 0.0006 // 1/min
	organicFade = 0.0012 // 1/min
)

// dosed is secondary effluent just after the chlorine is mixed in, and the
// chlorine used up at once, mg/L.
func dosed(dose, fast, slow, organic, ammonia float64) (c cell, used float64) {
	used = math.Min(dose, fast)
	left := dose - used
	c.slow = slow + fast - used // what was not met in seconds is met later
	c.organic = math.Min(0.5*left, organic)
	left -= c.organic
	c.mono = math.Min(left, cl2PerN*ammonia)
	c.ammonia = ammonia - c.mono/cl2PerN
	c.free = left - c.mono
	return c, used
}

// react lets dt minutes pass at a speed relative to 20 °C and returns the
// chlorine used up, mg/L. Each step is cut off well before a species could run
// negative.
func (c *cell) react(dt, speed float64) (used float64) {
	if c.free > 0 && c.ammonia > 0 {
		x := math.Min(c.free, cl2PerN*c.ammonia) * math.Min(0.9, rateMono*dt)
		c.free -= x
		c.mono += x
		c.ammonia -= x / cl2PerN
	}
	k := dt * speed

	x := math.Min(k*rateDi*c.free*c.mono, 0.4*math.Min(c.free, c.mono))
	c.free -= x
	c.mono -= x
	c.di += 2 * x

	x = math.Min(k*rateMixed*c.di*c.mono, 0.2*math.Min(c.di, c.mono))
	c.di -= 2 * x
	c.mono -= x
	used += 3 * x

	x = math.Min(k*rateBreak*c.di*c.free, 0.1*c.di)
	c.di -= 4 * x
	c.free += x
	used += 3 * x

	x = math.Min(k*rateSlow*c.free*c.slow, 0.4*math.Min(c.free, c.slow))
	c.free -= x
	c.slow -= x
	used += x

	x = math.Min(k*rateSlow*monoSlow*c.mono*c.slow, 0.4*math.Min(c.mono, c.slow))
	c.mono -= x
	c.slow -= x
	used += x

	x = k * monoDecay * c.mono
	c.mono -= x
	used += x
	x = k * organicFade * c.organic
	c.organic -= x
	return used + x
}

// mix moves c a share of the way to what flows in.
func (c *cell) mix(in *cell, share float64) {
	c.free += share * (in.free - c.free)
	c.mono += share * (in.mono - c.mono)
	c.di += share * (in.di - c.di)
	c.organic += share * (in.organic - c.organic)
	c.ammonia += share * (in.ammonia - c.ammonia)
	c.slow += share * (in.slow - c.slow)
}
