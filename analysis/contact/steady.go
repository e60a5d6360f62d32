package contact

import (
	"fmt"
	"math"

	"weirbook/analysis/align"
)

// SteadyHour is the regulator's usual figure for an hour: the lowest residual
// times the contact time at the highest flow.
type SteadyHour struct {
	Window         align.Window
	PeakFlowMGD    float64 // MGD
	LowestResidual float64 // mg/L
	VolumeGal      float64 // the lowest volume of the hour, gal
	ContactMin     float64 // min
	CTMgMinL       float64 // mg·min/L
	FlowCoverage   float64 // share of the hour's minutes with a flow
	CTCoverage     float64 // share with a flow and a residual
	Why            Reason  // why ContactMin is NaN
	CTWhy          Reason  // why CTMgMinL is NaN
}

// Steady gives for each hour contact time = factor x volume / peak flow and
// CT = lowest residual x contact time: 40 CFR 141.720(a), C and T at peak
// hourly flow (verified). Minutes without flow or out of service count as
// covered and are left out of the extremes.
func Steady(g align.Grid, hours []align.Window, b Basin, m Minutes, s Settings) ([]SteadyHour, error) {
	if err := b.check(m); err != nil {
		return nil, err
	}
	if len(m.FlowMGD) != g.N {
		return nil, fmt.Errorf("basin %s: %d minutes of flow on a grid of %d", b.Name, len(m.FlowMGD), g.N)
	}
	out := make([]SteadyHour, len(hours))
	for h, w := range hours {
		out[h] = steadyHour(g, w, b, m, s)
	}
	return out, nil
}

func steadyHour(g align.Grid, w align.Window, b Basin, m Minutes, s Settings) SteadyHour {
	lo, hi, minutes := span(g, w)
	o := SteadyHour{Window: w, PeakFlowMGD: nan, LowestResidual: nan, VolumeGal: nan,
		ContactMin: nan, CTMgMinL: nan, Why: LowCoverage, CTWhy: LowCoverage}
	if minutes <= 0 {
		return o
	}
	var flowKnown, ctKnown, running, rated int
	var flowTally, ctTally reasonTally
	peak := newPeak(s.PeakMinutes)
	for i := lo; i < hi; i++ {
		r := minuteReason(b, m, s, i)
		q, _ := s.cleanFlow(m.FlowMGD[i])
		if r == Known && q == 0 {
			r = Idle
		}
		if r == Idle || r == OutOfService {
			flowKnown, ctKnown = flowKnown+1, ctKnown+1
		}
		if r != Known {
			flowTally.add(r)
			ctTally.add(r)
			peak.gap()
			continue
		}
		flowKnown++
		running++
		peak.add(q)
		if v := b.volume(i); !(o.VolumeGal <= v) {
			o.VolumeGal = v
		}
		if math.IsNaN(m.Residual[i]) {
			ctTally.add(ResidualUnknown)
			continue
		}
		ctKnown++
		rated++
		if !(o.LowestResidual <= m.Residual[i]) {
			o.LowestResidual = m.Residual[i]
		}
	}
	flowTally.addN(BeforeData, minutes-(hi-lo))
	ctTally.addN(BeforeData, minutes-(hi-lo))
	o.FlowCoverage = float64(flowKnown) / float64(minutes)
	o.CTCoverage = float64(ctKnown) / float64(minutes)
	o.Why = verdictOfCoverage(o.FlowCoverage, running, flowTally, s)
	o.CTWhy = verdictOfCoverage(o.CTCoverage, rated, ctTally, s)
	if running > 0 {
		o.PeakFlowMGD = peak.highest()
	}
	if o.Why == Known {
		o.ContactMin = ContactTimeMin(o.VolumeGal, o.PeakFlowMGD, b.Factor.Value)
	}
	if o.Why == Known && o.CTWhy == Known {
		o.CTMgMinL = o.LowestResidual * o.ContactMin
	}
	return o
}

// peakOf takes the highest mean over len(last) successive minutes; a run of
// minutes shorter than that counts with its own mean.
type peakOf struct {
	last []float64 // the latest minutes, written round and round
	run  int       // minutes since the last gap
	best float64
}

func newPeak(minutes int) peakOf {
	return peakOf{last: make([]float64, min(max(1, minutes), 60))}
}

func (p *peakOf) add(q float64) {
	p.last[p.run%len(p.last)] = q
	p.run++
	if p.run >= len(p.last) {
		p.best = math.Max(p.best, meanOf(p.last))
	}
}

func (p *peakOf) gap() {
	if p.run > 0 && p.run < len(p.last) {
		p.best = math.Max(p.best, meanOf(p.last[:p.run]))
	}
	p.run = 0
}

func (p *peakOf) highest() float64 {
	p.gap()
	return p.best
}

func meanOf(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}
