package health

import (
	"weirbook/analysis/orp/signal"

	"weirbook/analysis/robust"
)

// leaps finds stretches in which a tag reads tens of times its usual: a unit or
// scale mixed up on the way, not an instrument or a process.
//
// Of an ORP in volts among millivolts the other side is looked at as well.
func leaps(c *signal.Column, volts bool, s *Settings) []Trouble {
	usual := robust.Median(c.V)
	if !(usual > 0.3) { // near zero a multiple means little
		return nil
	}
	var out []Trouble
	for i := 0; i < len(c.V); i++ {
		out1 := func(k int) bool {
			return signal.Known(c.V[k]) && (c.V[k] > s.UnitFactor*usual || volts && usual > 100 && c.V[k] > 0 && c.V[k] < usual/100)
		}
		if !out1(i) {
			continue
		}
		last := i
		var v []float64
		for j := i; j < len(c.V) && j-last <= 30; j++ {
			if out1(j) {
				last = j
				v = append(v, c.V[j])
			}
		}
		if last+1-i >= 20 && len(v)*2 > last-i {
			out = append(out, Trouble{Span: signal.Between(i, last+1), Kind: UnitMixUp, Alarm: i + 20, Size: robust.Median(v) / usual, Usual: usual})
		}
		i = last
	}
	return out
}
