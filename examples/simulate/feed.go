package simulate

import (
	"math"
	"math/rand/v2"
)

// hypo is the hypochlorite feed: flow pacing on the effluent meter, a slow trim
// on the residual analyser, a pump that cannot turn down without end, and a
// tank whose strength fades between deliveries.
type hypo struct {
	plant    Plant
	r        *rand.Rand
	trim     float64 // fraction added to the base dose
	strength float64 // true, trade percent
	delivery float64 // minutes to the next
	bias     *wander // pump calibration
	pulse    *wander
	shown    float64 // last value the tag showed
}

func newHypo(p Plant, seed uint64) *hypo {
	r := stream(seed, "hypochlorite")
	return &hypo{plant: p, r: r, strength: 11.4 + 0.9*r.Float64(), delivery: 1440 * (2 + 9*r.Float64()),
		bias: newWander(r, 0.03, 4*1440), pulse: newWander(r, 0.008, 4)}
}

// step gives the true feed (gal/h), the true strength (trade percent) and what
// the feed's tag shows.
func (h *hypo) step(i int, flowRead, residualRead, tempC float64, events []Event) (gph, percent, shown float64) {
	p := h.plant
	if !math.IsNaN(residualRead) {
		err := clamp((p.SetpointMgL-residualRead)/p.SetpointMgL, -0.5, 0.5)
		h.trim = clamp(h.trim+0.25*err/60, -p.TrimAuthority, p.TrimAuthority)
	}
	h.store(tempC)
	// The operators set the pacing for the nominal strength and do not know the true one.
	want := p.DoseMgL * (1 + h.trim) * math.Max(flowRead, 0) * lbPerMGDmgL / (hypoTradePercent * hypoLbPerGalPerPc) / 24
	want = clamp(want, p.HypoTurndown*p.HypoMaxGPH, p.HypoMaxGPH)
	gph = want * (1 + h.bias.step(h.r)) * (1 + h.pulse.step(h.r))
	shown = want * (1 + 0.004*h.r.NormFloat64())
	percent = h.strength
	for k := range events {
		e := &events[k]
		if !e.on(i) {
			continue
		}
		switch e.Kind {
		case FeedLost:
			gph, shown = 0, 0
		case FeedShort:
			gph *= 1 - e.Size
		case StrengthLoss:
			percent *= 1 - e.Size
		}
	}
	// The tag is written on change, with a deadband of 0.05 gal/h.
	if math.Abs(shown-h.shown) >= 0.05 {
		h.shown = round(shown, 100)
	}
	return gph, percent, h.shown
}

// store lets a minute of decay pass: about 0.5 % a day of a 12.5 % solution at
// 20 °C, in the square of the strength, faster when warm (common practice).
func (h *hypo) store(tempC float64) {
	rate := 0.005 / 1440 * math.Pow(1.08, tempC-20)
	h.strength -= rate * h.strength * h.strength / hypoTradePercent
	h.delivery--
	if h.delivery <= 0 {
		fresh := 12.5 + 0.35*h.r.NormFloat64()
		h.strength = 0.15*h.strength + 0.85*fresh
		h.delivery = 1440 * (9 + 4*h.r.Float64())
	}
}

// doseMgL is the chlorine that gph gallons of hypochlorite bring into q MGD.
func doseMgL(gph, percent, qMGD float64) float64 {
	return gph * 24 * percent * hypoLbPerGalPerPc / (qMGD * lbPerMGDmgL)
}

// sulfite is the dechlorination: bisulfite paced on flow times residual.
type sulfite struct {
	plant   Plant
	r       *rand.Rand
	mixing  *wander
	channel cell // after the mixing, before the outfall instruments
	excess  float64
	shown   float64
}

func newSulfite(p Plant, seed uint64) *sulfite {
	r := stream(seed, "bisulfite")
	return &sulfite{plant: p, r: r, mixing: newWander(r, 0.035, 15)}
}

// step doses the water out that leaves the basin. It gives the true feed and
// what the tag shows, gal/h; channel and excess hold the water at the outfall.
func (s *sulfite) step(i int, flowRead, residualRead, qMGD float64, out *cell, events []Event) (gph, shown float64) {
	p := s.plant
	aim := residualRead
	if math.IsNaN(aim) || aim < 0.4*p.SetpointMgL {
		aim = 0.4 * p.SetpointMgL // a floor the operators set for a lost analyser
	}
	want := math.Max(flowRead, 0) * aim * p.BisulfiteRatio * lbPerMGDmgL / sulfiteLbPerGal / 24
	want = clamp(want, 0.05*p.SulfiteMaxGPH, p.SulfiteMaxGPH)
	gph = want * (1 + 0.015*s.r.NormFloat64())
	shown = want * (1 + 0.004*s.r.NormFloat64())
	for k := range events {
		e := &events[k]
		if !e.on(i) {
			continue
		}
		switch e.Kind {
		case BisulfiteLost:
			gph, shown = 0, 0
		case BisulfiteOver:
			gph = math.Min(gph*e.Size, 3*p.SulfiteMaxGPH)
			shown = gph
		}
	}
	if math.Abs(shown-s.shown) >= 0.05 {
		s.shown = round(shown, 100)
	}

	fed := gph * 24 * sulfiteLbPerGal / (qMGD * lbPerMGDmgL) * (1 + s.mixing.step(s.r))
	total := out.total()
	// Free and monochloramine go at once; a trace of organic chloramine stays.
	removed := math.Min(fed/sulfitePerCl2, total)
	keep := 0.0
	if total > 0 {
		keep = 1 - removed/total
	}
	after := *out
	after.free *= keep
	after.mono *= keep
	after.di *= keep
	after.organic = after.organic*keep + 0.025*math.Min(out.organic, 0.4)
	share := 1 - math.Exp(-qMGD/p.DesignFlowMGD/2.5)
	s.channel.mix(&after, share)
	s.excess += share * (math.Max(fed-removed*sulfitePerCl2, 0) - s.excess)
	// What meets in the channel reacts there.
	if x := math.Min(s.excess/sulfitePerCl2, s.channel.free+s.channel.mono); x > 0 {
		if f := math.Min(x, s.channel.free); f > 0 {
			s.channel.free -= f
			s.channel.mono = math.Max(0, s.channel.mono-(x-f))
		} else {
			s.channel.mono = math.Max(0, s.channel.mono-x)
		}
		s.excess = math.Max(0, s.excess-x*sulfitePerCl2)
	}
	return gph, s.shown
}
