package plants

import "math"

// cell is the water of one stirred tank, mg/L.
type cell struct {
	free, bound, n, slow, no2 float64 // chlorine as Cl2, ammonia and nitrite as N
}

func (c *cell) total() float64 { return c.free + c.bound }

// clPerN is the chlorine that monochloramine binds, or that nitrite takes, for
// one of nitrogen: 70.906 / 14.007, by molar masses.
const clPerN = 70.906 / 14.007

// dosed is water just after the chlorine is mixed in. Ammonia is served first
// (within a second at pH 7), then nitrite and organic matter take from what
// stays free; nitrite leaves monochloramine alone for hours. Order and
// stoichiometry: text books of water chemistry, from memory.
func dosed(dose, nh3, no2, fast, slow, organic float64) cell {
	bound := math.Min(dose, clPerN*nh3)
	c := cell{bound: bound, n: nh3 - bound/clPerN, slow: slow}
	free := dose - bound
	if x := math.Min(free, clPerN*no2); x > 0 {
		free -= x
		no2 -= x / clPerN
	}
	c.no2 = no2
	// Of what demand is met at once, a little less where only chloramine is left.
	x := math.Min(free, fast)
	free -= x
	c.bound -= math.Min(c.bound, 0.5*(fast-x))
	y := math.Min(0.4*free, organic) // organic chloramine counts as bound
	c.free, c.bound = free-y, c.bound+y
	return c
}

// react lets a minute pass. Constants at 20 °C: free chlorine and slow demand
// 0.004 L/(mg·min), free and bound (the breakpoint, two of bound for one of
// free) 0.03 L/(mg·min), bound alone 0.0009 1/min, doubling in 10 °C (their
// size: published kinetics, from memory; rounded).
func (c *cell) react(tempC, sun float64) {
	speed := math.Pow(2, (tempC-20)/10)
	if c.free > 0 && c.n > 0 {
		x := 0.9 * math.Min(c.free, clPerN*c.n)
		c.free, c.bound, c.n = c.free-x, c.bound+x, c.n-x/clPerN
	}
	if x := 0.9 * math.Min(c.free, clPerN*c.no2); x > 0 {
		c.free, c.no2 = c.free-x, c.no2-x/clPerN
	}
	x := math.Min(0.03*speed*c.free*c.bound, 0.3*math.Min(c.free, c.bound/2))
	c.free, c.bound = c.free-x, c.bound-2*x
	x = math.Min(0.004*speed*c.free*c.slow, 0.4*math.Min(c.free, c.slow))
	c.free, c.slow = c.free-x, c.slow-x
	x = math.Min(0.0004*speed*c.bound*c.slow, 0.4*math.Min(c.bound, c.slow))
	c.bound, c.slow = c.bound-x, c.slow-x
	c.bound *= 1 - 0.0009*speed
	c.free *= 1 - sun
}

// basin is a contact basin: stirred tanks in series (T10 over the mean time is
// 0.27 for two, 0.62 for ten, 0.73 for twenty: quantiles of the gamma
// distribution).
type basin struct {
	cells []cell
	gal   float64 // of one tank
}

func newBasin(gal float64, tanks int) *basin {
	return &basin{cells: make([]cell, tanks), gal: gal / float64(tanks)}
}

// step lets a minute of water flow in, in parts no longer than half a tank.
func (b *basin) step(in cell, mgd, tempC, sun float64) {
	share := mgd * 1e6 / 1440 / b.gal
	parts := int(share/0.5) + 1
	f := share / float64(parts)
	f /= 1 + f // implicit: it stays below one
	for range parts {
		up := &in
		for i := range b.cells {
			c := &b.cells[i]
			c.free += f * (up.free - c.free)
			c.bound += f * (up.bound - c.bound)
			c.n += f * (up.n - c.n)
			c.slow += f * (up.slow - c.slow)
			c.no2 += f * (up.no2 - c.no2)
			up = c
		}
	}
	for i := range b.cells {
		b.cells[i].react(tempC, sun)
	}
}

func (b *basin) outlet() *cell { return &b.cells[len(b.cells)-1] }
func (b *basin) middle() *cell { return &b.cells[(len(b.cells)-1)/2] }
