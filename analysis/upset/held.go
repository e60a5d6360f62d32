package upset

import (
	"math"

	"weirbook/analysis/align"
)

// HeldHour is one local hour of what would have kept the CT at the requirement.
// NaN: not determined.
type HeldHour struct {
	align.Window
	FeedFrom int64 // when the water of this hour's start passed the feed point; Unix ms

	CT, Required  float64 // mg·min/L, means
	Contact       float64 // min
	Residual      float64 // mg/L as it was
	NeedResidual  float64 // mg/L that would have met the requirement
	Demand        float64 // mg/L taken: as it was, dose less residual, or as normal (see Assumed)
	Assumed       bool    // too little was dosed to show the demand, so the normal one of the hour is taken
	AtLeast       bool    // next to no residual was left: the demand may have been more
	Dose          float64 // mg/L as it was
	NeedDose      float64 // mg/L
	Flow          float64 // MGD at the feed point
	Feed          float64 // gal/h (lb/d for gas) as it was
	NeedLbD       float64 // lb/d as Cl2
	NeedFeed      float64 // gal/h (lb/d for gas)
	NeedSetting   float64 // percent of full stroke
	Within        Answer  // can the feed system deliver it
	Dechlor       float64 // lb/d of dechlorination chemical for NeedResidual
	DechlorFeed   float64 // gal/h (lb/d for gas)
	DechlorWithin Answer
}

// Answer is yes, no, or not known.
type Answer uint8

// Answers.
const (
	NotKnown Answer = iota
	Yes
	No
)

func within(need, capacity float64) Answer {
	switch {
	case isNaN(need) || isNaN(capacity):
		return NotKnown
	case need <= capacity:
		return Yes
	}
	return No
}

// held works out the hours from the start to the end of an episode.
func (p *parcels) held(r *reference, normal func(int) State, w align.Window, s *Settings) []HeldHour {
	in := p.in
	var out []HeldHour
	for _, h := range align.Hours(w.Start, w.End, in.Loc) {
		lo, hi := max(in.Grid.Index(h.Start), 0), min(in.Grid.Index(h.End-1)+1, in.Grid.N)
		over := func(value func(i int) float64) float64 {
			sum, n := 0.0, 0
			for i := lo; i < hi; i++ {
				if x := value(i); !isNaN(x) {
					sum += x
					n++
				}
			}
			if n < int(s.MinCover*float64(h.End-h.Start)/60_000) {
				return math.NaN()
			}
			return sum / float64(n)
		}
		mean := func(v []float64) float64 { return over(func(i int) float64 { return at(v, i) }) }
		x := HeldHour{Window: h, CT: mean(in.Basin.CT), Contact: mean(p.time), Residual: mean(p.resid), Demand: mean(p.demand),
			Dose: mean(p.dose), Flow: mean(p.flow), Feed: mean(p.feed), FeedFrom: h.Start}
		if d := at(in.Basin.Delay, lo); !isNaN(d) {
			x.FeedFrom -= int64(math.Round(d)) * 60_000
		}
		x.Required = over(in.Basin.required)
		x.NeedResidual = needResidual(&in.Basin, x, mean(p.temp), mean(p.ph))
		usual, usualDose := p.usual(r, normal, lo, hi)
		if x.Demand < usual && x.Dose < usualDose {
			x.Demand, x.Assumed = usual, true
		}
		x.AtLeast = !x.Assumed && x.Residual < s.NoResidual
		x.NeedDose = x.NeedResidual + x.Demand
		x.NeedLbD = x.NeedDose * x.Flow * in.factor()
		x.NeedFeed, x.NeedSetting = math.NaN(), math.NaN()
		if in.Chlorine.Gas {
			x.NeedFeed = x.NeedLbD
		} else if st := mean(p.strength); !isNaN(st) {
			x.NeedFeed = x.NeedLbD / 24 / st
		} else {
			x.NeedFeed = x.NeedLbD / 24 / in.Chlorine.LbPerGal
		}
		x.NeedSetting = 100 * x.NeedFeed / in.Chlorine.FullStroke
		x.Within = within(x.NeedFeed, in.Chlorine.Capacity)
		q := mean(in.Outfall.Flow)
		if isNaN(q) {
			q = mean(in.Basin.Flow)
		}
		d := &in.Dechlorination
		x.Dechlor = x.NeedResidual * q * in.factor() * d.Ratio
		x.DechlorFeed = x.Dechlor
		if !d.Gas {
			x.DechlorFeed = x.Dechlor / 24 / d.LbPerGal
		}
		x.DechlorWithin = within(x.DechlorFeed, d.Capacity)
		out = append(out, x)
	}
	return out
}

// usual gives the normal demand and dose of the minutes [lo, hi), mg/L; NaN: not
// known.
func (p *parcels) usual(r *reference, normal func(int) State, lo, hi int) (demand, dose float64) {
	n := 0.0
	for i := max(lo, r.lo); i < min(hi, r.lo+r.bins*r.bin); i += r.bin {
		if x := normal((i - r.lo) / r.bin); !isNaN(x.Demand) && !isNaN(x.Dose) {
			demand, dose, n = demand+x.Demand, dose+x.Dose, n+1
		}
	}
	return demand / n, dose / n
}

// needResidual is the residual at which CT meets the requirement, or the least
// residual required where that is more. Where the requirement follows the
// residual itself, the crossing is found by bisection up to 20 mg/L.
func needResidual(b *Basin, x HeldHour, temp, ph float64) float64 {
	need := math.NaN()
	if b.RequiredAt != nil && !isNaN(temp) && !isNaN(ph) && !isNaN(x.Contact) {
		lo, hi := 0.0, 20.0
		if x.Contact*hi < b.RequiredAt(temp, ph, hi) {
			return math.NaN()
		}
		for range 60 {
			c := (lo + hi) / 2
			if x.Contact*c < b.RequiredAt(temp, ph, c) {
				lo = c
			} else {
				hi = c
			}
		}
		need = hi
	} else if !isNaN(x.Required) {
		need = x.Required / x.Contact
	}
	if !isNaN(b.ResidualMin) && (isNaN(need) || need < b.ResidualMin) {
		need = b.ResidualMin
	}
	return need
}
