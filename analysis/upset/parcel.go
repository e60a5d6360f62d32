package upset

import (
	"math"

	"weirbook/analysis/align"
)

// parcels gives the basin's state for the water that leaves in each minute: what
// was done at the feed point is looked up by the delay.
type parcels struct {
	in                   *Input
	lo, hi               int // minutes worked out; unknown outside them
	time, volume         []float64
	feed, strength, flow []float64 // at the feed point when the parcel passed
	dose, demand, resid  []float64
	temp, ph             []float64
	stated               bool // the strength never changes: it is as stated, not measured
}

func newParcels(in *Input, lo, hi int) *parcels {
	b := &in.Basin
	n := in.Grid.N
	p := &parcels{in: in, lo: max(lo, 0), hi: min(hi, n), volume: b.Volume, resid: b.Residual, temp: b.Temp, ph: b.PH}
	p.time = b.Contact
	if p.time == nil && b.CT != nil && b.Residual != nil {
		p.time = p.blank()
		for i := p.lo; i < p.hi; i++ {
			p.time[i] = b.CT[i] / b.Residual[i]
			if math.IsInf(p.time[i], 0) {
				p.time[i] = math.NaN()
			}
		}
	}
	flow := b.FeedFlow
	if flow == nil {
		flow = b.Flow
	}
	p.stated = unchanging(b.Strength)
	p.feed, p.strength, p.flow = p.shift(b.Feed), p.shift(b.Strength), p.shift(flow)
	if in.Chlorine.Gas && p.feed != nil {
		p.strength = p.blank()
		for i := p.lo; i < p.hi; i++ {
			p.strength[i] = 1.0 / 24 // a feed in lb/d, see doseOf
		}
	}
	if p.feed != nil && p.strength != nil && p.flow != nil {
		p.dose = p.blank()
		for i := p.lo; i < p.hi; i++ {
			p.dose[i] = doseOf(p.feed[i], p.strength[i], p.flow[i], in.factor())
			if math.IsInf(p.dose[i], 0) {
				p.dose[i] = math.NaN()
			}
		}
	} else {
		p.feed = nil
		p.dose = p.shift(b.Dose)
	}
	if p.dose != nil && p.resid != nil {
		p.demand = p.blank()
		for i := p.lo; i < p.hi; i++ {
			p.demand[i] = p.dose[i] - p.resid[i]
		}
	}
	return p
}

// shift looks v up one delay earlier; nil stays nil. The mean over the minutes
// in which the parcel passed is blurred by mixing anyway, so five minutes about
// it are taken.
func (p *parcels) shift(v []float64) []float64 {
	if v == nil {
		return nil
	}
	out := p.blank()
	for i := p.lo; i < p.hi; i++ {
		d := 0.0
		if p.in.Basin.Delay != nil {
			d = p.in.Basin.Delay[i]
		}
		if isNaN(d) {
			continue
		}
		j := i - int(math.Round(d))
		sum, n := 0.0, 0
		for k := j - 2; k <= j+2; k++ {
			if x := at(v, k); !isNaN(x) {
				sum += x
				n++
			}
		}
		if n > 0 {
			out[i] = sum / float64(n)
		}
	}
	return out
}

// blank makes a column that is unknown everywhere.
func (p *parcels) blank() []float64 {
	out := make([]float64, p.in.Grid.N)
	for i := range out {
		out[i] = math.NaN()
	}
	return out
}

func (p *parcels) state(i int) State {
	return State{Time: at(p.time, i), Volume: at(p.volume, i), Feed: at(p.feed, i), Strength: at(p.strength, i),
		DoseFlow: at(p.flow, i), Dose: at(p.dose, i), Demand: at(p.demand, i), Residual: at(p.resid, i),
		Temp: at(p.temp, i), PH: at(p.ph, i)}
}

// normals gives the normal state for each bin of the reference window.
func (p *parcels) normals(r *reference) func(k int) State {
	cols := [][]float64{p.time, p.volume, p.feed, p.strength, p.flow, p.dose, p.demand, p.resid, p.temp, p.ph}
	ns := make([][]float64, len(cols))
	for c, v := range cols {
		if v != nil {
			ns[c] = r.normal(v)
		}
	}
	return func(k int) State {
		return State{Time: at(ns[0], k), Volume: at(ns[1], k), Feed: at(ns[2], k), Strength: at(ns[3], k),
			DoseFlow: at(ns[4], k), Dose: at(ns[5], k), Demand: at(ns[6], k), Residual: at(ns[7], k),
			Temp: at(ns[8], k), PH: at(ns[9], k)}
	}
}

