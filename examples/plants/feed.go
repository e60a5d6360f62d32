package plants

import "math"

// lbPerMGD is the weight of a million gallons at a mg/L: 8.345 lb, by definition
// of pound and gallon.
const lbPerMGD = 8.345404

// feeder doses the chlorine of one train, lb/d.
type feeder struct {
	s             *Site
	trim          float64 // the controller's, 1 at first
	dose          float64 // mg/L that the operators set
	set           float64 // lb/d set by hand
	most, least   float64 // lb/d
	smooth        float64
	adjusted      int
	strength, age float64
	deliver       float64 // days between deliveries
}

func newFeeder(s *Site, seed uint64, name string) *feeder {
	r := stream(seed, "feeder "+name)
	usual := s.Dose * s.FlowMGD / float64(s.Trains) * lbPerMGD
	return &feeder{s: s, trim: 1, dose: s.Dose, set: usual, most: between(r, 2.6, 4) * usual, least: 0.04 * usual,
		smooth: math.NaN(), strength: 1, age: 8 * r.Float64(), deliver: between(r, 6, 16)}
}

// readings are what the controls go by.
type readings struct{ flow, residual, orp float64 }

// step gives the feed asked for in minute i, lb/d, from the readings of the
// minute before.
func (f *feeder) step(i int, w *minute, in readings, serving bool) float64 {
	s := f.s
	if in.flow <= 0.005*s.FlowMGD {
		return 0 // interlocked with the flow
	}
	usual := f.dose * s.FlowMGD / float64(s.Trains) * lbPerMGD
	aim, orpAim := s.Aim, s.ORPAim
	if s.AimStepAt > 0 && i >= s.AimStepAt {
		aim *= 1 + s.AimStep
		orpAim += 60 * s.AimStep
	}
	off := (aim - in.residual) / aim
	hold := serving && s.HoldDuringService
	t := clamp(s.BasinGal/(math.Max(in.flow, 0.2*s.FlowMGD/float64(s.Trains))*1e6/1440), 8, 120)
	var lb float64
	switch s.Control {
	case Compound:
		if !hold {
			f.trim = clamp(f.trim+0.25/t*clamp(off, -0.5, 0.5), 0.7, 1.35)
		}
		lb = f.dose * in.flow * lbPerMGD * f.trim * (1 + 0.1*clamp(off, -1, 1))
	case ByResidual:
		if !hold {
			f.trim = clamp(f.trim+0.35/t*clamp(off, -0.7, 0.7), 0.15, 3)
		}
		lb = usual * f.trim * (1 + 0.3*clamp(off, -1, 1))
	case ByORP:
		off = clamp((orpAim-in.orp)/70, -1, 1)
		if !hold {
			f.trim = clamp(f.trim+0.22/t*off, 0.25, 3)
		}
		lb = f.dose * in.flow * lbPerMGD * f.trim * (1 + 0.12*off)
	case ByFlow:
		if w.hour > 8 && i-f.adjusted > 1300 && math.Abs(off) > 0.12 {
			f.adjusted = i
			f.dose = clamp(f.dose*(1+0.5*clamp(off, -0.25, 0.25)), 0.4*s.Dose, 2.2*s.Dose)
		}
		lb = f.dose * in.flow * lbPerMGD
	case ByHand:
		// At the rounds the operator thinks of the flow to come and looks at the residual.
		toward(&f.smooth, off, 60)
		if h := math.Mod(w.hour+18, 6); h < 0.02 && i-f.adjusted > 120 {
			f.adjusted = i
			f.dose = clamp(f.dose*(1+0.45*clamp(f.smooth, -0.4, 0.4)), 0.4*s.Dose, 2.5*s.Dose)
			step := usual / 12
			f.set = math.Round(f.dose*w.ahead*lbPerMGD/step) * step
		}
		lb = f.set
	}
	return clamp(lb, f.least, f.most)
}

// true strength against the nominal, of hypochlorite: it loses 0.7 % a day
// (a half-life of some hundred days in the warm).
func (f *feeder) weaken(r interface{ Float64() float64 }) float64 {
	if f.s.Gas {
		return 1
	}
	f.age += 1.0 / 1440
	if f.age > f.deliver {
		f.age = 0
		f.strength = 0.97 + 0.06*r.Float64()
	}
	return f.strength * math.Exp(-0.007*f.age)
}
