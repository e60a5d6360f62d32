package plants

import (
	"math"
	"math/rand/v2"
)

// analyser reads a residual.
type analyser struct {
	role                 string
	r                    *rand.Rand
	s                    *Site
	gain, zero, lagMin   float64
	slow, fine           *walk
	noise                float64
	span                 float64
	y, shown             float64
	batch                int // minutes between results; 0: continuous
	perPH                bool
	until, phase, served int
	standard             float64
	bubble               int  // minutes that a bubble still sits in the cell
	empty                bool // the cell ran dry: it reads nothing
	lapses               []Span
	stdDay               int
}

func newAnalyser(role string, s *Site, seed uint64, span float64) *analyser {
	r := stream(seed, "analyser "+role)
	a := &analyser{role: role, r: r, s: s, span: span, y: math.NaN(), shown: math.NaN(),
		gain: 1 + 0.03*r.NormFloat64(), zero: 0.006 + 0.01*r.NormFloat64(), lagMin: between(r, 1.5, 6),
		slow: newWalk(r, 0.8*s.AnalyserSD, between(r, 1500, 4000)), fine: newWalk(r, 0.6*s.AnalyserSD, between(r, 30, 120)),
		noise: between(r, 0.004, 0.015), phase: r.IntN(7), stdDay: r.IntN(9)}
	if role == total && r.Float64() < 0.5 {
		a.batch = 3
	}
	// A bare membrane sees hypochlorous acid; half of the makers correct for pH.
	a.perPH = role == free && r.Float64() < 0.5
	return a
}

// read gives minute i, mg/L, and whether the instrument is being served.
func (a *analyser) read(i int, w *minute, mgL float64, ev *events) (float64, bool) {
	x := mgL
	if a.perPH {
		x *= 1 - 0.35*(w.ph-a.s.AcidPH) // near pKa the share of HOCl falls by some 0.35 a pH
	}
	v := toward(&a.y, x, a.lagMin+a.s.SampleLag)
	v = v*a.gain*(1+a.slow.step()+a.fine.step()+a.noise*a.r.NormFloat64()) + a.zero + 0.006*a.r.NormFloat64()
	if a.bubble--; a.bubble < 0 && a.r.Float64() < 4.0/43200 {
		a.bubble, a.empty = 4+a.r.IntN(14), a.r.Float64() < 0.4
		a.lapses = append(a.lapses, Span{i, i + a.bubble + 5})
	}
	if a.bubble > 0 {
		v *= 0.4 + 0.5*a.r.Float64()
		if a.empty {
			v = 0
		}
	}
	if a.batch > 0 { // a result each few minutes, held between them
		if i%a.batch == 0 || math.IsNaN(a.shown) {
			a.shown = v
		}
		v = a.shown
	}
	a.service(i, w)
	serving := i < a.until
	if serving {
		v = 0.02 * math.Abs(a.r.NormFloat64())
		if a.standard > 0 && a.until-i < 14 {
			v = a.standard * (1 + 0.012*a.r.NormFloat64())
		}
	}
	v = ev.analyser(a, i, v)
	return clamp(v, 0, a.span), serving
}

// service: weekly, ten to thirty minutes; each month or so the slope is set.
func (a *analyser) service(i int, w *minute) {
	if i < a.until || w.hour < 9.5 || w.hour > 13 || i-a.served < 1440 {
		return
	}
	std := a.s.StandardsEveryDays > 0 && w.day%a.s.StandardsEveryDays == a.stdDay%a.s.StandardsEveryDays
	if w.day%7 != a.phase && !std {
		return
	}
	a.served = i
	a.until = i + 10 + a.r.IntN(22)
	a.standard = 0
	if std {
		a.standard = 1
		a.until = i + 14 + a.r.IntN(14)
	}
	if a.r.Float64() < 0.35 {
		a.gain = 1 + 0.03*a.r.NormFloat64()
	}
}