// splitOver splits the minutes for which pick is true.
func (p *parcels) splitOver(r *reference, normal func(int) State, w align.Window, pick func(i int) bool) Split {
	in := p.in
	x := Split{Window: w, NormalNeed: math.NaN(), Need: math.NaN()}
	lo, hi := max(in.Grid.Index(w.Start), r.lo), min(in.Grid.Index(w.End-1)+1, r.lo+r.bins*r.bin, in.Grid.N)
	wanted := 0
	sums := map[Cause]*Part{}
	seen := map[Cause]float64{}
	var ct, ct0, need, need0, dose, dose0, doses float64
	needs := true
	gas := in.Chlorine.Gas
	for i := lo; i < hi; i++ {
		if !pick(i) {
			continue
		}
		wanted++
		a, b := normal((i-r.lo)/r.bin), p.state(i)
		if isNaN(b.Demand) || isNaN(a.Demand) || isNaN(a.Dose) || isNaN(b.Dose) {
			// Without a mass balance in this minute, the residual as a whole.
			a.Demand = math.NaN()
		}
		m := modelOf(&a, &b, in.factor(), in.Basin.RequiredAt)
		all := uint(1)<<len(m.causes) - 1
		s0, s1 := m.mix(&a, &b, 0), m.mix(&a, &b, all)
		c0, r0 := m.ct(&a, &b, &s0)
		c1, r1 := m.ct(&a, &b, &s1)
		if isNaN(c0) || isNaN(c1) {
			continue
		}
		x.Minutes++
		if m.limited {
			x.Limited++
		}
		if m.dosed {
			dose0, dose, doses = dose0+m.dose(&a), dose+m.dose(&b), doses+1
		}
		ct0, ct = ct0+c0, ct+c1
		x.LogNormal += logCT(s0.Time, r0)
		x.LogNow += logCT(s1.Time, r1)
		if m.requiredAt != nil {
			need0, need = need0+m.requiredAt(a.Temp, a.PH, r0), need+m.requiredAt(b.Temp, b.PH, r1)
		} else if q := in.Basin.required(i); !isNaN(q) {
			need0, need = need0+q, need+q
		} else {
			needs = false
		}
		for _, part := range m.split(&a, &b) {
			t := sums[part.Cause]
			if t == nil {
				t = &Part{Cause: part.Cause, Unit: part.Unit}
				if gas && part.Cause == ByFeed {
					t.Unit = "lb/d"
				}
				sums[part.Cause] = t
			}
			t.CT += part.CT
			t.Log += part.Log
			t.Normal += part.Normal
			t.Now += part.Now
			seen[part.Cause]++
		}
	}
	if x.Minutes == 0 {
		x.NormalCT, x.CT, x.LogNormal, x.LogNow = math.NaN(), math.NaN(), math.NaN(), math.NaN()
		x.Without = "neither the split nor a normal could be determined: contact time or residual is not known"
		return x
	}
	n := float64(x.Minutes)
	x.Share = n / float64(max(wanted, 1))
	x.Limited /= n
	x.NormalDose, x.Dose = dose0/doses, dose/doses
	x.StrengthStated = p.stated && !gas && p.feed != nil
	x.NormalCT, x.CT, x.LogNormal, x.LogNow = ct0/n, ct/n, x.LogNormal/n, x.LogNow/n
	if needs {
		x.NormalNeed, x.Need = need0/n, need/n
	}
	for _, c := range canonical {
		if t := sums[c]; t != nil {
			if c == ByStrength && p.stated {
				continue // a constant has no part
			}
			t.CT, t.Log, t.Normal, t.Now = t.CT/n, t.Log/n, t.Normal/seen[c], t.Now/seen[c]
			x.Parts = append(x.Parts, *t)
		}
	}
	switch {
	case p.dose == nil:
		x.Without = "the dose is not known, so feed, dilution and demand are told as one: the residual"
	case p.feed == nil:
		x.Without = "feed and strength are not known apart, so they and dilution are told as one: the dose"
	}
	return x
}

// canonical is the order in which parts are told and drawn.
var canonical = []Cause{ByTime, ByVolume, ByDilution, ByFeed, ByStrength, ByDose, ByDemand, ByResidual, ByTemperature, ByPH}

// required gives the required CT of minute i, NaN: nothing required.
func (b *Basin) required(i int) float64 {
	if len(b.Required) == 1 {
		return b.Required[0]
	}
	return at(b.Required, i)
}

// unchanging reports whether a column has one value only.
func unchanging(v []float64) bool {
	first := math.NaN()
	for _, x := range v {
		switch {
		case isNaN(x):
		case isNaN(first):
			first = x
		case x != first:
			return false
		}
	}
	return true
}

// DemandOf gives the dose of each parcel less the residual it left with, mg/L, a
// value a minute on the basin outlet's clock; nil where the basin's columns do
// not give it. It is worth watching as a column of its own.
func DemandOf(in Input) []float64 { return newParcels(&in, 0, in.Grid.N).demand }
