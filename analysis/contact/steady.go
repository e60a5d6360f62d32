package contact

import (
	"fmt"
	"math"

	"weirbook/analysis/align"
)

// SteadyHour is the regulator's usual figure for an hour: the lowest residual
// times the contact time at the highest flow. Figures that are not determined
// are NaN.
type SteadyHour struct {
	Window           align.Window
	PeakFlowMGD      float64 // MGD
	LowestResidual   float64 // mg/L, of the minutes in which water may have left
	VolumeGal        float64 // the lowest volume of the hour, gal
	ContactMin       float64 // min
	CTMgMinL         float64 // mg·min/L
	FlowCoverage     float64 // share of the hour's minutes with a flow
	ResidualCoverage float64 // share with a residual
	CTCoverage       float64 // share with both
	Why              Reason  // why flow, volume and ContactMin are NaN
	ResidualWhy      Reason  // why LowestResidual is NaN
	CTWhy            Reason  // why CTMgMinL is NaN
}

// Steady gives for each hour contact time = factor x volume / peak flow and
// CT = lowest residual x contact time: 40 CFR 141.2 and 141.74, C and T at peak
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
	o := SteadyHour{Window: w, PeakFlowMGD: nan, LowestResidual: nan, VolumeGal: nan, ContactMin: nan, CTMgMinL: nan,
		Why: LowCoverage, ResidualWhy: LowCoverage, CTWhy: LowCoverage}
	if minutes <= 0 {
		return o
	}
	var flow, residual, both steadyCount
	peak, lowest, volume := newPeak(s.PeakMinutes), math.Inf(1), math.Inf(1)
	for i := lo; i < hi; i++ {
		r := minuteReason(b, m, s, i)
		q, _ := s.cleanFlow(m.FlowMGD[i])
		if r == Known && q == 0 {
			r = Idle
		}
		c := Known
		if math.IsNaN(m.Residual[i]) {
			c = ResidualUnknown
		}
		if r == Idle || r == OutOfService || r == ServiceDoubt {
			c = r
		}
		flow.add(r)
		residual.add(c)
		if c == Known {
			lowest = math.Min(lowest, m.Residual[i])
		}
		if r != Known {
			both.add(r)
			peak.gap()
			continue
		}
		both.add(c)
		peak.add(q)
		volume = math.Min(volume, b.volume(i))
	}
	for _, c := range []*steadyCount{&flow, &residual, &both} {
		c.tally.addN(BeforeData, minutes-(hi-lo))
	}
	o.FlowCoverage, o.Why = flow.verdict(minutes, s)
	o.ResidualCoverage, o.ResidualWhy = residual.verdict(minutes, s)
	o.CTCoverage, o.CTWhy = both.verdict(minutes, s)
	if o.ResidualWhy == Known {
		o.LowestResidual = lowest
	}
	if o.Why == Known {
		o.PeakFlowMGD, o.VolumeGal = peak.highest(), volume
		o.ContactMin = ContactTimeMin(volume, o.PeakFlowMGD, b.Factor.Value)
	}
	if o.CTWhy == Known { // then flow and residual are known as often
		o.CTMgMinL = o.LowestResidual * o.ContactMin
	}
	return o
}

// steadyCount counts the minutes of an hour that are known, quiet, or neither.
type steadyCount struct {
	accounted, running int
	tally              reasonTally
}

func (c *steadyCount) add(r Reason) {
	switch r {
	case Known:
		c.accounted++
		c.running++
		return
	case Idle, OutOfService:
		c.accounted++
	}
	c.tally.add(r)
}

func (c *steadyCount) verdict(minutes int, s Settings) (coverage float64, why Reason) {
	coverage = float64(c.accounted) / float64(minutes)
	return coverage, verdictOfCoverage(coverage, c.running, c.tally, s)
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
