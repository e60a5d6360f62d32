package health

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"weirbook/analysis/orp/signal"
)

const days = 14

// byDeadband is a wandering signal as a historian stores it: a value when it has moved
// by band, and what was stored last every hour besides. seed keeps tags apart.
func byDeadband(seed uint64, tag string, level, band float64) *signal.Column {
	rng := rand.New(rand.NewPCG(seed, 1))
	c := &signal.Column{Tag: tag, V: make([]float64, days*dayMin), Point: make([]bool, days*dayMin), OnChange: true}
	x, stored, at := level, level, 0
	for i := range c.V {
		x += 0.05*(level*(1+0.1*math.Sin(2*math.Pi*float64(i)/dayMin))-x) + 0.6*band*rng.NormFloat64()
		if math.Abs(x-stored) >= band {
			stored, at, c.Point[i] = x, i, true
		}
		if i-at >= 60 {
			at, c.Point[i] = i, true
		}
		c.V[i] = stored
	}
	return c
}

func hold(c *signal.Column, from, to int) {
	for i := from; i < to; i++ {
		c.V[i] = c.V[from-1]
		c.Point[i] = i%60 == 0 // heartbeats go on
	}
}

func examine(cs ...*signal.Column) Report {
	s := DefaultSettings()
	roles := make([]Role, len(cs))
	for i := range roles {
		roles[i] = Probe
	}
	return Examine(cs, roles, make([]bool, days*dayMin), &s)
}

// A tag stored on change stands still by design, and is not frozen; held for hours,
// heartbeats and all, it is.
func TestStoredOnChangeIsNotFrozen(t *testing.T) {
	for seed := range uint64(8) {
		require.Empty(t, examine(byDeadband(seed, "ORP", 650, 4)).Troubles[0])
	}
	c := byDeadband(3, "ORP", 650, 4)
	hold(c, 5*dayMin, 5*dayMin+600)
	ts := examine(c).Troubles[0]
	require.Len(t, ts, 1)
	require.Equal(t, Frozen, ts[0].Kind)
	require.InDelta(t, 5*dayMin, ts[0].From, 15)
	require.InDelta(t, 5*dayMin+600, ts[0].To, 15)
}

// "All tags stopped" is said where they did, of those that did.
func TestLinkNamesTheTagsThatStopped(t *testing.T) {
	cs := []*signal.Column{byDeadband(1, "A", 650, 4), byDeadband(2, "B", 2, 0.05), byDeadband(3, "C", 5, 0.1), byDeadband(4, "D", 7, 0.02), byDeadband(5, "E", 300, 5)}
	require.Empty(t, examine(cs...).Link)
	for _, c := range cs[:3] {
		hold(c, 4*dayMin, 4*dayMin+300)
	}
	link := examine(cs...).Link
	require.Len(t, link, 1)
	require.Equal(t, LinkFrozen, link[0].Kind)
	require.Equal(t, []string{"A", "B", "C"}, link[0].Tags)
	require.InDelta(t, 4*dayMin, link[0].From, 10)
}

// A record of every twentieth minute stands still between its readings.
func TestSparseRecordDoesNotStop(t *testing.T) {
	var cs []*signal.Column
	for k, tag := range []string{"A", "B", "C", "D"} {
		rng := rand.New(rand.NewPCG(uint64(k), 7))
		c := &signal.Column{Tag: tag, V: make([]float64, days*dayMin), Point: make([]bool, days*dayMin)}
		v := 5.0
		for i := range c.V {
			if i%20 == 0 {
				v, c.Point[i] = 5+math.Round(10*rng.NormFloat64())/10, true
			}
			c.V[i] = v
		}
		cs = append(cs, c)
	}
	r := examine(cs...)
	require.Empty(t, r.Link)
	for _, ts := range r.Troubles {
		require.Empty(t, ts)
	}
}

// Three tags without a reading are their link's silence, one flow meter alone is missing.
func TestSilence(t *testing.T) {
	cs := []*signal.Column{byDeadband(1, "A", 650, 4), byDeadband(2, "B", 2, 0.05), byDeadband(3, "C", 5, 0.1), byDeadband(4, "FLOW", 7, 0.02)}
	gone := func(c *signal.Column, from, to int) {
		for i := from; i < to; i++ {
			c.V[i], c.Point[i] = math.NaN(), false
		}
	}
	for _, c := range cs[:3] {
		gone(c, 3*dayMin, 3*dayMin+400)
	}
	gone(cs[3], 8*dayMin, 8*dayMin+700)
	s := DefaultSettings()
	r := Examine(cs, []Role{Probe, Residual, Plain, Flow}, make([]bool, days*dayMin), &s)
	require.Len(t, r.Link, 1)
	require.Equal(t, LinkBlank, r.Link[0].Kind)
	require.Equal(t, []string{"A", "B", "C"}, r.Link[0].Tags)
	require.Len(t, r.Troubles[3], 1)
	require.Equal(t, Missing, r.Troubles[3][0].Kind)
}

// At the top of its span a residual means at least: it is not frozen, and not masked.
func TestTopOfSpanAccusesNobody(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	c := &signal.Column{Tag: "CL2", V: make([]float64, days*dayMin), Low: 0, High: 5}
	for i := range c.V {
		c.V[i] = 2 + 0.05*rng.NormFloat64()
		if i > 6*dayMin && i < 6*dayMin+500 {
			c.V[i] = 5
		}
	}
	s := DefaultSettings()
	r := Examine([]*signal.Column{c}, []Role{Residual}, make([]bool, days*dayMin), &s)
	require.NotEmpty(t, r.Troubles[0])
	for _, x := range r.Troubles[0] {
		require.Equal(t, OffScale, x.Kind)
	}
	require.False(t, r.Mask[0][6*dayMin+250])
}
